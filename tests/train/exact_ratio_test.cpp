#include "lashband/train/exact_ratio.hpp"

#include <cmath>
#include <limits>

#include "catch.hpp"
#include "made_trains.hpp"

using namespace lashband::train;
using boost::multiprecision::cpp_int;

namespace {

ExactRatio power(int base, unsigned exponent) {
  return ExactRatio(boost::multiprecision::pow(cpp_int(base), exponent));
}

}  // namespace

TEST_CASE("a ratio is written in lowest terms") {
  CHECK(text_of(ExactRatio(-82, 76)) == "-41/38");
  CHECK(text_of(ExactRatio(6, 2)) == "3");
  CHECK(text_of(ExactRatio(0)) == "0");
}

TEST_CASE("the nearest double of a ratio is the quotient of whole numbers that doubles hold") {
  // A division of doubles rounds to nearest, by IEEE 754.
  test::Draw draw(3);
  for (int i = 0; i < 2000; ++i) {
    const int above = draw.whole(-1000000, 1000000);
    const int below = draw.whole(1, 1000000);
    CHECK(nearest_double(ExactRatio(above, below)) ==
          static_cast<double>(above) / static_cast<double>(below));
  }
}

TEST_CASE("the nearest double is found for fractions longer than doubles reach") {
  CHECK(nearest_double(power(7, 2000) * 3 / (power(7, 2000) * 8)) == 0.375);
  CHECK(nearest_double(-power(10, 1000) / power(10, 998)) == -100.0);
  // Just above and just below the middle between two doubles, 1000 bits further down.
  const ExactRatio middle = 1 + 1 / power(2, 53);
  const ExactRatio little = 1 / power(2, 1053);
  CHECK(nearest_double(middle + little) == 1.0 + 0x1.0p-52);
  CHECK(nearest_double(middle - little) == 1.0);
  CHECK(nearest_double(middle) == 1.0);                            // to even
  CHECK(nearest_double(1 + 3 / power(2, 53)) == 1.0 + 0x1.0p-51);  // to even, upward
  CHECK(nearest_double(2 - 1 / power(2, 60)) == 2.0);              // a carry
}

TEST_CASE("the nearest double at the ends of the range of doubles") {
  using Limits = std::numeric_limits<double>;
  CHECK(nearest_double(1 / power(2, 1074)) == Limits::denorm_min());
  CHECK(nearest_double(3 / power(2, 1075)) == 2.0 * Limits::denorm_min());  // to even
  CHECK(nearest_double(1 / power(2, 1075)) == 0.0);                         // to even
  CHECK(nearest_double(-1 / power(2, 5000)) == 0.0);
  CHECK(nearest_double((power(2, 53) - 1) * power(2, 971)) == Limits::max());
  CHECK(nearest_double(power(2, 1024)) == Limits::infinity());
  CHECK(nearest_double(-power(2, 5000)) == -Limits::infinity());
}
