#pragma once

#include <boost/multiprecision/cpp_int.hpp>
#include <string>

namespace lashband::train {

/// A ratio of speeds as tooth numbers make it: a fraction without limit on its size. Negative where
/// the senses of rotation are opposite.
using ExactRatio = boost::multiprecision::cpp_rational;

/// "-41/38", "3": numerator and denominator in lowest terms.
[[nodiscard]] std::string text_of(const ExactRatio& ratio);

/// The nearest double (ties to even), however long the fraction is; 0 or infinity only where the
/// ratio is beyond the range of doubles.
[[nodiscard]] double nearest_double(const ExactRatio& ratio);

}  // namespace lashband::train
