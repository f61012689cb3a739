#pragma once

#include <numbers>

#include "lashband/units/quantities.hpp"

/// The places where the radian is added or removed, and no others. In SI the radian is a name for
/// the number one; here it is a unit of its own, so that an angle is not mistaken for a ratio, a
/// torsional stiffness for a torque, or a frequency for an angular velocity. Each function below is
/// a formula of rotation; where a radian appears or vanishes in it, that happens inside.
///
/// All of them are exact but for the rounding of each product or quotient, hold for every value,
/// and raise no errors; a division by zero gives what floating point gives.
namespace lashband::units {

namespace detail {

inline constexpr Angle one_radian = Angle::from_value(1.0);
inline constexpr Angle full_turn = Angle::from_value(2.0 * std::numbers::pi);

}  // namespace detail

/// Length of an arc, s = r phi: at `radius` r over `angle` phi.
[[nodiscard]] inline Length arc_length(Length radius, Angle angle) {
  return radius * (angle / detail::one_radian);
}

/// Angle over which an arc stands, phi = s / r. On the base circle it turns the transverse backlash
/// along the line of action into the backlash angle of a gear.
[[nodiscard]] inline Angle angle_of_arc(Length arc, Length radius) {
  return (arc / radius) * detail::one_radian;
}

/// Velocity of a point at `radius` r, v = r omega.
[[nodiscard]] inline Velocity circumferential_velocity(Length radius, AngularVelocity speed) {
  return radius * (speed / detail::one_radian);
}

/// Speed of rotation at f turns per second, omega = 2 pi f.
[[nodiscard]] inline AngularVelocity angular_velocity(Frequency turns) {
  return turns * detail::full_turn;
}

/// Turns per second, f = omega / (2 pi).
[[nodiscard]] inline Frequency frequency(AngularVelocity speed) {
  return speed / detail::full_turn;
}

/// Torque of a torsional spring, M = k phi.
[[nodiscard]] inline Torque torque(TorsionalStiffness stiffness, Angle twist) {
  return stiffness * twist;
}

/// Twist of a torsional spring, phi = M / k.
[[nodiscard]] inline Angle twist(Torque torque, TorsionalStiffness stiffness) {
  return torque / stiffness;
}

/// Torsional stiffness of a spring that acts along a tangent at `radius` r, k_t = k r^2: a force
/// k (r phi) with the lever r.
[[nodiscard]] inline TorsionalStiffness torsional_stiffness(LinearStiffness stiffness,
                                                            Length radius) {
  return stiffness * radius * radius / detail::one_radian;
}

/// Power of a torque, P = M omega.
[[nodiscard]] inline Power power(Torque torque, AngularVelocity speed) {
  return torque * (speed / detail::one_radian);
}

}  // namespace lashband::units
