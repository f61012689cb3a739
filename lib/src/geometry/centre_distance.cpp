#include "lashband/geometry/centre_distance.hpp"

#include <cmath>
#include <string>

#include "involute_kernel.hpp"
#include "lashband/error.hpp"
#include "lashband/geometry/gear_pair.hpp"
#include "lashband/geometry/involute.hpp"
#include "line_of_action.hpp"

namespace lashband::geometry {
namespace {

using units::from_si;
using units::Length;

// z_1 + z_2 with that of a ring gear negative.
int tooth_sum(const ToothedBody& gear_1, const ToothedBody& gear_2) {
  return gear_1.teeth() + (gear_2.internal() ? -gear_2.teeth() : gear_2.teeth());
}

}  // namespace

Length distance(const Point& from, const Point& to) {
  return from_si<Length>(std::hypot(to.x.value() - from.x.value(), to.y.value() - from.y.value()));
}

Length reference_centre_distance(const ToothedBody& gear_1, const ToothedBody& gear_2) {
  return 0.5 * (gear_2.internal() ? gear_2.reference_diameter() - gear_1.reference_diameter()
                                  : gear_1.reference_diameter() + gear_2.reference_diameter());
}

Length zero_backlash_centre_distance(const ToothedBody& gear_1, const ToothedBody& gear_2) {
  const double shift_sum = gear_1.generating_profile_shift() + gear_2.generating_profile_shift();
  const double tan_alpha_n = std::tan(gear_1.pressure_angle().value());
  const double inv = involute(gear_1.transverse_pressure_angle()) +
                     2.0 * shift_sum * tan_alpha_n / tooth_sum(gear_1, gear_2);
  if (!(inv >= 0.0)) {
    throw DomainError(
        "no centre distance gives zero backlash: inv alpha_wt must be 0 or more, not " +
        std::to_string(inv));
  }
  const double t = kernel::tangent_of_involute(inv);
  const double r_b = std::abs(kernel::base_radius(gear_1) + kernel::base_radius(gear_2));
  return from_si<Length>(r_b * std::sqrt(1.0 + t * t));
}

double profile_shift_sum(const ToothedBody& gear_1, const ToothedBody& gear_2, Length a) {
  const GearPair pair(gear_1, gear_2, a);
  const double inv_difference = kernel::involute_of_tangent(pair.working_pressure_tangent()) -
                                involute(gear_1.transverse_pressure_angle());
  return inv_difference * tooth_sum(gear_1, gear_2) /
         (2.0 * std::tan(gear_1.pressure_angle().value()));
}

}  // namespace lashband::geometry
