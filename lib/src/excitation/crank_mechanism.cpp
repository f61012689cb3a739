#include "lashband/excitation/crank_mechanism.hpp"

#include <cmath>
#include <numbers>
#include <utility>

#include "excitation/crank_motion.hpp"
#include "excitation/fourier.hpp"
#include "requirement.hpp"

namespace lashband::excitation {
namespace {

using checks::require;
using checks::require_finite;
using checks::require_not_negative;
using checks::require_positive;
using kernel::CrankMotion;

CrankMotion motion_at(const CrankMechanism& mechanism, units::Angle theta) {
  require_finite("the angle of a crank must be finite", theta.value(), " rad");
  return kernel::crank_motion(mechanism.crank_radius().value(), mechanism.rod_length().value(),
                              mechanism.offset().value(), theta.value());
}

/// Leg of a right-angled triangle.
double leg(double hypotenuse, double other) {
  return std::sqrt((hypotenuse - other) * (hypotenuse + other));
}

}  // namespace

CrankMechanism::CrankMechanism(const CrankDimensions& dimensions) : dimensions_(dimensions) {
  const double r = 1e3 * dimensions.crank_radius.value();
  const double l = 1e3 * dimensions.rod_length.value();
  const double e = 1e3 * dimensions.offset.value();
  require_positive("the radius of a crank must be above 0 mm", r, " mm");
  require_positive("the length of a connecting rod must be above 0 mm", l, " mm");
  require_finite("the offset of a crank mechanism must be finite", e, " mm");
  require(dimensions.rod_length.value() >
              dimensions.crank_radius.value() + std::abs(dimensions.offset.value()),
          "the length of a connecting rod must be above crank radius and offset together", l,
          " mm");
}

units::Length CrankMechanism::piston_distance(units::Angle theta) const {
  return units::from_si<units::Length>(motion_at(*this, theta).x);
}

units::Length CrankMechanism::velocity_per_speed(units::Angle theta) const {
  return units::from_si<units::Length>(motion_at(*this, theta).first);
}

units::Length CrankMechanism::acceleration_per_speed_squared(units::Angle theta) const {
  return units::from_si<units::Length>(motion_at(*this, theta).second);
}

units::Angle CrankMechanism::top_dead_centre() const {
  const double reach = rod_length().value() + crank_radius().value();
  return units::from_si<units::Angle>(std::asin(offset().value() / reach));
}

units::Angle CrankMechanism::bottom_dead_centre() const {
  const double reach = rod_length().value() - crank_radius().value();
  return units::from_si<units::Angle>(std::numbers::pi + std::asin(offset().value() / reach));
}

units::Length CrankMechanism::stroke() const {
  const double r = crank_radius().value();
  const double l = rod_length().value();
  const double e = offset().value();
  // Difference of the squares over the sum: a long rod would lose digits otherwise.
  return units::from_si<units::Length>(4.0 * l * r / (leg(l + r, e) + leg(l - r, e)));
}

std::vector<std::complex<double>> inertia_torque_harmonics(const CrankMechanism& mechanism,
                                                           std::size_t harmonics) {
  require(harmonics >= 1 && harmonics <= most_harmonics,
          "harmonics of the inertia torque must be 1 to 100000", static_cast<double>(harmonics),
          "");
  std::vector<double> torque;
  const std::size_t points = kernel::points_for(mechanism, harmonics);
  torque.reserve(points);
  for (const CrankMotion& motion : kernel::motion_over_a_turn(mechanism, points)) {
    torque.push_back(-motion.first * motion.second);
  }
  std::vector<std::complex<double>> amplitudes = kernel::fourier_coefficients(torque, harmonics);
  amplitudes.erase(amplitudes.begin());
  for (std::complex<double>& amplitude : amplitudes) {
    amplitude *= 2.0;
  }
  return amplitudes;
}

CyclicTorque inertia_torque(const CrankMechanism& mechanism, units::Mass reciprocating_mass,
                            units::AngularVelocity speed, std::size_t harmonics) {
  require_not_negative("a reciprocating mass must be 0 kg or more", reciprocating_mass.value(),
                       " kg");
  require_finite("the speed of a crank must be finite", speed.value(), " rad/s");
  const double velocity = mechanism.crank_radius().value() * speed.value();
  std::vector<std::complex<double>> amplitudes = inertia_torque_harmonics(mechanism, harmonics);
  for (std::complex<double>& amplitude : amplitudes) {
    amplitude *= reciprocating_mass.value() * velocity * velocity;
  }
  return {1, units::Torque(), std::move(amplitudes)};
}

units::Inertia mean_added_inertia(const CrankMechanism& mechanism, const CrankMasses& masses) {
  require_not_negative("a reciprocating mass must be 0 kg or more", masses.reciprocating.value(),
                       " kg");
  require_not_negative("a rotating mass must be 0 kg or more", masses.rotating.value(), " kg");
  const std::size_t points = kernel::points_for(mechanism, 1);
  double sum = 0.0;
  for (const CrankMotion& motion : kernel::motion_over_a_turn(mechanism, points)) {
    sum += motion.first * motion.first;
  }
  const double share = sum / static_cast<double>(points);
  return mechanism.crank_radius() * mechanism.crank_radius() *
         (share * masses.reciprocating + masses.rotating);
}

}  // namespace lashband::excitation
