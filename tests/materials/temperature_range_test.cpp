#include "lashband/materials/temperature_range.hpp"

#include <limits>

#include "catch.hpp"

namespace {

using lashband::materials::contains;
using lashband::materials::TemperatureRange;
using lashband::units::celsius;
using lashband::units::kelvin;

TEST_CASE("a range holds its ends, whatever the scale they were written in") {
  const TemperatureRange range{celsius(-60), celsius(200)};
  CHECK(contains(range, celsius(-60)));
  CHECK(contains(range, celsius(200)));
  CHECK(contains(range, kelvin(213.15)));
  CHECK(contains(range, kelvin(473.15)));
  CHECK_FALSE(contains(range, celsius(-60.001)));
  CHECK_FALSE(contains(range, celsius(200.001)));
}

TEST_CASE("what is no number lies in no range") {
  const TemperatureRange range{celsius(-60), celsius(200)};
  CHECK_FALSE(contains(range, celsius(std::numeric_limits<double>::quiet_NaN())));
  CHECK_FALSE(contains(range, celsius(std::numeric_limits<double>::infinity())));
}

}  // namespace
