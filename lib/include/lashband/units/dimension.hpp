#pragma once

#include <boost/units/base_dimension.hpp>
#include <boost/units/dim.hpp>
#include <boost/units/get_dimension.hpp>
#include <boost/units/get_system.hpp>
#include <boost/units/physical_dimensions/length.hpp>
#include <boost/units/physical_dimensions/mass.hpp>
#include <boost/units/physical_dimensions/plane_angle.hpp>
#include <boost/units/physical_dimensions/temperature.hpp>
#include <boost/units/physical_dimensions/time.hpp>
#include <boost/units/systems/si/base.hpp>
#include <type_traits>

/// Dimensions as values, so that text read at run time can be checked against the type it is read
/// into.
namespace lashband::units {

/// The powers of metre, kilogram, second, kelvin and radian in a coherent SI unit. The angle counts
/// as a dimension of its own, so that a torque and a torsional stiffness differ.
struct Dimension {
  int length = 0;
  int mass = 0;
  int time = 0;
  int temperature = 0;
  int angle = 0;

  friend constexpr bool operator==(const Dimension&, const Dimension&) = default;
};

/// The dimension of the product of a quantity of dimension `a` and the `power`-th power of one of
/// dimension `b`.
[[nodiscard]] constexpr Dimension times_power(const Dimension& a, const Dimension& b, int power) {
  return {.length = a.length + power * b.length,
          .mass = a.mass + power * b.mass,
          .time = a.time + power * b.time,
          .temperature = a.temperature + power * b.temperature,
          .angle = a.angle + power * b.angle};
}

namespace detail {

template <class Base>
[[nodiscard]] constexpr Dimension base_dimension() {
  namespace bu = boost::units;
  if constexpr (std::is_same_v<Base, bu::length_base_dimension>) {
    return {.length = 1};
  } else if constexpr (std::is_same_v<Base, bu::mass_base_dimension>) {
    return {.mass = 1};
  } else if constexpr (std::is_same_v<Base, bu::time_base_dimension>) {
    return {.time = 1};
  } else if constexpr (std::is_same_v<Base, bu::temperature_base_dimension>) {
    return {.temperature = 1};
  } else {
    static_assert(std::is_same_v<Base, bu::plane_angle_base_dimension>,
                  "only length, mass, time, temperature and plane angle are quantities here");
    return {.angle = 1};
  }
}

template <class List>
struct DimensionOfList;

template <>
struct DimensionOfList<boost::units::dimensionless_type> {
  static constexpr Dimension value{};
};

template <class Base, class Power, class Rest>
struct DimensionOfList<boost::units::list<boost::units::dim<Base, Power>, Rest>> {
  static_assert(Power::Denominator == 1, "a fractional power has no unit in which to write it");
  static constexpr Dimension value =
      times_power(DimensionOfList<Rest>::value, base_dimension<Base>(), int{Power::Numerator});
};

template <class Unit>
[[nodiscard]] constexpr Dimension dimension_of_unit() {
  static_assert(
      std::is_same_v<typename boost::units::get_system<Unit>::type, boost::units::si::system>,
      "only coherent SI units have a dimension whose SI value is the plain value");
  return DimensionOfList<typename boost::units::get_dimension<Unit>::type>::value;
}

}  // namespace detail

/// The dimension of the quantity type `Q`, a Boost.Units quantity in coherent SI units.
template <class Q>
inline constexpr Dimension dimension_of = detail::dimension_of_unit<typename Q::unit_type>();

}  // namespace lashband::units
