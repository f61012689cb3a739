#pragma once

#include "lashband/geometry/gear_pair.hpp"
#include "lashband/units/quantities.hpp"

/// From a pair as drawn to the pair at temperature.
///
/// Simplifications: each gear has one temperature; deviations scale with their own solid.
namespace lashband::thermal {

/// What makes up a centre distance at one state.
struct CentreDistance {
  units::Length nominal;     ///< L, at the reference temperature
  units::Length deviation;   ///< delta_a, at the reference temperature
  double strain = 0.0;       ///< of the carrier
  units::Length load_shift;  ///< opening under load; 0 as long as no load is considered

  /// a = (L + delta_a)(1 + strain) + load_shift, exact.
  [[nodiscard]] units::Length at_state() const;
};

/// The pair at temperature: both gears grown by their free elongations, the axes at `a`.
/// Throws ComputationError where the base circles overlap.
[[nodiscard]] geometry::GearPair expanded_pair(const geometry::ToothedBody& gear_1,
                                               double elongation_1,
                                               const geometry::ToothedBody& gear_2,
                                               double elongation_2, const CentreDistance& a);

}  // namespace lashband::thermal
