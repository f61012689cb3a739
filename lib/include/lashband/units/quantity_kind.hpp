#pragma once

#include <array>
#include <cstddef>
#include <string_view>

#include "lashband/units/unit.hpp"

/// What the quantities are called, and how one of each is written: the words of error messages.
namespace lashband::units {

/// One kind of quantity.
struct QuantityKind {
  Dimension dimension;
  /// With its article, as one asks for it: "a torque".
  std::string_view name;
  /// With its article, for a text that was read: the same, and what else has this dimension.
  std::string_view name_when_read;
  /// A quantity of this kind in the usual form.
  std::string_view example;
};

namespace detail {

[[nodiscard]] constexpr QuantityKind kind(const Dimension& dimension, std::string_view name,
                                          std::string_view example) {
  return {.dimension = dimension, .name = name, .name_when_read = name, .example = example};
}

}  // namespace detail

/// Every kind whose name is known. One dimension stands in one row.
inline constexpr std::array quantity_kinds{
    detail::kind(dimensions::none, "a ratio", "5 %"),
    detail::kind(dimensions::length, "a length", "2.5 mm"),
    detail::kind({.length = 2}, "an area", "1200 mm2"),
    detail::kind(dimensions::volume, "a volume", "2.5 L"),
    detail::kind(dimensions::time, "a time", "90 s"),
    detail::kind(dimensions::mass, "a mass", "0.8 kg"),
    detail::kind(dimensions::angle, "an angle", "20 deg"),
    detail::kind({.length = 1, .time = -1}, "a velocity", "12 m/s"),
    detail::kind({.length = 1, .time = -2}, "an acceleration", "9.81 m/s2"),
    detail::kind(dimensions::force, "a force", "250 N"),
    detail::kind(dimensions::pressure, "a pressure or stress", "210 GPa"),
    detail::kind(dimensions::power, "a power", "15 kW"),
    detail::kind(dimensions::frequency, "a frequency", "25 Hz"),
    detail::kind(dimensions::angular_velocity, "a speed of rotation", "1800 rpm"),
    detail::kind({.time = -2, .angle = 1}, "an angular acceleration", "40 rad/s2"),
    detail::kind({.length = -3, .mass = 1}, "a density", "7850 kg/m3"),
    detail::kind(dimensions::kinematic_viscosity, "a kinematic viscosity", "100 cSt"),
    detail::kind({.length = -1, .mass = 1, .time = -1}, "a dynamic viscosity", "80 mPa s"),
    detail::kind({.temperature = -1}, "a coefficient per kelvin", "1.15e-05 1/K"),
    detail::kind(dimensions::temperature, "a temperature difference", "5 K"),
    detail::kind({.mass = 1, .time = -2}, "a stiffness", "250 N/um"),
    detail::kind({.mass = -1, .time = 2}, "a compliance", "0.02 um/N"),
    // The same dimension as a mass flow.
    QuantityKind{{.mass = 1, .time = -1},
                 "a damping constant",
                 "a damping constant or a mass flow",
                 "200 N s/m"},
    QuantityKind{dimensions::energy, "a torque", "a torque or an energy", "12 N m"},
    detail::kind({.length = 2, .mass = 1, .time = -2, .angle = -1}, "a torsional stiffness",
                 "3000 N m/rad"),
    detail::kind({.length = 2, .mass = 1, .time = -1, .angle = -1}, "a torsional damping constant",
                 "0.35 N m s/rad"),
    detail::kind({.length = 2, .mass = 1}, "a moment of inertia", "0.002 kg m2"),
    detail::kind({.length = 2, .time = -2, .temperature = -1}, "a specific heat capacity",
                 "460 J/(kg K)"),
    detail::kind({.length = 1, .mass = 1, .time = -3, .temperature = -1}, "a thermal conductivity",
                 "50 W/(m K)"),
    detail::kind({.mass = 1, .time = -3, .temperature = -1}, "a heat transfer coefficient",
                 "20 W/(m2 K)"),
    detail::kind({.length = 2, .mass = 1, .time = -2, .temperature = -1}, "a heat capacity",
                 "900 J/K"),
    detail::kind({.length = 2, .mass = 1, .time = -3, .temperature = -1}, "a thermal conductance",
                 "12 W/K"),
    detail::kind({.length = 3, .time = -1}, "a volume flow", "3 L/min"),
};

/// A temperature level, which shares its dimension with a temperature difference.
inline constexpr QuantityKind temperature_level =
    detail::kind(dimensions::temperature, "a temperature level", "-40 degC");

namespace detail {

/// The row of the kind, or the number of rows where it has no name here.
[[nodiscard]] constexpr std::size_t kind_row(const Dimension& dimension) {
  std::size_t row = 0;
  while (row < quantity_kinds.size() && quantity_kinds[row].dimension != dimension) {
    ++row;
  }
  return row;
}

template <class Q>
[[nodiscard]] constexpr const QuantityKind& kind_of() {
  if constexpr (is_level<Q>) {
    return temperature_level;
  } else {
    constexpr std::size_t row = kind_row(dimension_of<Q>);
    static_assert(row < quantity_kinds.size(), "this quantity needs a row in quantity_kinds");
    return quantity_kinds[row];
  }
}

}  // namespace detail

/// The kind with this dimension, or null where it has no name here. For a temperature it is the
/// difference.
[[nodiscard]] inline const QuantityKind* find_kind(const Dimension& dimension) {
  const std::size_t row = detail::kind_row(dimension);
  return row < quantity_kinds.size() ? &quantity_kinds[row] : nullptr;
}

/// The kind of the quantity type `Q`.
template <class Q>
inline constexpr const QuantityKind& quantity_kind = detail::kind_of<Q>();

}  // namespace lashband::units
