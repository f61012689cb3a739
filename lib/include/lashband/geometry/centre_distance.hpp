#pragma once

#include "lashband/geometry/toothed_body.hpp"
#include "lashband/units/quantities.hpp"

/// Relations between profile shift and centre distance at zero backlash (ISO 21771).
namespace lashband::geometry {

/// A place in the plane across the shafts.
struct Point {
  units::Length x;
  units::Length y;
};

/// The distance between two shafts given by their places.
[[nodiscard]] units::Length distance(const Point& from, const Point& to);

/// a_d = m_n (z_1 + z_2) / (2 cos beta). The gears have the same module and helix angle. In these
/// relations z_2 of a ring gear is negative (ISO 21771); distances are handed out as magnitudes.
[[nodiscard]] units::Length reference_centre_distance(const ToothedBody& gear_1,
                                                      const ToothedBody& gear_2);

/// The centre distance at which teeth of the given profile shifts and thickness allowances mesh
/// without backlash:
///   inv alpha_wt = inv alpha_t + (2 (x_1 + x_2) tan alpha_n + (E_sn1 + E_sn2)/m_n) / (z_1 + z_2),
///   a = a_d cos alpha_t / cos alpha_wt.
/// Throws DomainError where inv alpha_wt would be negative: no such distance exists.
[[nodiscard]] units::Length zero_backlash_centre_distance(const ToothedBody& gear_1,
                                                          const ToothedBody& gear_2);

/// The sum of profile shifts x_1 + x_2 for zero backlash at centre distance `a`, allowances left
/// out. Throws ComputationError where the base circles overlap.
[[nodiscard]] double profile_shift_sum(const ToothedBody& gear_1, const ToothedBody& gear_2,
                                       units::Length a);

}  // namespace lashband::geometry
