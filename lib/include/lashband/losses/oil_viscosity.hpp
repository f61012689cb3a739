#pragma once

#include "lashband/materials/temperature_range.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// Viscosity of an oil over temperature.
///
/// Simplifications: Newtonian; at ambient pressure; a mineral oil or another that follows the
/// Walther line. Near and below its pour point an oil does not, and is stiffer than the line says.
namespace lashband::losses {

/// A viscosity as data sheets state it, mostly at 40 degC and at 100 degC.
struct ViscosityPoint {
  units::Temperature temperature;
  units::KinematicViscosity viscosity;
};

/// The least and the greatest viscosity that a point may have, 0.21 and 2e7 mm2/s: the range of
/// ASTM D341, from memory.
inline constexpr auto least_stated_viscosity = units::KinematicViscosity::from_value(0.21e-6);
inline constexpr auto greatest_stated_viscosity = units::KinematicViscosity::from_value(20.0);

/// The least and the greatest viscosity that the line is followed to, 0.2 and 1e12 mm2/s. In the
/// heat the equation ends near 0.12 mm2/s whatever the oil; a little below the least stated one, so
/// that a point there is met. In the cold it is a double exponential and soon passes every number;
/// pitch has some 2e11 mm2/s.
inline constexpr auto least_viscosity = units::KinematicViscosity::from_value(0.2e-6);
inline constexpr auto greatest_viscosity = units::KinematicViscosity::from_value(1e6);

/// Two points must be so far apart, 1 K. Viscosities are stated with three digits and change by a
/// few percent a kelvin, so that of closer points rounding alone would set the slope.
inline constexpr auto least_point_distance = units::TemperatureDifference::from_value(1.0);

/// The kinematic viscosity of one oil, the Walther line through two points. Immutable.
///
///   log10 log10 Z = A - B log10 T     T in K
///   Z  = nu + 0.7 + exp(-1.47 - 1.84 nu - 0.51 nu^2)     nu in mm2/s
///   nu = (Z - 0.7) - exp(-0.7487 - 3.295 (Z - 0.7) + 0.6119 (Z - 0.7)^2 - 0.3193 (Z - 0.7)^3)
///
/// The exponentials matter below 2 mm2/s only.
///
/// Accuracy: nu is that of the equations within 1e-12, relative, from 1 mm2/s to 1e6 mm2/s. The
/// third equation inverts the second within 3e-4 of nu below 2 mm2/s, 1e-10 above 5 mm2/s, so that
/// the points are met that closely. How closely an oil follows the line is another matter.
/// Source: Walther; ASTM D341. Constants from memory, those of the line checked against a published
/// example.
class OilViscosity {
 public:
  /// The oil with these two points, in either order. Throws DomainError unless the temperatures are
  /// above absolute zero, finite and at least least_point_distance apart, both viscosities lie
  /// in the range of ASTM D341, and the warmer point has the lower one.
  OilViscosity(const ViscosityPoint& first, const ViscosityPoint& second);

  /// nu(T), also outside the points; `lies_between_points` tells.
  /// Throws DomainError unless the temperature is finite and above absolute zero, and
  /// ComputationError where nu would be below least_viscosity, above
  /// greatest_viscosity or not finite.
  [[nodiscard]] units::KinematicViscosity kinematic_viscosity(units::Temperature temperature) const;

  /// Whether the temperature lies between the points, both included. Outside them the line is
  /// extrapolated, which the caller says to the user.
  [[nodiscard]] bool lies_between_points(units::Temperature temperature) const {
    return materials::contains(range_, temperature);
  }

  /// From the colder point to the warmer.
  [[nodiscard]] const materials::TemperatureRange& range() const { return range_; }

  /// A and B of the line, with T in K and nu in mm2/s.
  [[nodiscard]] double intercept() const { return intercept_; }
  [[nodiscard]] double slope() const { return slope_; }

 private:
  materials::TemperatureRange range_;
  double intercept_ = 0.0;
  double slope_ = 0.0;
};

/// Dynamic viscosity eta = nu rho. Exact but for its rounding; raises no errors.
[[nodiscard]] inline units::DynamicViscosity dynamic_viscosity(units::KinematicViscosity viscosity,
                                                               units::Density density) {
  return viscosity * density;
}

}  // namespace lashband::losses
