#pragma once

#include <optional>

#include "lashband/geometry/gear_pair.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::geometry {

/// One gap, in every measure that a designer asks for. Symbols of ISO 21771.
struct Backlash {
  units::Length j_bt;  ///< transverse, along the line of action
  units::Length j_wt;  ///< circumferential at the working pitch circle, j_bt / cos alpha_wt
  units::Length j_bn;  ///< normal, j_bt cos beta_b
  units::Angle phi_1;  ///< rotation of gear 1 with gear 2 held, j_bt / r_b1
  units::Angle phi_2;  ///< rotation of gear 2 with gear 1 held, j_bt / |r_b2|
  /// Radial play: how far the axes can approach (those of a gear in a ring gear: part) until the
  /// gap is zero, exact,
  ///   j_r = a - (r_b1 + r_b2) / cos alpha',  inv alpha' = inv alpha_wt - j_bt / (2 (r_b1 + r_b2)).
  /// Empty where the gap is so large that the base circles would touch first.
  std::optional<units::Length> j_r;
  units::Length j_r_iso;  ///< its first order as ISO 21771 has it, j_wt / (2 tan alpha_wt)
};

/// All measures of the gap `j_bt` of a pair. Exact but for j_r_iso, which is first order by
/// definition. Accuracy 1e-14 of the centre distance, and for j_r where alpha' is above 1 deg.
[[nodiscard]] Backlash backlash(const GearPair& pair, units::Length j_bt);

/// d j_bt / d a = 2 sin alpha_wt, exact (derived in docs/theory/backlash.md); in a ring gear
/// -2 sin alpha_wt, by the distance's magnitude.
[[nodiscard]] double gap_rate_with_centre_distance(const GearPair& pair);

/// d j_wt / d a = 2 tan alpha_wt + j_wt / a, exact (derived in docs/theory/backlash.md); in a ring
/// gear -2 tan alpha_wt + j_wt / a.
[[nodiscard]] double circumferential_rate_with_centre_distance(const GearPair& pair,
                                                               units::Length j_wt);

}  // namespace lashband::geometry
