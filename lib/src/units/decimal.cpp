#include "units/decimal.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <system_error>

namespace lashband::units::detail {

namespace {

// The accuracy that is promised for units other than decimal ones, and exact round trips in them,
// rest on a long double of at least 64 bits of significand (x86-64) and a wider exponent.
static_assert(std::numeric_limits<long double>::digits >= 64);
static_assert(std::numeric_limits<long double>::max_exponent10 >= 4 * 1024);

// 10^27 is the largest power of ten that a significand of 64 bits holds exactly.
constexpr int most_exact_power = 27;

constexpr std::array<long double, most_exact_power + 1> exact_powers_of_ten = [] {
  std::array<long double, most_exact_power + 1> powers{};
  long double power = 1.0L;
  for (long double& entry : powers) {
    entry = power;
    power *= 10.0L;
  }
  return powers;
}();

constexpr std::array<std::uint64_t, most_decimal_digits + 1> integer_powers_of_ten = [] {
  std::array<std::uint64_t, most_decimal_digits + 1> powers{};
  std::uint64_t power = 1;
  for (std::uint64_t& entry : powers) {
    entry = power;
    power *= 10;
  }
  return powers;
}();

/// value * 10^power. Beyond the exponents of a long double the result is infinite or zero.
long double times_power_of_ten(long double value, std::int64_t power) {
  // Twice the range of exponents of a long double is more than any product here can make use of.
  constexpr std::int64_t most = 2 * std::int64_t{std::numeric_limits<long double>::max_exponent10};
  power = std::clamp(power, -most, most);
  for (; power > most_exact_power; power -= most_exact_power) {
    value *= exact_powers_of_ten.back();
  }
  for (; power < -most_exact_power; power += most_exact_power) {
    value /= exact_powers_of_ten.back();
  }
  const auto rest = static_cast<std::size_t>(power < 0 ? -power : power);
  return power < 0 ? value / exact_powers_of_ten[rest] : value * exact_powers_of_ten[rest];
}

long double times_power_of_pi(long double value, int power) {
  for (; power > 0; --power) {
    value *= std::numbers::pi_v<long double>;
  }
  for (; power < 0; ++power) {
    value /= std::numbers::pi_v<long double>;
  }
  return value;
}

std::int64_t count_digits(std::uint64_t digits) {
  std::int64_t count = 1;
  for (; digits >= 10; digits /= 10) {
    ++count;
  }
  return count;
}

/// Reads the text of a number, "<digits>e<exponent>", that cannot be malformed.
Rounded read_double(const char* begin, const char* end, bool negative, std::int64_t exponent) {
  double value = 0.0;
  if (std::from_chars(begin, end, value).ec == std::errc::result_out_of_range) {
    return {.range = exponent > 0 ? Range::overflow : Range::underflow};
  }
  return {.value = negative ? -value : value};
}

/// Writes "e<exponent>" and returns its end.
char* write_exponent(char* begin, char* end, std::int64_t exponent) {
  // Enough to be out of range with any digits, and no more, so that the text stays short.
  constexpr std::int64_t most = 100'000;
  *begin++ = 'e';
  return std::to_chars(begin, end, std::clamp(exponent, -most, most)).ptr;
}

/// The shortest digits that tell a finite double from its neighbours.
Decimal shortest(double value) {
  if (value == 0.0) {
    return {.negative = std::signbit(value)};
  }
  std::array<char, 32> text{};
  const char* const end = std::to_chars(text.data(), text.data() + text.size(), std::abs(value),
                                        std::chars_format::scientific)
                              .ptr;
  Decimal number{.negative = value < 0.0};
  const char* c = text.data();
  int digits_behind_point = 0;
  for (bool behind_point = false; *c != 'e'; ++c) {
    if (*c == '.') {
      behind_point = true;
      continue;
    }
    number.digits = 10 * number.digits + static_cast<std::uint64_t>(*c - '0');
    digits_behind_point += behind_point ? 1 : 0;
  }
  ++c;
  c += *c == '+' ? 1 : 0;
  std::from_chars(c, end, number.exponent);
  number.exponent -= digits_behind_point;
  return number;
}

Decimal without_trailing_zeros(Decimal number) {
  while (number.digits != 0 && number.digits % 10 == 0) {
    number.digits /= 10;
    ++number.exponent;
  }
  return number;
}

}  // namespace

Rounded nearest_double(const Decimal& number) {
  std::array<char, 40> text{};
  char* const limit = text.data() + text.size();
  char* const digits_end = std::to_chars(text.data(), limit, number.digits).ptr;
  const char* const end = write_exponent(digits_end, limit, number.exponent);
  return read_double(text.data(), end, number.negative, number.exponent);
}

Rounded nearest_double(bool negative, std::string_view mantissa, std::int64_t last_exponent) {
  // A double is decided by at most 767 significant digits and whether anything but zeros follows.
  constexpr std::size_t most_digits = 800;
  std::array<char, most_digits + 32> text{};
  std::size_t count = 0;
  std::int64_t dropped = 0;
  bool nonzero_dropped = false;
  for (const char c : mantissa) {
    const bool leading_zero = count == 0 && c == '0';
    if (c == '.' || leading_zero) {
      continue;
    }
    if (count < most_digits) {
      text[count++] = c;
    } else {
      ++dropped;
      nonzero_dropped = nonzero_dropped || c != '0';
    }
  }
  if (count == 0) {
    return {.value = negative ? -0.0 : 0.0};
  }
  std::int64_t exponent = last_exponent + dropped;
  if (nonzero_dropped) {
    text[count++] = '1';
    --exponent;
  }
  char* const limit = text.data() + text.size();
  const char* const end = write_exponent(text.data() + count, limit, exponent);
  // The sign of the exponent of the first digit says on which side a value out of range lies.
  const std::int64_t first_exponent = exponent + static_cast<std::int64_t>(count);
  return read_double(text.data(), end, negative, first_exponent);
}

long double as_long_double(const Decimal& number) {
  const long double magnitude =
      times_power_of_ten(static_cast<long double>(number.digits), number.exponent);
  return number.negative ? -magnitude : magnitude;
}

Rounded round_to_double(long double value) {
  const auto rounded = static_cast<double>(value);
  if (std::isinf(rounded)) {
    return {.range = Range::overflow};
  }
  if (rounded == 0.0 && value != 0.0L) {
    return {.range = Range::underflow};
  }
  return {.value = rounded};
}

Rounded si_value(const Decimal& number, const UnitScale& scale) {
  if (number.digits == 0) {
    return {.value = number.negative ? -0.0 : 0.0};
  }
  // So that "6e4" and "60000", which are rounded at different places on their way, give the same.
  const Decimal reduced = without_trailing_zeros(number);
  long double value = static_cast<long double>(reduced.digits) * scale.numerator;
  value = times_power_of_pi(value, scale.power_of_pi) / scale.denominator;
  value = times_power_of_ten(value, reduced.exponent + scale.power_of_ten);
  if (value == 0.0L) {
    return {.range = Range::underflow};
  }
  return round_to_double(reduced.negative ? -value : value);
}

Decimal fewest_digits(double value_in_si, const UnitScale& scale) {
  if (scale.is_decimal() || value_in_si == 0.0) {
    Decimal number = shortest(value_in_si);
    number.exponent -= scale.power_of_ten;
    return number;
  }

  // The number of units is base * 10^-power_of_ten.
  long double base = std::abs(static_cast<long double>(value_in_si)) * scale.denominator;
  base = times_power_of_pi(base / scale.numerator, -scale.power_of_pi);
  // The exponent of the leading digit; the logarithm can be wrong by one at a power of ten.
  auto leading = static_cast<std::int64_t>(std::floor(std::log10(base)));
  constexpr int last = most_decimal_digits - 1;
  long double scaled = std::round(times_power_of_ten(base, last - leading));
  if (scaled >= 10.0L * exact_powers_of_ten[last]) {
    ++leading;
    scaled = std::round(times_power_of_ten(base, last - leading));
  } else if (scaled < exact_powers_of_ten[last]) {
    --leading;
    scaled = std::round(times_power_of_ten(base, last - leading));
  }
  const auto all_digits = static_cast<std::uint64_t>(scaled);

  // Of a number with 19 digits the reader makes the same double again: the errors of this function,
  // of the rounding to 19 digits and of the reader add up to some 1e-18, half a unit in the last
  // place of a double is at least 5e-17 (both relative). So the loop ends at the latest there.
  for (std::size_t dropped = last; dropped > 0; --dropped) {
    const std::uint64_t unit = integer_powers_of_ten[dropped];
    // Not (all_digits + unit / 2) / unit, which could overflow.
    const std::uint64_t digits = all_digits / unit + (all_digits % unit >= unit / 2 ? 1 : 0);
    const Decimal candidate{
        .negative = value_in_si < 0.0,
        .digits = digits,
        .exponent = leading - last + static_cast<std::int64_t>(dropped) - scale.power_of_ten};
    const Rounded read = si_value(candidate, scale);
    if (read.range == Range::inside && read.value == value_in_si) {
      return without_trailing_zeros(candidate);
    }
  }
  return {.negative = value_in_si < 0.0,
          .digits = all_digits,
          .exponent = leading - last - scale.power_of_ten};
}

std::string to_text(const Decimal& number) {
  std::string text = number.negative ? "-" : "";
  const std::string digits = std::to_string(number.digits);
  if (number.digits == 0) {
    return text + digits;
  }
  const auto count = static_cast<std::int64_t>(digits.size());
  const std::int64_t leading = count + number.exponent - 1;
  constexpr std::int64_t least_plain = -4;
  constexpr std::int64_t greatest_plain = 15;
  if (leading < least_plain || leading > greatest_plain) {
    text += digits[0];
    if (count > 1) {
      text += '.';
      text.append(digits, 1);
    }
    text += leading < 0 ? "e-" : "e+";
    const std::string power = std::to_string(leading < 0 ? -leading : leading);
    return text + (power.size() < 2 ? "0" + power : power);
  }
  if (leading < 0) {
    return text + "0." + std::string(static_cast<std::size_t>(-leading - 1), '0') + digits;
  }
  if (number.exponent >= 0) {
    return text + digits + std::string(static_cast<std::size_t>(number.exponent), '0');
  }
  const auto before_point = static_cast<std::size_t>(leading + 1);
  return text + digits.substr(0, before_point) + "." + digits.substr(before_point);
}

std::string to_fixed_text(const Decimal& number, int decimals) {
  const std::int64_t count = count_digits(number.digits);
  constexpr std::int64_t most_plain_digits = 16;
  if (number.digits != 0 && count + number.exponent > most_plain_digits) {
    return to_text(number);
  }
  // Digits of the number behind the last decimal that is shown; where negative, zeros to be added.
  const std::int64_t dropped = -number.exponent - decimals;
  std::uint64_t kept = number.digits;
  if (dropped > count) {
    kept = 0;
  } else if (dropped > 0) {
    const std::uint64_t unit = integer_powers_of_ten[static_cast<std::size_t>(dropped)];
    kept = number.digits / unit + (number.digits % unit >= unit / 2 ? 1 : 0);
  }
  std::string digits = std::to_string(kept);
  if (dropped < 0 && kept != 0) {
    digits.append(static_cast<std::size_t>(-dropped), '0');
  }
  const auto behind_point = static_cast<std::size_t>(decimals);
  if (digits.size() <= behind_point) {
    digits.insert(0, behind_point + 1 - digits.size(), '0');
  }
  if (behind_point > 0) {
    digits.insert(digits.size() - behind_point, 1, '.');
  }
  return (number.negative && kept != 0 ? "-" : "") + digits;
}

}  // namespace lashband::units::detail
