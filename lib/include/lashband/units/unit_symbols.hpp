#pragma once

#include <array>
#include <cstddef>
#include <string_view>

#include "lashband/units/dimension.hpp"

/// The closed table of unit symbols and prefixes that lashband knows.
namespace lashband::units {

/// How many coherent SI units a written unit is:
///     numerator / denominator * pi^power_of_pi * 10^power_of_ten.
/// Each unit of the table is exact in this form. So are products of them until numerator or
/// denominator outgrows the significand of a long double (2^64 on x86-64).
struct UnitScale {
  long double numerator = 1.0L;
  long double denominator = 1.0L;
  int power_of_pi = 0;
  int power_of_ten = 0;

  /// Whether the unit is a decimal multiple of the SI unit, so that a change of unit only moves the
  /// decimal point.
  [[nodiscard]] constexpr bool is_decimal() const {
    return numerator == denominator && power_of_pi == 0;
  }
};

/// The scale on which a unit that stands alone gives a temperature level. Kelvin is one of them,
/// and at the same time the unit of temperature differences.
enum class LevelScale { none, kelvin, celsius, fahrenheit };

/// One row of the closed table of symbols.
struct UnitSymbol {
  std::string_view text;
  Dimension dimension;
  UnitScale scale;
  bool takes_prefix = false;
  LevelScale level = LevelScale::none;
};

/// A prefix of the SI and its power of ten.
struct UnitPrefix {
  std::string_view text;
  int power_of_ten = 0;
};

namespace dimensions {

inline constexpr Dimension none{};
inline constexpr Dimension length{.length = 1};
inline constexpr Dimension volume{.length = 3};
inline constexpr Dimension mass{.mass = 1};
inline constexpr Dimension time{.time = 1};
inline constexpr Dimension temperature{.temperature = 1};
inline constexpr Dimension angle{.angle = 1};
inline constexpr Dimension frequency{.time = -1};
inline constexpr Dimension angular_velocity{.time = -1, .angle = 1};
inline constexpr Dimension kinematic_viscosity{.length = 2, .time = -1};
inline constexpr Dimension force{.length = 1, .mass = 1, .time = -2};
inline constexpr Dimension pressure{.length = -1, .mass = 1, .time = -2};
inline constexpr Dimension energy{.length = 2, .mass = 1, .time = -2};
inline constexpr Dimension power{.length = 2, .mass = 1, .time = -3};

}  // namespace dimensions

namespace detail {

[[nodiscard]] constexpr UnitScale decimal(int power_of_ten) {
  return {.power_of_ten = power_of_ten};
}

[[nodiscard]] constexpr UnitScale exact(long double numerator, int power_of_ten) {
  return {.numerator = numerator, .power_of_ten = power_of_ten};
}

[[nodiscard]] constexpr UnitScale pi_times(long double numerator, long double denominator,
                                           int power_of_ten) {
  return {.numerator = numerator,
          .denominator = denominator,
          .power_of_pi = 1,
          .power_of_ten = power_of_ten};
}

}  // namespace detail

/// Every symbol, prefixes apart. Inch, foot and pound are those of the international yard and pound
/// agreement of 1959; the pound-force takes the standard acceleration 9.80665 m/s2.
inline constexpr std::array unit_symbols{
    UnitSymbol{"m", dimensions::length, detail::decimal(0), true},
    UnitSymbol{"g", dimensions::mass, detail::decimal(-3), true},
    UnitSymbol{"s", dimensions::time, detail::decimal(0), true},
    UnitSymbol{"K", dimensions::temperature, detail::decimal(0), true, LevelScale::kelvin},
    UnitSymbol{"rad", dimensions::angle, detail::decimal(0), true},
    UnitSymbol{"N", dimensions::force, detail::decimal(0), true},
    UnitSymbol{"Pa", dimensions::pressure, detail::decimal(0), true},
    UnitSymbol{"J", dimensions::energy, detail::decimal(0), true},
    UnitSymbol{"W", dimensions::power, detail::decimal(0), true},
    UnitSymbol{"Hz", dimensions::frequency, detail::decimal(0), true},
    UnitSymbol{"degC", dimensions::temperature, detail::decimal(0), false, LevelScale::celsius},
    UnitSymbol{"degF", dimensions::temperature, detail::decimal(0), false, LevelScale::fahrenheit},
    UnitSymbol{"min", dimensions::time, detail::exact(6, 1)},
    UnitSymbol{"h", dimensions::time, detail::exact(36, 2)},
    UnitSymbol{"L", dimensions::volume, detail::decimal(-3)},
    UnitSymbol{"bar", dimensions::pressure, detail::decimal(5)},
    UnitSymbol{"cSt", dimensions::kinematic_viscosity, detail::decimal(-6)},
    UnitSymbol{"rev", dimensions::angle, detail::pi_times(2, 1, 0)},
    UnitSymbol{"rpm", dimensions::angular_velocity, detail::pi_times(1, 3, -1)},
    UnitSymbol{"%", dimensions::none, detail::decimal(-2)},
    UnitSymbol{"deg", dimensions::angle, detail::pi_times(1, 18, -1)},
    UnitSymbol{"arcmin", dimensions::angle, detail::pi_times(1, 108, -2)},
    UnitSymbol{"arcsec", dimensions::angle, detail::pi_times(1, 648, -3)},
    UnitSymbol{"in", dimensions::length, detail::exact(254, -4)},
    UnitSymbol{"inch", dimensions::length, detail::exact(254, -4)},
    UnitSymbol{"thou", dimensions::length, detail::exact(254, -7)},
    UnitSymbol{"ft", dimensions::length, detail::exact(3048, -4)},
    UnitSymbol{"lb", dimensions::mass, detail::exact(45359237, -8)},
    // 0.45359237 kg * 9.80665 m/s2
    UnitSymbol{"lbf", dimensions::force, detail::exact(44482216152605, -13)},
    // lbf/in2
    UnitSymbol{"psi", dimensions::pressure,
               UnitScale{.numerator = 44482216152605, .denominator = 64516, .power_of_ten = -5}},
};

/// The prefixes that SI units take. Micro is written u, U+00B5 (micro sign) or U+03BC (Greek mu).
inline constexpr std::array unit_prefixes{
    UnitPrefix{"f", -15},     UnitPrefix{"p", -12},     UnitPrefix{"n", -9}, UnitPrefix{"u", -6},
    UnitPrefix{"\u00B5", -6}, UnitPrefix{"\u03BC", -6}, UnitPrefix{"m", -3}, UnitPrefix{"c", -2},
    UnitPrefix{"d", -1},      UnitPrefix{"h", 2},       UnitPrefix{"k", 3},  UnitPrefix{"M", 6},
    UnitPrefix{"G", 9},       UnitPrefix{"T", 12},
};

namespace detail {

/// The row of the table, or the number of rows where there is none. Not a pointer: g++ with its
/// sanitizers does not compare pointers at compile time.
[[nodiscard]] constexpr std::size_t symbol_row(std::string_view text) {
  std::size_t row = 0;
  while (row < unit_symbols.size() && unit_symbols[row].text != text) {
    ++row;
  }
  return row;
}

/// A symbol and the prefix that was taken off in front of it.
struct PrefixedSymbol {
  std::size_t row = unit_symbols.size();
  int power_of_ten = 0;
  bool has_prefix = false;

  [[nodiscard]] constexpr bool is_known() const { return row < unit_symbols.size(); }
  /// Only where it is known.
  [[nodiscard]] constexpr const UnitSymbol& symbol() const { return unit_symbols[row]; }
  [[nodiscard]] constexpr bool is_unit() const {
    return is_known() && (!has_prefix || symbol().takes_prefix);
  }
};

/// Symbols of the table come first, so that "min" is a minute and "cSt" no centi-anything.
[[nodiscard]] constexpr PrefixedSymbol find_prefixed_symbol(std::string_view text) {
  PrefixedSymbol found{.row = symbol_row(text)};
  for (const UnitPrefix& prefix : unit_prefixes) {
    if (!found.is_known() && text.starts_with(prefix.text)) {
      found = {.row = symbol_row(text.substr(prefix.text.size())),
               .power_of_ten = prefix.power_of_ten,
               .has_prefix = true};
    }
  }
  return found;
}

}  // namespace detail

}  // namespace lashband::units
