#include "lashband/bearing/float_at_gear.hpp"

#include <algorithm>
#include <limits>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::bearing;
using namespace lashband::test;

namespace {

// Places in millimetres below 1 m, divided by a span of 0.1 m.
constexpr double rounding = 1e-14;

}  // namespace

TEST_CASE("a gear between two seats shares their floats by its place") {
  const auto weights = float_weights({mm(20), mm(120)}, mm(45));
  REQUIRE(weights.size() == 2);
  CHECK_THAT(weights[0], WithinAbs(0.75, rounding));
  CHECK_THAT(weights[1], WithinAbs(0.25, rounding));
  const auto turned_round = float_weights({mm(120), mm(20)}, mm(45));
  CHECK_THAT(turned_round[0], WithinAbs(0.25, rounding));
  CHECK_THAT(turned_round[1], WithinAbs(0.75, rounding));
}

TEST_CASE("a gear on a seat has the float of that seat alone") {
  CHECK(float_weights({mm(0), mm(100)}, mm(0)) == std::vector<double>{1.0, 0.0});
  CHECK(float_weights({mm(0), mm(100)}, mm(100)) == std::vector<double>{0.0, 1.0});
}

TEST_CASE("an overhung gear moves by more than its bearings") {
  // A lever: 40 mm beyond b, on a span of 100 mm, moves 1.4 times b and 0.4 times a the other way.
  const auto weights = float_weights({mm(0), mm(100)}, mm(140));
  CHECK_THAT(weights[0], WithinAbs(0.4, rounding));
  CHECK_THAT(weights[1], WithinAbs(1.4, rounding));
}

TEST_CASE("weights are the reach of a rigid shaft in its clearances") {
  // Independent: the extremes of the straight line through every corner of the two clearances.
  for (const double x : {-50.0, 0.0, 30.0, 100.0, 175.0}) {
    const double float_a = 12.0;
    const double float_b = 30.0;
    double low = 0.0;
    double high = 0.0;
    for (const double a : {-0.5 * float_a, 0.5 * float_a}) {
      for (const double b : {-0.5 * float_b, 0.5 * float_b}) {
        const double at_gear = a + (b - a) * x / 100.0;
        low = std::min(low, at_gear);
        high = std::max(high, at_gear);
      }
    }
    const auto weights = float_weights({mm(0), mm(100)}, mm(x));
    INFO(x);
    CHECK_THAT(weights[0] * float_a + weights[1] * float_b, WithinRel(high - low, rounding));
  }
}

TEST_CASE("a single seat passes its float on") {
  CHECK(float_weights({mm(20)}, mm(45)) == std::vector<double>{1.0});
}

TEST_CASE("places that give no weights are refused") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinite = std::numeric_limits<double>::infinity();
  CHECK_THROWS_MATCHES(float_weights({}, mm(0)), DomainError,
                       Message("the seats of a shaft with float must be one or two, not 0"));
  CHECK_THROWS_AS(float_weights({mm(0), mm(1), mm(2)}, mm(0)), DomainError);
  CHECK_THROWS_AS(float_weights({mm(5), mm(5)}, mm(0)), DomainError);
  CHECK_THROWS_AS(float_weights({mm(nan), mm(5)}, mm(0)), DomainError);
  CHECK_THROWS_AS(float_weights({mm(0), mm(infinite)}, mm(0)), DomainError);
  CHECK_THROWS_AS(float_weights({mm(0)}, mm(nan)), DomainError);
}
