#pragma once

#include <boost/units/absolute.hpp>
#include <boost/units/systems/temperature/celsius.hpp>

#include "lashband/units/quantities.hpp"

/// Temperature levels and temperature differences are different types: two levels cannot be added,
/// and neither converts to the other. Levels are kept in degrees Celsius, the scale in which
/// drawings, materials and this trade give them, so that -40 degC stays exactly -40.
namespace lashband::units {

/// A temperature level, such as a soak at -40 degC. `.value()` is in degrees Celsius.
using Temperature =
    boost::units::quantity<boost::units::absolute<boost::units::celsius::temperature>>;

/// A difference of two temperatures, in kelvin.
using TemperatureDifference = boost::units::quantity<boost::units::si::temperature>;

/// Absolute zero in degrees Celsius (exact by the definition of the Celsius scale).
inline constexpr double absolute_zero_in_celsius = -273.15;

/// The level of `degrees` degrees Celsius.
[[nodiscard]] inline Temperature celsius(double degrees) {
  return Temperature::from_value(degrees);
}

/// The level of `kelvin` kelvin above absolute zero.
[[nodiscard]] inline Temperature kelvin(double kelvin) {
  return celsius(kelvin + absolute_zero_in_celsius);
}

/// The level on the thermodynamic scale, a plain number of kelvin for kernels.
[[nodiscard]] inline double in_kelvin(Temperature level) {
  return level.value() - absolute_zero_in_celsius;
}

/// How much warmer `to` is than `from`.
[[nodiscard]] inline TemperatureDifference difference(Temperature from, Temperature to) {
  return TemperatureDifference::from_value(to.value() - from.value());
}

/// Reference temperature of geometrical product specification, 20 degC (ISO 1).
[[nodiscard]] inline Temperature iso_1_reference() {
  return celsius(20.0);
}

}  // namespace lashband::units
