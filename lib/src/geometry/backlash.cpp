#include "lashband/geometry/backlash.hpp"

#include <cmath>

#include "involute_kernel.hpp"
#include "line_of_action.hpp"

namespace lashband::geometry {
namespace {

using units::Angle;
using units::from_si;
using units::Length;

std::optional<Length> radial_play(const GearPair& pair, double j_bt, double r_b_sum) {
  const double inv_at_contact =
      kernel::involute_of_tangent(pair.working_pressure_tangent()) - j_bt / (2.0 * r_b_sum);
  if (!(inv_at_contact >= 0.0)) {
    return std::nullopt;
  }
  const double t = kernel::tangent_of_involute(inv_at_contact);
  return from_si<Length>(kernel::centre_distance(pair) - r_b_sum * std::sqrt(1.0 + t * t));
}

}  // namespace

Backlash backlash(const GearPair& pair, Length j_bt) {
  const double t = pair.working_pressure_tangent();
  const double r_b1 = kernel::base_radius(pair.gear_1());
  const double r_b2 = kernel::base_radius(pair.gear_2());
  const double gap = j_bt.value();
  const double j_wt = gap * std::sqrt(1.0 + t * t);  // 1 / cos alpha_wt
  return {.j_bt = j_bt,
          .j_wt = from_si<Length>(j_wt),
          .j_bn = from_si<Length>(gap * std::cos(pair.gear_1().base_helix_angle().value())),
          .phi_1 = from_si<Angle>(gap / r_b1),
          .phi_2 = from_si<Angle>(gap / std::abs(r_b2)),
          .j_r = radial_play(pair, gap, r_b1 + r_b2),
          .j_r_iso = from_si<Length>(j_wt / (2.0 * t))};
}

double gap_rate_with_centre_distance(const GearPair& pair) {
  const double t = pair.working_pressure_tangent();
  const double sine = t / std::sqrt(1.0 + t * t);
  return pair.internal() ? -2.0 * sine : 2.0 * sine;
}

double circumferential_rate_with_centre_distance(const GearPair& pair, Length j_wt) {
  const double t = pair.working_pressure_tangent();
  return (pair.internal() ? -2.0 * t : 2.0 * t) + j_wt / pair.centre_distance();
}

}  // namespace lashband::geometry
