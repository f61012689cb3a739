#pragma once

#include <limits>

#include "lashband/units/quantities.hpp"

/// Quantities in the units of the trade.
namespace lashband::test {

inline constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
inline constexpr double infinite = std::numeric_limits<double>::infinity();

[[nodiscard]] inline units::Length mm(double value) {
  return units::from_si<units::Length>(1e-3 * value);
}
[[nodiscard]] inline units::Pressure megapascal(double value) {
  return units::from_si<units::Pressure>(1e6 * value);
}
[[nodiscard]] inline units::TorsionalStiffness newton_metre_per_radian(double value) {
  return units::from_si<units::TorsionalStiffness>(value);
}
[[nodiscard]] inline units::AngularVelocity radian_per_second(double value) {
  return units::from_si<units::AngularVelocity>(value);
}
[[nodiscard]] inline units::Angle radian(double value) {
  return units::from_si<units::Angle>(value);
}
[[nodiscard]] inline units::Time second(double value) {
  return units::from_si<units::Time>(value);
}

}  // namespace lashband::test
