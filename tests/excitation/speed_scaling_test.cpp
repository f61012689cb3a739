// How excitations go with the speed.
#include "lashband/excitation/speed_scaling.hpp"

#include <limits>

#include "catch.hpp"
#include "lashband/error.hpp"

using namespace lashband;
using namespace lashband::excitation;

namespace {

units::AngularVelocity speed(double value) {
  return units::from_si<units::AngularVelocity>(value);
}

}  // namespace

TEST_CASE("an amplitude stays, goes with the speed or with its square") {
  // Quotients of small whole numbers are exact.
  CHECK(speed_factor(SpeedScaling::constant, speed(300.0), speed(100.0)) == 1.0);
  CHECK(speed_factor(SpeedScaling::proportional, speed(300.0), speed(100.0)) == 3.0);
  CHECK(speed_factor(SpeedScaling::squared, speed(300.0), speed(100.0)) == 9.0);
  CHECK(speed_factor(SpeedScaling::squared, speed(50.0), speed(100.0)) == 0.25);
  CHECK(speed_factor(SpeedScaling::squared, speed(0.0), speed(100.0)) == 0.0);
  CHECK(speed_factor(SpeedScaling::constant, speed(0.0), speed(0.0)) == 1.0);
}

TEST_CASE("speeds outside their range are refused") {
  const double not_a_number = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_MATCHES(speed_factor(SpeedScaling::constant, speed(-1.0), speed(1.0)), DomainError,
                       Message("the speed of an excitation must be 0 rad/s or more, not -1 rad/s"));
  CHECK_THROWS_AS(speed_factor(SpeedScaling::constant, speed(not_a_number), speed(1.0)),
                  DomainError);
  for (const auto scaling : {SpeedScaling::proportional, SpeedScaling::squared}) {
    CHECK_THROWS_AS(speed_factor(scaling, speed(1.0), speed(0.0)), DomainError);
    CHECK_THROWS_AS(speed_factor(scaling, speed(1.0), speed(-1.0)), DomainError);
    CHECK_THROWS_AS(speed_factor(scaling, speed(1.0), speed(not_a_number)), DomainError);
    CHECK_THROWS_AS(speed_factor(scaling, speed(1e300), speed(1e-300)), DomainError);
  }
}
