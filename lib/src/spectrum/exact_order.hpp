#pragma once

#include <boost/multiprecision/cpp_int.hpp>

#include "lashband/train/exact_ratio.hpp"

namespace lashband::spectrum::kernel {

/// A fraction above 0 that is not kept in lowest terms: a long train's speed has thousands of
/// digits, and each of its lines would cost a greatest common divisor of them.
class ExactOrder {
 public:
  /// |ratio|, which is not 0.
  explicit ExactOrder(const train::ExactRatio& ratio);

  /// times p / q, both above 0.
  [[nodiscard]] ExactOrder times(long long p, long long q) const;

  /// times a double above 0, exactly.
  [[nodiscard]] ExactOrder times(double factor) const;

  /// The nearest double, of two the even one; where that is a normal number. Otherwise 0 or
  /// something below 1e-307, or infinity.
  [[nodiscard]] double rounded() const;

  [[nodiscard]] bool equals(const ExactOrder& other) const;

 private:
  ExactOrder(boost::multiprecision::cpp_int numerator, boost::multiprecision::cpp_int denominator);

  boost::multiprecision::cpp_int numerator_;
  boost::multiprecision::cpp_int denominator_;
};

}  // namespace lashband::spectrum::kernel
