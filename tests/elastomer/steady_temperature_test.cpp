#include "lashband/elastomer/steady_temperature.hpp"

#include <boost/math/special_functions/lambert_w.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>
#include <random>

#include "catch.hpp"
#include "lashband/elastomer/temperature_effect.hpp"
#include "lashband/error.hpp"
#include "made_quantities.hpp"

using namespace lashband;
using namespace lashband::elastomer;
using namespace lashband::test;
using std::numbers::pi;
using units::celsius;
using units::from_si;

namespace {

units::Torque newton_metre(double value) {
  return from_si<units::Torque>(value);
}

/// From 20 degC to 120 degC, W over degC.
HeatBalance balance(const std::function<double(double)>& heat, double conductance) {
  return {[heat](units::Temperature T) { return from_si<units::Power>(heat(T.value())); },
          celsius(20.0), celsius(120.0), from_si<units::ThermalConductance>(conductance)};
}

SteadyTemperature steady(const std::function<double(double)>& heat, double conductance) {
  return steady_temperature(balance(heat, conductance));
}

/// The first temperature at which the ring no longer gains heat, by two million even steps.
std::optional<double> first_by_scan(const std::function<double(double)>& heat, double conductance) {
  constexpr int points = 2000000;
  for (int i = 0; i <= points; ++i) {
    const double T = 20.0 + 100.0 * i / points;
    if (conductance * (T - 20.0) >= heat(T)) {
      return T;
    }
  }
  return std::nullopt;
}

}  // namespace

TEST_CASE("the heat of a twist is its energy per cycle times its frequency") {
  // Zener's solid of dynamic_stiffness_test.cpp: 0.1362000497 J a cycle at 50 Hz, 0.01 rad.
  const ElastomerLaw law(GeneralisedMaxwell{newton_metre_per_radian(1000.0),
                                            {{newton_metre_per_radian(1500.0), second(0.01)}}});
  const auto omega = radian_per_second(100.0 * pi);
  const std::vector<TwistOrder> twist{{omega, radian(0.01)}};
  CHECK_THAT(dissipated_power(law, twist).value(), WithinAbs(50.0 * 0.1362000497, 3e-9));
  // The torque that this twist needs makes the same heat.
  const double T = std::hypot(2362.000497, 433.538223) * 0.01;
  CHECK_THAT(dissipated_power(law, std::vector<TorqueOrder>{{omega, newton_metre(T)}}).value(),
             WithinRel(dissipated_power(law, twist).value(), 1e-9));
}

TEST_CASE("the heat of several orders is the mean power of their sum") {
  // A spring and a dashpot: torque k theta + c theta', power over the common cycle of the orders
  // 1, 2 and 5, phases at random, summed over even steps: exact for a polynomial of cosines.
  const double k = 900.0;
  const double c = 0.4;
  const double base = 60.0;
  const ElastomerLaw law(
      KelvinVoigt{newton_metre_per_radian(k), from_si<units::TorsionalDamping>(c)});
  struct Order {
    double number;
    double amplitude;
    double phase;
  };
  const std::vector<Order> orders{{1, 0.02, 0.3}, {2, 0.015, 2.0}, {5, 0.004, -1.1}};
  std::vector<TwistOrder> twists;
  for (const Order& order : orders) {
    twists.push_back({radian_per_second(base * order.number), radian(order.amplitude)});
  }
  constexpr int steps = 64;
  double mean = 0.0;
  for (int i = 0; i < steps; ++i) {
    const double t = 2.0 * pi / base * i / steps;
    double theta = 0.0;
    double velocity = 0.0;
    for (const Order& order : orders) {
      const double omega = base * order.number;
      theta += order.amplitude * std::cos(omega * t + order.phase);
      velocity -= order.amplitude * omega * std::sin(omega * t + order.phase);
    }
    mean += (k * theta + c * velocity) * velocity / steps;
  }
  CHECK_THAT(dissipated_power(law, twists).value(), WithinRel(mean, 1e-12));
  CHECK(dissipated_power(law, std::vector<TwistOrder>{}).value() == 0.0);
}

TEST_CASE("a ring that makes the same heat at every temperature settles at P over G") {
  const SteadyTemperature found = steady([](double) { return 12.0; }, 0.4);
  CHECK(found.outcome == HeatOutcome::settled);
  CHECK_THAT(found.temperature.value(), WithinAbs(50.0, 1e-9));
  CHECK(found.heat.value() == 12.0);
  CHECK(found.margin == 1.0);
  CHECK(found.message.empty());
}

TEST_CASE("a ring without heat stays at ambient") {
  const SteadyTemperature found = steady([](double) { return 0.0; }, 0.4);
  CHECK(found.outcome == HeatOutcome::settled);
  CHECK(found.temperature == celsius(20.0));
}

TEST_CASE("heat in proportion to temperature settles where two lines cross") {
  // 4 + 0.1 (T - 20) = 0.25 (T - 20): T = 20 + 4/0.15.
  const SteadyTemperature found = steady([](double T) { return 4.0 + 0.1 * (T - 20.0); }, 0.25);
  CHECK(found.outcome == HeatOutcome::settled);
  CHECK_THAT(found.temperature.value(), WithinAbs(20.0 + 4.0 / 0.15, 1e-9));
  // P' from differences over 1e-3 K.
  CHECK_THAT(found.margin, WithinAbs(0.6, 1e-9));
}

TEST_CASE("heat that grows as a power of e runs away past the tangent") {
  // P = P0 exp(b (T - Ta)) has a balance only for P0 b/G <= 1/e, at -W(-P0 b/G)/b above ambient
  // (Semenov's theory of ignition; Lambert's W).
  const double b = 0.05;
  const double G = 0.3;
  for (const double load : {0.1, 0.5, 0.9, 0.999, 0.999999}) {
    INFO(load << " of the critical heat");
    const double P0 = load / std::numbers::e * G / b;
    const SteadyTemperature found =
        steady([=](double T) { return P0 * std::exp(b * (T - 20.0)); }, G);
    REQUIRE(found.outcome == HeatOutcome::settled);
    const double rise = -boost::math::lambert_w0(-P0 * b / G) / b;
    // Rounding of the heat, over the margin.
    CHECK_THAT(found.temperature.value(), WithinAbs(20.0 + rise, 1e-9));
    // P' = b P, and differences over 1e-3 K add b/2 * 1e-3 of it.
    CHECK_THAT(found.margin, WithinAbs(1.0 - b * rise, 1e-4));
  }
  for (const double load : {1.00001, 1.5, 10.0}) {
    INFO(load << " of the critical heat");
    const double P0 = load / std::numbers::e * G / b;
    const SteadyTemperature found =
        steady([=](double T) { return P0 * std::exp(b * (T - 20.0)); }, G);
    CHECK(found.outcome == HeatOutcome::runaway);
    CHECK(found.temperature == celsius(120.0));
    CHECK(found.margin < 0.0);
    CHECK_THAT(found.message, ContainsText("runs away"));
  }
}

TEST_CASE("a ring that would settle above its range is told from one that runs away") {
  const SteadyTemperature found = steady([](double) { return 50.0; }, 0.4);
  CHECK(found.outcome == HeatOutcome::above_range);
  CHECK(found.temperature == celsius(120.0));
  CHECK(found.margin == 1.0);
  CHECK_THAT(
      found.message,
      Equals("at 120 degC, the highest temperature of the elastomer, it still makes 50 W and "
             "gives off 40 W: it would settle further up, where it may not be used"));
}

TEST_CASE("of three balances the lowest is taken") {
  // Surplus (T - 30)(T - 55)(T - 80)/1000: balances at 30, 55 (unstable) and 80 degC.
  const auto heat = [](double T) {
    return 5.0 * (T - 20.0) - (T - 30.0) * (T - 55.0) * (T - 80.0) / 1000.0;
  };
  const SteadyTemperature found = steady(heat, 5.0);
  CHECK(found.outcome == HeatOutcome::settled);
  CHECK_THAT(found.temperature.value(), WithinAbs(30.0, 1e-9));
  // Surplus' slope there over G: 25 * 50/1000/5. The difference over 1e-3 K leaves half of P''
  // times it, 0.15/5 * 5e-4.
  CHECK_THAT(found.margin, WithinAbs(0.25, 2e-5));
}

TEST_CASE("a balance that lies between two steps of the search is found") {
  // Surplus 1e-4 - (T - T1)^2 W: above 0 for 0.02 K, where the search goes by 0.2 K.
  for (const double T1 : {20.05, 33.3, 64.1234, 119.99}) {
    INFO("near " << T1);
    const auto heat = [T1](double T) { return (T - 20.0) - 1e-4 + (T - T1) * (T - T1); };
    const SteadyTemperature found = steady(heat, 1.0);
    REQUIRE(found.outcome == HeatOutcome::settled);
    // Its slope there is 0.02 W/K, so that rounding of the heat, 1e-12 W, counts fiftyfold.
    CHECK_THAT(found.temperature.value(), WithinAbs(T1 - 0.01, 1e-9));
  }
  // Just not reached.
  const auto heat = [](double T) { return (T - 20.0) + 1e-6 + (T - 64.1) * (T - 64.1); };
  CHECK(steady(heat, 1.0).outcome == HeatOutcome::runaway);
}

TEST_CASE("steady temperatures are those of a scan of the whole range") {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  int settled = 0;
  for (int trial = 0; trial < 24; ++trial) {
    const double level = 25.0 * uniform(random);
    const double growth = 0.03 * uniform(random);
    const double swing = 0.4 * uniform(random);
    const double pace = 0.05 + 0.15 * uniform(random);
    const auto heat = [=](double T) {
      return level * std::exp(growth * (T - 20.0)) * (1.0 + swing * std::sin(pace * T));
    };
    INFO("trial " << trial);
    const std::optional<double> scanned = first_by_scan(heat, 0.4);
    const SteadyTemperature found = steady(heat, 0.4);
    CHECK((found.outcome == HeatOutcome::settled) == scanned.has_value());
    if (scanned) {
      ++settled;
      // A step of the scan, 5e-5 K.
      CHECK_THAT(found.temperature.value(), WithinAbs(*scanned, 5.1e-5));
      CHECK(found.temperature.value() <= *scanned + 1e-9);
    }
  }
  CHECK(settled > 5);
  CHECK(settled < 24);
}

TEST_CASE("a soft coupling under a given torque runs away, under a given twist it does not") {
  // Stiffness falls to a tenth by 120 degC; the loss factor stays. At a given twist the heat falls
  // with it, at a given torque it grows as its inverse.
  const StiffnessFactor softening({{celsius(20.0), 1.0}, {celsius(120.0), 0.1}});
  const ElastomerLaw cold(LossFactor{newton_metre_per_radian(1000.0), 0.2});
  const auto omega = radian_per_second(200.0);
  const auto law_at = [&](units::Temperature T) { return scaled(cold, softening.at(T)); };
  const auto G = from_si<units::ThermalConductance>(0.3);
  const double theta = 0.03;

  const std::vector<TwistOrder> twist{{omega, radian(theta)}};
  const SteadyTemperature by_twist =
      steady_temperature({[&](units::Temperature T) { return dissipated_power(law_at(T), twist); },
                          celsius(20.0), celsius(120.0), G});
  // P = 18 (1 - 0.009 x) W = 0.3 x, x = 18/0.462 above 20 degC.
  CHECK(by_twist.outcome == HeatOutcome::settled);
  CHECK_THAT(by_twist.temperature.value(), WithinAbs(20.0 + 18.0 / 0.462, 1e-9));
  CHECK_THAT(by_twist.margin, WithinAbs(1.0 + 18.0 * 0.009 / 0.3, 1e-8));

  const std::vector<TorqueOrder> torque{
      {omega, newton_metre(1000.0 * std::hypot(1.0, 0.2) * theta)}};
  const auto by_torque = [&](double conductance) {
    return steady_temperature(
        {[&](units::Temperature T) { return dissipated_power(law_at(T), torque); }, celsius(20.0),
         celsius(120.0), from_si<units::ThermalConductance>(conductance)});
  };
  // P = 18/(1 - 0.009 x): a balance of G x (1 - 0.009 x) = 18 needs G >= 4 * 0.009 * 18 = 0.648.
  CHECK(by_torque(0.3).outcome == HeatOutcome::runaway);
  CHECK(by_torque(0.647).outcome == HeatOutcome::runaway);
  const SteadyTemperature settled = by_torque(0.7);
  REQUIRE(settled.outcome == HeatOutcome::settled);
  CHECK_THAT(settled.temperature.value(),
             WithinAbs(20.0 + (1.0 - std::sqrt(1.0 - 0.648 / 0.7)) / 0.018, 1e-9));
}

TEST_CASE("balances without sense are refused, and what the heat throws is passed on") {
  const auto one = [](double) { return 1.0; };
  CHECK_THROWS_AS(steady(one, 0.0), DomainError);
  CHECK_THROWS_AS(steady(one, not_a_number), DomainError);
  HeatBalance cold_top = balance(one, 1.0);
  cold_top.highest = celsius(20.0);
  CHECK_THROWS_AS(steady_temperature(cold_top), DomainError);
  HeatBalance no_ambient = balance(one, 1.0);
  no_ambient.ambient = celsius(not_a_number);
  CHECK_THROWS_AS(steady_temperature(no_ambient), DomainError);
  CHECK_THROWS_MATCHES(
      steady([](double) { return -1.0; }, 1.0), ComputationError,
      Message("the heat of an elastomer must be finite and 0 W or more, not -1 W at 20 degC"));
  CHECK_THROWS_AS(steady([](double) { return not_a_number; }, 1.0), ComputationError);
  CHECK_THROWS_AS(steady([](double) -> double { throw MaterialError("out of range"); }, 1.0),
                  MaterialError);

  const ElastomerLaw law(LossFactor{newton_metre_per_radian(10.0), 0.1});
  const auto power = [&law](double omega, double amplitude) {
    return dissipated_power(law,
                            std::vector<TwistOrder>{{radian_per_second(omega), radian(amplitude)}});
  };
  CHECK_THROWS_AS(power(0.0, 0.1), DomainError);
  CHECK_THROWS_AS(power(1.0, -0.1), DomainError);
  CHECK_THROWS_AS(power(1.0, infinite), DomainError);
  CHECK_THROWS_AS(
      dissipated_power(law, std::vector<TwistOrder>{{radian_per_second(5.0), radian(0.1)},
                                                    {radian_per_second(5.0), radian(0.2)}}),
      DomainError);
  CHECK_THROWS_AS(
      dissipated_power(law, std::vector<TorqueOrder>{{radian_per_second(5.0), newton_metre(-1.0)}}),
      DomainError);
}
