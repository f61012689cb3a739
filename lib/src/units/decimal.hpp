#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "lashband/units/unit_symbols.hpp"

/// Decimal numbers, the form in which quantities are read and written.
namespace lashband::units::detail {

/// (-1)^negative * digits * 10^exponent.
struct Decimal {
  bool negative = false;
  std::uint64_t digits = 0;
  std::int64_t exponent = 0;
};

/// The most decimal digits that always fit into `Decimal::digits`.
inline constexpr int most_decimal_digits = 19;

enum class Range { inside, overflow, underflow };

/// A number rounded to double. Outside the range there is no value; a subnormal is inside, and so
/// is a zero that was a zero before.
struct Rounded {
  double value = 0.0;
  Range range = Range::inside;
};

/// The double nearest to the decimal number.
[[nodiscard]] Rounded nearest_double(const Decimal& number);

/// The double nearest to the number whose significant digits are those of `mantissa` (digits and at
/// most one point, of any length) and whose last digit has the place value 10^last_exponent.
[[nodiscard]] Rounded nearest_double(bool negative, std::string_view mantissa,
                                     std::int64_t last_exponent);

/// The decimal number as a long double, to about two roundings.
[[nodiscard]] long double as_long_double(const Decimal& number);

/// The SI value of `number` of the units with this scale, for a scale that is not decimal: within
/// 0.51 units in the last place.
[[nodiscard]] Rounded si_value(const Decimal& number, const UnitScale& scale);

/// The long double rounded to double.
[[nodiscard]] Rounded round_to_double(long double value);

/// The decimal number with the fewest digits that reads as `value_in_si` in units of this scale; of
/// several the nearest. `value_in_si` must be finite.
[[nodiscard]] Decimal fewest_digits(double value_in_si, const UnitScale& scale);

/// The number as text, all of its digits: "0.00015", "-40", "1.15e-05".
[[nodiscard]] std::string to_text(const Decimal& number);

/// The number rounded to `decimals` decimals, ties away from zero. Zero has no sign. Numbers from
/// 1e16 on are written as by `to_text`.
[[nodiscard]] std::string to_fixed_text(const Decimal& number, int decimals);

}  // namespace lashband::units::detail
