#pragma once

#include <optional>
#include <vector>

#include "lashband/units/quantities.hpp"

namespace lashband::design {

/// What a requirement is judged on.
enum class Basis {
  worst_case,  ///< the end of the band of all tolerances together
  nominal,     ///< the mid of every tolerance
  rss,         ///< the end of the root-sum-square band
  percentile,  ///< the 0.135 percentile of the least, the 99.865 percentile of the greatest
};

/// What a mesh must keep at every state. Empty = not asked for.
struct MeshRequirements {
  std::optional<units::Length> least_backlash;         ///< j_wt
  std::optional<units::Length> greatest_backlash;      ///< j_wt
  std::optional<units::Length> least_normal_backlash;  ///< j_bn
  /// The above is the recommended minimum of ISO/TR 10064-2.
  bool least_normal_from_iso_10064 = false;
  std::optional<units::Length> greatest_normal_backlash;  ///< j_bn
  std::optional<units::Length> least_tip_clearance;
  std::optional<double> least_contact_ratio;  ///< eps_alpha
  /// Added to the requirements of least backlash; alone it is such a requirement.
  std::optional<units::Length> minimum_running_gap;
  Basis basis = Basis::worst_case;
};

}  // namespace lashband::design
