#include "exact_order.hpp"

#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>

namespace lashband::spectrum::kernel {

using boost::multiprecision::cpp_int;

ExactOrder::ExactOrder(const train::ExactRatio& ratio)
    : numerator_(abs(boost::multiprecision::numerator(ratio))),
      denominator_(boost::multiprecision::denominator(ratio)) {}

ExactOrder::ExactOrder(cpp_int numerator, cpp_int denominator)
    : numerator_(std::move(numerator)), denominator_(std::move(denominator)) {}

ExactOrder ExactOrder::times(long long p, long long q) const {
  return {numerator_ * p, denominator_ * q};
}

ExactOrder ExactOrder::times(double factor) const {
  constexpr int digits = std::numeric_limits<double>::digits;
  int exponent = 0;
  const double fraction = std::frexp(factor, &exponent);
  cpp_int numerator = numerator_ * static_cast<std::int64_t>(std::ldexp(fraction, digits));
  cpp_int denominator = denominator_;
  const int power = exponent - digits;
  if (power > 0) {
    numerator <<= static_cast<unsigned>(power);
  } else {
    denominator <<= static_cast<unsigned>(-power);
  }
  return {std::move(numerator), std::move(denominator)};
}

double ExactOrder::rounded() const {
  // The quotient is scaled to 62 or 63 bits, more than a double has. A remainder sets the last of
  // them, so that the one rounding to double sees on which side of a tie the fraction lies.
  constexpr long long quotient_bits = 62;
  const auto numerator_bits = static_cast<long long>(msb(numerator_));
  const auto denominator_bits = static_cast<long long>(msb(denominator_));
  const long long shift = quotient_bits + denominator_bits - numerator_bits;
  cpp_int numerator = numerator_;
  cpp_int denominator = denominator_;
  if (shift > 0) {
    numerator <<= static_cast<unsigned long long>(shift);
  } else {
    denominator <<= static_cast<unsigned long long>(-shift);
  }
  cpp_int quotient;
  cpp_int remainder;
  divide_qr(numerator, denominator, quotient, remainder);
  auto bits = static_cast<std::uint64_t>(quotient);
  if (remainder != 0) {
    bits |= 1U;
  }
  constexpr long long beyond = 4096;  // any double is 0 or infinite there; keeps int in its range
  const long long power = -shift;
  if (power > beyond) {
    return std::numeric_limits<double>::infinity();
  }
  return power < -beyond ? 0.0 : std::ldexp(static_cast<double>(bits), static_cast<int>(power));
}

bool ExactOrder::equals(const ExactOrder& other) const {
  return numerator_ * other.denominator_ == other.numerator_ * denominator_;
}

}  // namespace lashband::spectrum::kernel
