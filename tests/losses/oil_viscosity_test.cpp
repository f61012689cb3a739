#include "lashband/losses/oil_viscosity.hpp"

#include <cmath>
#include <limits>
#include <utility>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::losses;
using namespace lashband::test;
using units::celsius;
using units::from_si;

namespace {

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

/// Of the line, where the exponentials do not matter: see the accuracy in the header.
constexpr double rounding = 1e-12;

/// The nu with Z of nu = `Z`, by halving: a second route beside the cubic of ASTM D341.
long double viscosity_by_halving(long double Z) {
  long double low = 0.0L;
  long double high = Z;
  for (int step = 0; step < 200; ++step) {
    const long double nu = (low + high) / 2.0L;
    const long double z_here = nu + 0.7L + std::exp(-1.47L - 1.84L * nu - 0.51L * nu * nu);
    (z_here < Z ? low : high) = nu;
  }
  return (low + high) / 2.0L;
}

}  // namespace

TEST_CASE("the Walther line of a published example comes out") {
  // The example has T = t + 273; 0.15 K less than it states gives the same T.
  const auto published = reference_rows("Walther line, T = t + 273").at(0);
  const OilViscosity example({celsius(39.85), mm2_per_s(32.0)}, {celsius(99.85), mm2_per_s(5.4)});
  CHECK_THAT(example.intercept(),
             WithinAbs(published.at("A")[0].get<double>(), published.at("A")[1].get<double>()));
  CHECK_THAT(example.slope(),
             WithinAbs(published.at("B")[0].get<double>(), published.at("B")[1].get<double>()));
  CHECK_THAT(
      in_mm2_per_s(example.kinematic_viscosity(celsius(79.85))),
      WithinAbs(published.at("nu_80")[0].get<double>(), published.at("nu_80")[1].get<double>()));

  const auto row = reference_rows("Walther line, T = t + 273.15").at(0);
  const OilViscosity same = oil(32.0, 5.4);
  CHECK_THAT(same.intercept(),
             WithinAbs(row.at("A")[0].get<double>(), row.at("A")[1].get<double>()));
  CHECK_THAT(same.slope(), WithinAbs(row.at("B")[0].get<double>(), row.at("B")[1].get<double>()));
  CHECK_THAT(in_mm2_per_s(same.kinematic_viscosity(celsius(80.0))),
             WithinAbs(row.at("nu_80")[0].get<double>(), row.at("nu_80")[1].get<double>()));
}

TEST_CASE("the points of an oil are met as closely as the inverse of ASTM D341 allows") {
  for (const auto& row : reference_rows("inverse of ASTM D341")) {
    const double nu = row.at("nu");
    INFO(nu << " mm2/s");
    const OilViscosity thin({celsius(20.0), mm2_per_s(1000.0)}, {celsius(100.0), mm2_per_s(nu)});
    const double back = in_mm2_per_s(thin.kinematic_viscosity(celsius(100.0)));
    CHECK_THAT(std::abs(back - nu) / nu, WithinAbs(row.at("misses_by")[0].get<double>(),
                                                   row.at("misses_by")[1].get<double>()));
  }
  // The bounds that the header states, over the whole range.
  for (int step = 0; step <= 300; ++step) {
    const double nu = 0.211 * std::pow(1.05, step);  // up to 4.8e5
    INFO(nu << " mm2/s");
    const OilViscosity thin({celsius(0.0), mm2_per_s(2e7)}, {celsius(60.0), mm2_per_s(nu)});
    CHECK_THAT(in_mm2_per_s(thin.kinematic_viscosity(celsius(60.0))),
               WithinRel(nu, nu > 5.0 ? 1e-10 : 3e-4));
  }
}

TEST_CASE("Walther curves of five invented oils come out") {
  for (const auto& row : reference_rows("Walther curves")) {
    const OilViscosity one = oil(row.at("nu_40"), row.at("nu_100"));
    for (const auto& point : row.at("nu")) {
      INFO(row.at("oil") << " at " << point.at("t") << " degC");
      CHECK_THAT(in_mm2_per_s(one.kinematic_viscosity(celsius(point.at("t")))),
                 WithinAbs(point.at("value")[0].get<double>(), point.at("value")[1].get<double>()));
    }
  }
}

TEST_CASE("a viscosity is that of the line in long double with Z inverted by halving") {
  for (const auto& [nu_40, nu_100] :
       {std::pair{32.0L, 5.4L}, {320.0L, 24.0L}, {6.0L, 1.9L}, {3.0L, 1.0L}}) {
    const OilViscosity one = oil(static_cast<double>(nu_40), static_cast<double>(nu_100));
    const auto ordinate = [](long double nu) {
      return std::log10(std::log10(nu + 0.7L + std::exp(-1.47L - 1.84L * nu - 0.51L * nu * nu)));
    };
    const long double x_40 = std::log10(313.15L);
    const long double x_100 = std::log10(373.15L);
    for (int t = -60; t <= 160; t += 5) {
      INFO(nu_40 << "/" << nu_100 << " at " << t << " degC");
      const long double share = (std::log10(273.15L + t) - x_40) / (x_100 - x_40);
      const long double y = ordinate(nu_40) + share * (ordinate(nu_100) - ordinate(nu_40));
      const auto expected =
          static_cast<double>(viscosity_by_halving(std::pow(10.0L, std::pow(10.0L, y))));
      CHECK_THAT(in_mm2_per_s(one.kinematic_viscosity(celsius(t))),
                 WithinRel(expected, expected > 10.0  ? rounding
                                     : expected > 5.0 ? 1e-10
                                                      : 3e-4));
    }
  }
}

TEST_CASE("viscosity falls with temperature, and its curve has no step") {
  // From 1e5 mm2/s in the cold to where the exponentials of ASTM D341 rule.
  const OilViscosity one = oil(9.0, 2.2);
  double previous = infinite;
  for (int step = -6000; step <= 22000; ++step) {
    const double t = step / 100.0;
    const double now = in_mm2_per_s(one.kinematic_viscosity(celsius(t)));
    INFO(t << " degC");
    REQUIRE(now < previous);
    // 30 % a kelvin is more than the curve has anywhere here: 0.3 % a step.
    if (step > -6000) {
      REQUIRE(now > 0.997 * previous);
    }
    previous = now;
  }
  CHECK(previous < 1.0);
}

TEST_CASE("a point in between makes the same line, whichever is named first") {
  const OilViscosity one = oil(150.0, 14.7);
  const OilViscosity turned({celsius(100.0), mm2_per_s(14.7)}, {celsius(40.0), mm2_per_s(150.0)});
  CHECK(turned.intercept() == one.intercept());
  CHECK(turned.slope() == one.slope());
  CHECK(turned.range().low == celsius(40.0));
  CHECK(turned.range().high == celsius(100.0));
  const OilViscosity elsewhere({celsius(70.0), one.kinematic_viscosity(celsius(70.0))},
                               {celsius(10.0), one.kinematic_viscosity(celsius(10.0))});
  for (const double t : {-40.0, 0.0, 55.0, 120.0}) {
    INFO(t << " degC");
    CHECK_THAT(in_mm2_per_s(elsewhere.kinematic_viscosity(celsius(t))),
               WithinRel(in_mm2_per_s(one.kinematic_viscosity(celsius(t))), 10.0 * rounding));
  }
}

TEST_CASE("extrapolation is told from interpolation") {
  const OilViscosity one = oil(32.0, 5.4);
  CHECK(one.lies_between_points(celsius(40.0)));
  CHECK(one.lies_between_points(celsius(70.0)));
  CHECK(one.lies_between_points(celsius(100.0)));
  CHECK_FALSE(one.lies_between_points(celsius(39.9)));
  CHECK_FALSE(one.lies_between_points(celsius(100.1)));
  CHECK_FALSE(one.lies_between_points(celsius(not_a_number)));
}

TEST_CASE("dynamic viscosity is kinematic viscosity times density") {
  // By hand: 100 mm2/s of 850 kg/m3 are 85 mPa s.
  const units::DynamicViscosity eta =
      dynamic_viscosity(mm2_per_s(100.0), from_si<units::Density>(850.0));
  CHECK_THAT(1e3 * eta.value(), WithinRel(85.0, 1e-15));
}

TEST_CASE("oils that cannot be are refused") {
  const auto made = [](double t_1, double nu_1, double t_2, double nu_2) {
    return OilViscosity({celsius(t_1), mm2_per_s(nu_1)}, {celsius(t_2), mm2_per_s(nu_2)});
  };
  CHECK_NOTHROW(made(40, 32, 100, 5.4));
  CHECK_NOTHROW(made(40, 32, 41, 31));
  CHECK_NOTHROW(OilViscosity({celsius(40.0), greatest_stated_viscosity},
                             {celsius(100.0), least_stated_viscosity})
                    .kinematic_viscosity(celsius(100.0)));

  CHECK_THROWS_MATCHES(
      made(40, 32, 40, 5.4), DomainError,
      Message("the two temperatures of an oil's viscosities must be at least 1 K apart, not 0 K"));
  CHECK_THROWS_AS(made(40, 32, 40.9, 5.4), DomainError);
  CHECK_THROWS_AS(made(40.9, 5.4, 40, 32), DomainError);
  CHECK_THROWS_AS(made(-273.15, 32, 100, 5.4), DomainError);
  CHECK_THROWS_AS(made(-300, 32, 100, 5.4), DomainError);
  for (const double bad : {not_a_number, infinite, -infinite}) {
    CHECK_THROWS_AS(made(bad, 32, 100, 5.4), DomainError);
    CHECK_THROWS_AS(made(40, 32, bad, 5.4), DomainError);
    CHECK_THROWS_AS(made(40, bad, 100, 5.4), DomainError);
    CHECK_THROWS_AS(made(40, 32, 100, bad), DomainError);
  }
  CHECK_THROWS_AS(made(40, 5.4, 100, 32), DomainError);
  CHECK_THROWS_AS(made(100, 32, 40, 5.4), DomainError);
  CHECK_THROWS_MATCHES(made(40, 32, 100, 32), DomainError,
                       Message("the viscosity of an oil must fall with temperature: the warmer "
                               "point must be below the colder one, not 32 mm2/s"));
  CHECK_THROWS_AS(made(40, 32, 100, 0.2099), DomainError);
  CHECK_THROWS_AS(made(40, 32, 100, 0.0), DomainError);
  CHECK_THROWS_AS(made(40, 32, 100, -5.4), DomainError);
  CHECK_THROWS_AS(made(40, 2.001e7, 100, 5.4), DomainError);
}

TEST_CASE("a viscosity that the line does not reach is refused") {
  const OilViscosity one = oil(220.0, 19.0);
  CHECK(in_mm2_per_s(one.kinematic_viscosity(celsius(-40.0))) < 1e7);
  CHECK_THROWS_AS(one.kinematic_viscosity(celsius(-100.0)), ComputationError);
  CHECK_THROWS_AS(one.kinematic_viscosity(celsius(-200.0)), ComputationError);  // beyond doubles
  CHECK_THROWS_AS(one.kinematic_viscosity(celsius(-273.0)), ComputationError);
  // The heat, where the equation ends near 0.12 mm2/s.
  CHECK_THROWS_AS(one.kinematic_viscosity(celsius(3000.0)), ComputationError);
  CHECK_THROWS_MATCHES(
      one.kinematic_viscosity(celsius(-200.0)), ComputationError,
      Message("the viscosity of the oil with points at 40 degC and 100 degC would be inf mm2/s at "
              "-200 degC, but the line is followed from 0.2 mm2/s to 1e12 mm2/s"));
  for (const double bad : {not_a_number, infinite, -infinite, -273.15, -400.0}) {
    CHECK_THROWS_AS(one.kinematic_viscosity(celsius(bad)), DomainError);
  }
}
