#include "lashband/heat/schedule.hpp"

#include <limits>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_networks.hpp"

using namespace lashband;
using namespace lashband::heat;
using namespace lashband::test;

namespace {

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

}  // namespace

TEST_CASE("a schedule is linear between its points and constant outside") {
  const auto power = schedule<units::Power>({{10, 100}, {30, 200}, {40, 0}});
  CHECK(power.at(seconds(-5)) == watts(100));
  CHECK(power.at(seconds(10)) == watts(100));
  CHECK(power.at(seconds(15)) == watts(125));
  CHECK(power.at(seconds(30)) == watts(200));
  CHECK(power.at(seconds(35)) == watts(100));
  CHECK(power.at(seconds(40)) == watts(0));
  CHECK(power.at(seconds(1e9)) == watts(0));
  CHECK(power.before(seconds(30)) == watts(200));
  CHECK(steady_power(7).at(seconds(-1e6)) == watts(7));
}

TEST_CASE("two points at one time are a jump") {
  const auto level = schedule<units::Temperature>({{0, -40}, {60, -20}, {60, 80}, {120, 80}});
  CHECK(level.before(seconds(60)) == celsius(-20));
  CHECK(level.at(seconds(60)) == celsius(80));
  CHECK(level.at(seconds(30)) == celsius(-30));
  CHECK(level.at(seconds(90)) == celsius(80));
  const auto first = schedule<units::Power>({{0, 1}, {0, 2}});
  CHECK(first.before(seconds(0)) == watts(1));
  CHECK(first.at(seconds(0)) == watts(2));
  CHECK(first.at(seconds(-1)) == watts(1));
}

TEST_CASE("schedules that cannot be are refused") {
  using Points = std::vector<std::pair<double, double>>;
  for (const Points& points :
       {Points{}, Points{{not_a_number, 1}}, Points{{infinite, 1}}, Points{{0, not_a_number}},
        Points{{0, infinite}}, Points{{10, 1}, {9, 1}}, Points{{0, 1}, {0, 2}, {0, 3}}}) {
    INFO(points.size());
    CHECK_THROWS_AS(schedule<units::Power>(points), DomainError);
  }
  CHECK_THROWS_MATCHES(schedule<units::Power>({{10, 1}, {9, 1}}), DomainError,
                       Message("schedule: the times of points must not fall, not 9 s"));
}
