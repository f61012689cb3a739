#include "lashband/losses/bearing_torque.hpp"

#include <algorithm>
#include <cmath>

#include "lashband/units/rotation.hpp"
#include "requirement.hpp"

namespace lashband::losses {
namespace {

using checks::require_not_negative;
using checks::require_positive;
using units::from_si;
using units::Torque;

/// What (nu n)^(2/3) does not fall below.
constexpr double least_speed_term = 160.0;

void check_mean_diameter(units::Length diameter) {
  require_positive("the mean diameter of a bearing must be above 0 mm", 1e3 * diameter.value(),
                   " mm");
}

}  // namespace

Torque no_load_torque(double f_0, units::KinematicViscosity viscosity, units::AngularVelocity speed,
                      units::Length mean_diameter) {
  const double nu = 1e6 * viscosity.value();
  const double n = 60.0 * units::frequency(speed).value();
  require_positive("the factor f_0 of a bearing must be above 0", f_0, "");
  require_positive("the viscosity of the oil in a bearing must be above 0 mm2/s", nu, " mm2/s");
  require_not_negative("the speed of a bearing must be 0 1/min or more", n, " 1/min");
  check_mean_diameter(mean_diameter);
  const double d_m = 1e3 * mean_diameter.value();
  const double root = std::cbrt(nu * n);
  const double M_0 = 1e-7 * f_0 * d_m * d_m * d_m * std::max(root * root, least_speed_term);
  return from_si<Torque>(1e-3 * M_0);
}

Torque load_torque(double f_1, units::Force equivalent_force, units::Length mean_diameter) {
  require_not_negative("the factor f_1 of a bearing must be 0 or more", f_1, "");
  require_not_negative("the equivalent force of a bearing must be 0 N or more",
                       equivalent_force.value(), " N");
  check_mean_diameter(mean_diameter);
  return f_1 * equivalent_force * mean_diameter;
}

}  // namespace lashband::losses
