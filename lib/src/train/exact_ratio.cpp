#include "lashband/train/exact_ratio.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>

namespace lashband::train {

std::string text_of(const ExactRatio& ratio) {
  std::string text = numerator(ratio).str();
  if (denominator(ratio) != 1) {
    text += '/';
    text += denominator(ratio).str();
  }
  return text;
}

double nearest_double(const ExactRatio& ratio) {
  using boost::multiprecision::cpp_int;
  if (ratio == 0) {
    return 0.0;
  }
  cpp_int above = abs(numerator(ratio));
  cpp_int below = denominator(ratio);
  const auto bits_above = static_cast<long>(msb(above));
  const auto bits_below = static_cast<long>(msb(below));

  // The quotient in units of 2^exponent has 53 or 54 bits, or as few as a subnormal number has. One
  // that comes out with 54 is taken again.
  constexpr long digits = std::numeric_limits<double>::digits;
  constexpr long least_exponent = std::numeric_limits<double>::min_exponent - digits;
  long exponent = std::max(bits_above - bits_below - digits, least_exponent);
  if (exponent > std::numeric_limits<double>::max_exponent) {
    const double infinity = std::numeric_limits<double>::infinity();
    return ratio < 0 ? -infinity : infinity;
  }
  const auto quotient_at = [](const cpp_int& top, const cpp_int& bottom, long power) {
    struct Division {
      cpp_int divisor, quotient, rest;
    };
    Division division;
    const cpp_int scaled = power < 0 ? cpp_int(top << static_cast<unsigned>(-power)) : top;
    division.divisor = power > 0 ? cpp_int(bottom << static_cast<unsigned>(power)) : bottom;
    divide_qr(scaled, division.divisor, division.quotient, division.rest);
    return division;
  };
  auto division = quotient_at(above, below, exponent);
  if (division.quotient != 0 && static_cast<long>(msb(division.quotient)) >= digits) {
    ++exponent;
    division = quotient_at(above, below, exponent);
  }
  const cpp_int twice = division.rest << 1U;
  if (twice > division.divisor || (twice == division.divisor && bit_test(division.quotient, 0))) {
    ++division.quotient;
  }
  // At most 2^53: no rounding in either step.
  const double magnitude =
      std::ldexp(static_cast<double>(static_cast<std::uint64_t>(division.quotient)),
                 static_cast<int>(exponent));
  return ratio < 0 ? -magnitude : magnitude;
}

}  // namespace lashband::train
