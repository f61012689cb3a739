#pragma once

#include <string>
#include <string_view>
#include <type_traits>

#include "lashband/units/unit.hpp"

/// Writing quantities. Units are given as text and checked at compile time: `format(x, "mm")`.
///
/// All functions here start from one decimal number: the one with the fewest digits that
/// `parse` turns into exactly this quantity again. For a unit that is a power of ten of the SI unit
/// these are the shortest digits of the SI value with the decimal point moved, so that 106.608 mm
/// read from a file is 106.608 mm again. Where several numbers have the fewest digits, it is the
/// one nearest to the quantity.
///
/// All of them throw DomainError for a quantity that is infinite or not a number. None of them
/// knows of locales.
namespace lashband::units {

namespace detail {

[[nodiscard]] std::string format_si(double si_value, const UnitScale& scale, std::string_view unit);
[[nodiscard]] std::string format_fixed_si(double si_value, const UnitScale& scale, int decimals);
[[nodiscard]] double value_of_si(double si_value, const UnitScale& scale, std::string_view unit);
[[nodiscard]] std::string format_fixed_level(double celsius, LevelScale level, int decimals);
[[nodiscard]] double value_of_level(double celsius, LevelScale level);

}  // namespace detail

/// The quantity with its unit, exactly: `parse<Q>(format(q, unit))` is `q` again, bit by bit, for
/// every finite quantity and every unit, zero with its sign and subnormal values included. Plain
/// digits ("0.00015 mm") where the leading one stands between the fourth decimal and the sixteenth
/// place before the point, otherwise a power of ten ("1.15e-05 1/K").
template <class Q>
[[nodiscard]] std::string format(Q quantity, std::type_identity_t<Unit<Q>> unit) {
  static_assert(!detail::is_level<Q>, "a temperature level is written by format(level)");
  return detail::format_si(quantity.value(), unit.scale(), unit.text());
}

/// The temperature level in degC, exactly: "-40 degC". Other scales are offered by `format_fixed`
/// and `value_in` alone, since a shifted scale does not hold every level exactly.
[[nodiscard]] std::string format(const Temperature& level);

/// The number of units with the given count of decimals (0 to 17), for tables whose heads name the
/// unit: 106.6084 mm with 3 decimals is "106.608". Ties go away from zero (ISO 80000-1:2009, B.3,
/// rule B), and zero has no sign. A level may be asked for in degC, degF or K. From 1e16 on, where
/// no decimal means anything, the number is written as by `format`. Throws DomainError also for
/// another count of decimals.
template <class Q>
[[nodiscard]] std::string format_fixed(Q quantity, std::type_identity_t<Unit<Q>> unit,
                                       int decimals) {
  if constexpr (detail::is_level<Q>) {
    return detail::format_fixed_level(quantity.value(), unit.level(), decimals);
  } else {
    return detail::format_fixed_si(quantity.value(), unit.scale(), decimals);
  }
}

/// The number of units, as a double: the one nearest to the decimal number that `format` writes.
/// So the shortest digits of the result are those of `format` as long as these are at most 15, and
/// 106.608 mm from a file is 106.608 and not 106.60799999999999. Reading the result back can miss
/// the quantity by one unit in the last place where `format` needs 16 digits or more.
/// A level may be asked for in degC, degF or K. Its digits in degC are converted, so that -40 degC
/// is 233.15 K, and the result is rounded once more than it need be (to long double). Throws
/// DomainError also where the number of units is beyond the range of a double, or would become zero
/// without being zero.
template <class Q>
[[nodiscard]] double value_in(Q quantity, std::type_identity_t<Unit<Q>> unit) {
  if constexpr (detail::is_level<Q>) {
    return detail::value_of_level(quantity.value(), unit.level());
  } else {
    return detail::value_of_si(quantity.value(), unit.scale(), unit.text());
  }
}

}  // namespace lashband::units
