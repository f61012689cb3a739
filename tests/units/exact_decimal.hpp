#pragma once

#include <boost/math/constants/constants.hpp>
#include <boost/multiprecision/cpp_bin_float.hpp>
#include <cmath>
#include <limits>
#include <string>

#include "lashband/units/unit_symbols.hpp"

/// Arithmetic with a hundred digits, by Boost.Multiprecision: the reference for what is read and
/// written.
namespace exact_decimal {

using Number = boost::multiprecision::number<boost::multiprecision::cpp_bin_float<
    400, boost::multiprecision::digit_base_2, void, boost::int32_t, -100000, 100000>>;

/// `number` units of this scale in SI units.
inline Number in_si(const std::string& number, const lashband::units::UnitScale& scale) {
  using boost::multiprecision::pow;
  Number value(number);
  value *= Number(scale.numerator);
  value /= Number(scale.denominator);
  value *= pow(boost::math::constants::pi<Number>(), scale.power_of_pi);
  value *= pow(Number(10), scale.power_of_ten);
  return value;
}

/// The distance of `rounded` from `exact` in units in the last place of `rounded`: at most 0.5 for
/// the nearest double.
inline double error_in_ulp(double rounded, const Number& exact) {
  const double up = std::nextafter(std::abs(rounded), std::numeric_limits<double>::infinity());
  const Number ulp = std::isinf(up)
                         ? Number(rounded) - Number(std::nextafter(std::abs(rounded), 0.0))
                         : Number(up) - Number(std::abs(rounded));
  const Number error = (Number(rounded) - exact) / ulp;
  return std::abs(static_cast<double>(error));
}

}  // namespace exact_decimal
