#include "lashband/elastomer/temperature_effect.hpp"

#include <cmath>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_quantities.hpp"

using namespace lashband;
using namespace lashband::elastomer;
using namespace lashband::test;
using units::celsius;
using units::from_si;

namespace {

materials::Wlf wlf(double reference, double c1, double c2) {
  return {celsius(reference), c1, from_si<units::TemperatureDifference>(c2)};
}

StiffnessFactor table() {
  return StiffnessFactor({{celsius(30.0), 1.0}, {celsius(60.0), 0.7}, {celsius(100.0), 0.44}});
}

}  // namespace

TEST_CASE("the WLF shift is the one worked out by hand") {
  // C1 8, C2 100 K: -8 * 100/200 = -4; -8 * (-50)/50 = 8; a_T is 1 at the reference.
  CHECK_THAT(shift_factor(wlf(20.0, 8.0, 100.0), celsius(120.0)), WithinRel(1e-4, 1e-13));
  CHECK_THAT(shift_factor(wlf(20.0, 8.0, 100.0), celsius(-30.0)), WithinRel(1e8, 1e-13));
  CHECK(shift_factor(wlf(20.0, 8.0, 100.0), celsius(20.0)) == 1.0);
  // Natural rubber, T0 248 K, C1 8.86, C2 101.6 K (Ferry, from memory), at 298 K: by hand
  // -8.86 * 50/151.6 = -2.92216, of which 10^ is 1.1963e-3.
  CHECK_THAT(shift_factor(wlf(-25.15, 8.86, 101.6), units::kelvin(298.0)),
             WithinAbs(1.1963e-3, 5e-8));
}

TEST_CASE("a chain a_T times as slow answers at a_T times lower a frequency") {
  const GeneralisedMaxwell chain{newton_metre_per_radian(500.0),
                                 {{newton_metre_per_radian(300.0), second(0.02)},
                                  {newton_metre_per_radian(700.0), second(0.0005)}}};
  const auto shift = wlf(25.0, 3.64, 186.5);
  const units::Temperature cold = celsius(-20.0);
  const double a_T = shift_factor(shift, cold);
  CHECK(a_T > 1.0);
  const ElastomerLaw warm_law(chain);
  const ElastomerLaw cold_law(shifted(chain, shift, cold));
  for (const double omega : {1.0, 100.0, 1e4}) {
    const ComplexStiffness in_the_cold = dynamic_stiffness(cold_law, radian_per_second(omega));
    const ComplexStiffness warm = dynamic_stiffness(warm_law, radian_per_second(a_T * omega));
    CHECK_THAT(in_the_cold.storage.value(), WithinRel(warm.storage.value(), 1e-13));
    CHECK_THAT(in_the_cold.loss.value(), WithinRel(warm.loss.value(), 1e-13));
  }
  CHECK(static_stiffness(cold_law) == static_stiffness(warm_law));
}

TEST_CASE("a WLF shift near its pole is refused") {
  const auto shift = wlf(20.0, 8.0, 100.0);
  CHECK_THROWS_AS(shift_factor(shift, celsius(-80.0)), DomainError);
  CHECK_THROWS_AS(shift_factor(shift, celsius(-90.0)), DomainError);
  CHECK_THROWS_AS(shift_factor(shift, celsius(-79.0)), ComputationError);
  CHECK_THROWS_AS(shift_factor(wlf(20.0, 0.0, 100.0), celsius(20.0)), DomainError);
  CHECK_THROWS_AS(shift_factor(wlf(20.0, 8.0, 0.0), celsius(20.0)), DomainError);
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(shift_factor(shift, celsius(bad)), DomainError);
    CHECK_THROWS_AS(shift_factor(wlf(bad, 8.0, 100.0), celsius(20.0)), DomainError);
    CHECK_THROWS_AS(shift_factor(wlf(20.0, bad, 100.0), celsius(20.0)), DomainError);
    CHECK_THROWS_AS(shift_factor(wlf(20.0, 8.0, bad), celsius(20.0)), DomainError);
  }
}

TEST_CASE("a stiffness factor is linear between its points") {
  CHECK(table().at(celsius(30.0)) == 1.0);
  CHECK(table().at(celsius(60.0)) == 0.7);
  CHECK(table().at(celsius(100.0)) == 0.44);
  // By hand: half and three quarters of the way.
  CHECK_THAT(table().at(celsius(45.0)), WithinRel(0.85, 1e-14));
  CHECK_THAT(table().at(celsius(90.0)), WithinRel(0.505, 1e-14));
  CHECK(table().range().low == celsius(30.0));
  CHECK(table().range().high == celsius(100.0));
}

TEST_CASE("a stiffness factor outside its table is refused") {
  CHECK_THROWS_MATCHES(table().at(celsius(20.0)), DomainError,
                       Message("the stiffness factor of the elastomer is given from 30 degC to 100 "
                               "degC, not for 20 degC"));
  CHECK_THROWS_AS(table().at(celsius(100.1)), DomainError);
  CHECK_THROWS_AS(table().at(celsius(not_a_number)), DomainError);
}

TEST_CASE("tables of stiffness factors without sense are refused") {
  CHECK_THROWS_AS(StiffnessFactor({}), DomainError);
  CHECK_THROWS_AS(StiffnessFactor({{celsius(20.0), 1.0}}), DomainError);
  CHECK_THROWS_AS(StiffnessFactor({{celsius(20.0), 1.0}, {celsius(20.0), 0.9}}), DomainError);
  CHECK_THROWS_AS(StiffnessFactor({{celsius(30.0), 1.0}, {celsius(20.0), 0.9}}), DomainError);
  CHECK_THROWS_AS(StiffnessFactor({{celsius(20.0), 1.0}, {celsius(30.0), 0.0}}), DomainError);
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(StiffnessFactor({{celsius(20.0), bad}, {celsius(30.0), 1.0}}), DomainError);
    CHECK_THROWS_AS(StiffnessFactor({{celsius(20.0), 1.0}, {celsius(bad), 1.0}}), DomainError);
  }
}
