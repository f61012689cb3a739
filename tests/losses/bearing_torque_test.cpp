#include "lashband/losses/bearing_torque.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/units/rotation.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::losses;
using namespace lashband::test;
using units::from_si;

namespace {

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

/// A handful of products and powers.
constexpr double rounding = 1e-14;

units::AngularVelocity per_minute(double n) {
  return from_si<units::AngularVelocity>(n * std::numbers::pi / 30.0);
}

/// In N mm, with f_0 = 2 and d_m = 40 mm.
double torque_at(double nu, double n, double f_0 = 2.0, double d_m = 40.0) {
  return 1e3 * no_load_torque(f_0, mm2_per_s(nu), per_minute(n), mm(d_m)).value();
}

}  // namespace

TEST_CASE("the load-free torque of a bearing falls as its oil warms") {
  const auto row = reference_rows("load-free bearing torque").at(0);
  const OilViscosity filled = oil(row.at("nu_40"), row.at("nu_100"));
  for (const auto& point : row.at("M_0")) {
    INFO(point.at("t") << " degC");
    const units::Torque M_0 =
        no_load_torque(row.at("f_0"), filled.kinematic_viscosity(units::celsius(point.at("t"))),
                       per_minute(row.at("n")), mm(row.at("d_m")));
    CHECK_THAT(1e3 * M_0.value(),
               WithinAbs(point.at("value")[0].get<double>(), point.at("value")[1].get<double>()));
  }
}

TEST_CASE("the load-free torque has no step and never falls with speed") {
  const double knee = std::pow(160.0, 1.5);
  CHECK_THAT(torque_at(1.0, knee * (1.0 - 1e-12)),
             WithinRel(torque_at(1.0, knee * (1.0 + 1e-12)), 1e-11));
  double previous = 0.0;
  for (int n = 1990; n <= 2040; ++n) {
    const double now = torque_at(1.0, n);
    INFO("nu n = " << n);
    CHECK(now >= previous);
    // A step of 1 in nu n is 0.05 % of it, and 2/3 of that of the torque.
    if (n > 1990) {
      CHECK(now <= previous * 1.0004);
    }
    previous = now;
  }
}

TEST_CASE("the load-free torque is the printed rule, less its step") {
  // M_0 = 1e-7 f_0 (nu n)^(2/3) d_m^3 for nu n >= 2000, else 160e-7 f_0 d_m^3, in N mm: Palmgren,
  // from memory.
  const auto printed = [](double nu_n) {
    return 1e-7 * 2.0 * (nu_n >= 2000.0 ? std::pow(nu_n, 2.0 / 3.0) : 160.0) * 64e3;
  };
  for (const double nu_n : {1.0, 500.0, 1999.0, 2025.0, 2500.0, 1e5, 1e7}) {
    INFO("nu n = " << nu_n);
    CHECK_THAT(torque_at(10.0, nu_n / 10.0), WithinRel(printed(nu_n), rounding));
  }
  double greatest = 0.0;
  for (const double nu_n : {2000.001, 2005.0, 2010.0, 2020.0, 2023.8}) {
    const double excess = torque_at(10.0, nu_n / 10.0) / printed(nu_n) - 1.0;
    INFO("nu n = " << nu_n);
    CHECK(excess > 0.0);
    greatest = std::max(greatest, excess);
  }
  // 160/2000^(2/3) = 1.00794.
  CHECK_THAT(greatest, WithinAbs(0.00794, 5e-6));
}

TEST_CASE("the load-free torque keeps its powers") {
  const double M_0 = torque_at(100.0, 1000.0);
  CHECK_THAT(torque_at(100.0, 1000.0, 6.0), WithinRel(3.0 * M_0, rounding));
  CHECK_THAT(torque_at(100.0, 1000.0, 2.0, 80.0), WithinRel(8.0 * M_0, rounding));
  CHECK_THAT(torque_at(100.0, 8000.0), WithinRel(4.0 * M_0, rounding));
  CHECK_THAT(torque_at(800.0, 1000.0), WithinRel(4.0 * M_0, rounding));
  CHECK_THAT(torque_at(1000.0, 100.0), WithinRel(M_0, rounding));
  // Below the knee neither viscosity nor speed matters.
  CHECK(torque_at(1.0, 100.0) == torque_at(5.0, 300.0));
}

TEST_CASE("a bearing at rest has a torque and no power") {
  const units::Torque at_rest = no_load_torque(2.0, mm2_per_s(32.0), per_minute(0.0), mm(40.0));
  // By hand: 160e-7 * 2 * 40^3 N mm.
  CHECK_THAT(1e3 * at_rest.value(), WithinRel(2.048, rounding));
  CHECK(units::power(at_rest, per_minute(0.0)).value() == 0.0);
  // By hand: 2.048 N mm at 10 rad/s (nu n below the knee) are 20.48 mW.
  const auto speed = from_si<units::AngularVelocity>(10.0);
  CHECK_THAT(
      1e3 * units::power(no_load_torque(2.0, mm2_per_s(10.0), speed, mm(40.0)), speed).value(),
      WithinRel(20.48, rounding));
}

TEST_CASE("the load-dependent torque is a factor times a force times the mean diameter") {
  // By hand: 8e-4 * 500 N * 40 mm = 16 N mm.
  CHECK_THAT(1e3 * load_torque(8e-4, from_si<units::Force>(500.0), mm(40.0)).value(),
             WithinRel(16.0, rounding));
  CHECK(load_torque(8e-4, from_si<units::Force>(0.0), mm(40.0)).value() == 0.0);
  CHECK(load_torque(0.0, from_si<units::Force>(500.0), mm(40.0)).value() == 0.0);
}

TEST_CASE("bearings whose torque cannot be told are refused") {
  CHECK_THROWS_MATCHES(torque_at(32, 800, 0), DomainError,
                       Message("the factor f_0 of a bearing must be above 0, not 0"));
  CHECK_THROWS_AS(torque_at(32, 800, -2), DomainError);
  CHECK_THROWS_AS(torque_at(0, 800), DomainError);
  CHECK_THROWS_AS(torque_at(-32, 800), DomainError);
  CHECK_THROWS_AS(torque_at(32, -1), DomainError);
  CHECK_THROWS_AS(torque_at(32, 800, 2, 0), DomainError);
  CHECK_THROWS_AS(torque_at(32, 800, 2, -40), DomainError);
  const auto loaded = [](double f_1, double P_1, double d_m) {
    return load_torque(f_1, from_si<units::Force>(P_1), mm(d_m));
  };
  CHECK_THROWS_AS(loaded(-1e-3, 500, 40), DomainError);
  CHECK_THROWS_MATCHES(
      loaded(1e-3, -500, 40), DomainError,
      Message("the equivalent force of a bearing must be 0 N or more, not -500 N"));
  CHECK_THROWS_AS(loaded(1e-3, 500, 0), DomainError);
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(torque_at(32, 800, bad), DomainError);
    CHECK_THROWS_AS(torque_at(bad, 800), DomainError);
    CHECK_THROWS_AS(torque_at(32, bad), DomainError);
    CHECK_THROWS_AS(torque_at(32, 800, 2, bad), DomainError);
    CHECK_THROWS_AS(loaded(bad, 500, 40), DomainError);
    CHECK_THROWS_AS(loaded(1e-3, bad, 40), DomainError);
    CHECK_THROWS_AS(loaded(1e-3, 500, bad), DomainError);
  }
}
