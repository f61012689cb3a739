#pragma once

#include <cstddef>
#include <string_view>

#include "units/decimal.hpp"

/// The number at the beginning of a quantity.
namespace lashband::units::detail {

enum class NumberFault {
  none,
  no_number,          ///< no digit, point or sign, or a sign alone
  digit_missing,      ///< nothing behind the decimal point
  exponent_missing,   ///< "1e", "1e-"
  comma,              ///< "12,5"
  second_point,       ///< "1.2.3", "1e2.5"
  typographic_minus,  ///< U+2212 or a dash
  band_sign,          ///< "±" or "+-"
  blank_after_sign,   ///< "- 5"
};

/// A number as it was read. With a fault only `fault` and `end`, its place, mean anything.
struct NumberText {
  NumberFault fault = NumberFault::none;
  /// Byte behind the number, or of the fault.
  std::size_t end = 0;
  /// Sign and the first 19 significant digits.
  Decimal leading_digits;
  /// Whether these are all that matter: only zeros follow.
  bool complete = true;
  /// Digits and point, without sign and exponent, and the place value of its last digit.
  std::string_view mantissa;
  std::int64_t last_exponent = 0;
};

/// Reads the number that begins at `text[begin]`: an optional sign, digits with at most one point
/// among or before them, and an optional exponent.
[[nodiscard]] NumberText read_number(std::string_view text, std::size_t begin);

/// The double nearest to the number times 10^power_of_ten.
[[nodiscard]] Rounded nearest_double(const NumberText& number, int power_of_ten);

}  // namespace lashband::units::detail
