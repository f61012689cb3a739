#include "lashband/heat/transient.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "catch.hpp"
#include "file_text.hpp"
#include "lashband/error.hpp"
#include "made_networks.hpp"

using namespace lashband;
using namespace lashband::heat;
using namespace lashband::test;

namespace {

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

// Linear stretches, relative to temperature differences of some 100 K: stated in the header.
constexpr double exact_in_kelvin = 1e-10 * 100;

nlohmann::json reference_row(const char* topic) {
  const auto reference =
      nlohmann::json::parse(text_of(LASHBAND_SOURCE_DIR "/tests/reference/heat.json"));
  for (const auto& block : reference.at("blocks")) {
    if (block.at("topic") == topic) {
      return block.at("rows").at(0);
    }
  }
  throw std::runtime_error(std::string("heat.json has no block ") + topic);
}

void check_energy(const Solution& solution) {
  const EnergyAccount& energy = solution.energy();
  INFO(energy.residual.value() << " of " << energy.turnover.value() << " J");
  CHECK(std::abs(energy.residual.value()) <= 1e-12 * energy.turnover.value());
}

double level(const Solution& solution, double time, std::size_t i = 0) {
  return solution.at({seconds(time)}).at(0).at(i).value();
}

// One body of 6000 J/K with 10 W/K to ambient at 0 degC: tau = 600 s.
Network one_body() {
  return {{{"case", joules_per_kelvin(6000)}},
          {{"ambient"}},
          {{"film", body(0), boundary(0), watts_per_kelvin(10)}},
          {}};
}

Operation heated(double power, double duration) {
  Operation operation;
  operation.start = {celsius(0)};
  operation.boundaries = {steady(0)};
  operation.inputs = {{"loss", 0, steady_power(power)}};
  operation.duration = seconds(duration);
  return operation;
}

double greatest_difference(const Solution& one, const Solution& other,
                           const std::vector<units::Time>& times) {
  const auto a = one.at(times);
  const auto b = other.at(times);
  double greatest = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t k = 0; k < a[i].size(); ++k) {
      greatest = std::max(greatest, std::abs(a[i][k].value() - b[i][k].value()));
    }
  }
  return greatest;
}

SolveOptions accurate_to(double kelvin) {
  SolveOptions options;
  options.accuracy = kelvins(kelvin);
  return options;
}

}  // namespace

TEST_CASE("one body warms up by the law of one time constant") {
  const auto row = reference_row("one body in ambient air");
  const double rise = row.at("rise");
  const double tau = row.at("tau");
  const Solution solution = solve(one_body(), heated(10 * rise, 1800));
  REQUIRE(solution.outcome() == Outcome::done);
  CHECK(solution.message().empty());
  CHECK(solution.steps() == 1);
  for (const auto& point : row.at("T")) {
    const double time = point[0];
    CHECK_THAT(level(solution, time), WithinAbs(point[1], row.at("digits").get<double>()));
    CHECK_THAT(level(solution, time),
               WithinAbs(rise * (1.0 - std::exp(-time / tau)), exact_in_kelvin));
  }
  CHECK(level(solution, 0) == 0.0);
  check_energy(solution);
  const EnergyAccount& energy = solution.energy();
  CHECK_THAT(energy.inputs.at(0).value(), WithinRel(600.0 * 1800, 1e-13));
  CHECK_THAT(energy.stored.at(0).value(), WithinRel(6000 * level(solution, 1800), 1e-13));
}

TEST_CASE("a gear warms up before its housing") {
  const auto row = reference_row("warm-up of a gear and its housing");
  const Network network(
      {{"gear", joules_per_kelvin(row.at("C_g"))}, {"housing", joules_per_kelvin(row.at("C_h"))}},
      {{"ambient"}},
      {{"mesh", body(0), body(1), watts_per_kelvin(row.at("G_12"))},
       {"surface", body(1), boundary(0), watts_per_kelvin(row.at("G_ha"))}},
      {});
  const double ambient = -25;
  Operation operation;
  operation.start = {celsius(ambient), celsius(ambient)};
  operation.boundaries = {steady(ambient)};
  operation.inputs = {{"loss", 0, steady_power(row.at("q"))}};
  operation.duration = seconds(40000);
  const Solution solution = solve(network, operation);
  const double time = row.at("t");
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK_THAT(level(solution, time, i) - ambient,
               WithinAbs(row.at("T")[i], row.at("digits").get<double>()));
    CHECK_THAT(level(solution, 40000, i) - ambient,
               WithinAbs(row.at("steady")[i], row.at("steady_digits").get<double>()));
  }
  // The slow time constant is left alone in the end, the fast one is what is missing before.
  const double steady_gear = level(solution, 40000);
  const auto gap = [&](double at) { return steady_gear - level(solution, at); };
  const double slow = 100.0 / std::log(gap(2000) / gap(2100));
  CHECK_THAT(slow,
             WithinAbs(row.at("time_constants")[1], row.at("time_constant_digits").get<double>()));
  const double share = gap(2000) * std::exp(2000 / slow);
  const auto fast_part = [&](double at) { return gap(at) - share * std::exp(-at / slow); };
  CHECK_THAT(50.0 / std::log(fast_part(0) / fast_part(50)),
             WithinAbs(row.at("time_constants")[0], row.at("time_constant_digits").get<double>()));
  check_energy(solution);
}

TEST_CASE("outputs are the same however they are asked for") {
  for (const MadeNetwork& made :
       {random_network(3, 10, Streams::some), random_network(3, 10, Streams::none),
        dependent_network(3, 5, Kind::churning)}) {
    INFO(made.name);
    const Solution solution = solve(made.network, made.operation, accurate_to(1e-2));
    REQUIRE(solution.outcome() == Outcome::done);
    const std::vector<units::Time> times = moments(3600, 300);
    const auto together = solution.at(times);
    for (std::size_t i = 0; i < times.size(); i += 7) {
      const auto alone = solution.at({times[i]}).at(0);
      for (std::size_t k = 0; k < alone.size(); ++k) {
        CHECK_THAT(together[i][k].value(), WithinAbs(alone[k].value(), exact_in_kelvin));
      }
    }
    for (std::size_t k = 0; k < made.operation.start.size(); ++k) {
      CHECK(together.front()[k] == made.operation.start[k]);
    }
  }
}

TEST_CASE("temperatures are continuous across kinks and steps") {
  const MadeNetwork made = dependent_network(5, 8, Kind::all);
  const Solution solution = solve(made.network, made.operation);
  REQUIRE(solution.outcome() == Outcome::done);
  CHECK(solution.kinks().front() == seconds(0));
  CHECK(solution.kinks().back() == seconds(3600));
  for (std::size_t i = 1; i + 1 < solution.kinks().size(); ++i) {
    const double kink = solution.kinks()[i].value();
    CHECK(kink > solution.kinks()[i - 1].value());
    const auto around = solution.at({seconds(kink - 1e-9), seconds(kink + 1e-9)});
    for (std::size_t k = 0; k < around[0].size(); ++k) {
      // Rates of change are some kelvin a second at most.
      CHECK_THAT(around[1][k].value() - around[0][k].value(), WithinAbs(0.0, 1e-7));
    }
  }
  check_energy(solution);
}

TEST_CASE("floating bodies gather what they are given") {
  // Two bodies joined by 5 W/K: together they rise by q t/(C_1 + C_2), and the difference settles
  // at q/G C_2/(C_1 + C_2) with the time constant C_1 C_2/(G (C_1 + C_2)).
  const double C_1 = 400;
  const double C_2 = 1200;
  const Network network({{"a", joules_per_kelvin(C_1)}, {"b", joules_per_kelvin(C_2)}}, {},
                        {{"joint", body(0), body(1), watts_per_kelvin(5)}}, {});
  CHECK(network.floating_groups() == std::vector<std::vector<std::size_t>>{{0, 1}});
  Operation operation;
  operation.start = {celsius(20), celsius(20)};
  operation.inputs = {{"loss", 0, steady_power(30)}};
  operation.duration = seconds(5000);
  const Solution solution = solve(network, operation);
  REQUIRE(solution.outcome() == Outcome::done);
  for (const double time : {1.0, 100.0, 1000.0, 5000.0}) {
    const double mean = (C_1 * level(solution, time, 0) + C_2 * level(solution, time, 1)) / 1600;
    CHECK_THAT(mean, WithinAbs(20 + 30 * time / 1600, exact_in_kelvin));
    CHECK_THAT(level(solution, time, 0) - level(solution, time, 1),
               WithinAbs(4.5 * (1 - std::exp(-time / 60)), exact_in_kelvin));
  }
  check_energy(solution);

  // The same with oil in a circuit, which no symmetric matrix describes.
  const Network circuit({{"a", joules_per_kelvin(C_1)}, {"b", joules_per_kelvin(C_2)}}, {}, {},
                        {{"there", body(0), body(1), watts_per_kelvin(5)},
                         {"back", body(1), body(0), watts_per_kelvin(5)}});
  const Solution circuit_solution = solve(circuit, operation);
  CHECK(greatest_difference(solution, circuit_solution, moments(5000, 50)) < exact_in_kelvin);
  check_energy(circuit_solution);
}

TEST_CASE("a stream out of a boundary is what a film to it is") {
  // rho c V (T_air - T) is also a conductance of that value.
  const Network stream({{"case", joules_per_kelvin(6000)}}, {{"ambient"}}, {},
                       {{"air", boundary(0), body(0), watts_per_kelvin(10)}});
  Operation operation = heated(600, 3000);
  operation.boundaries = {schedule<units::Temperature>({{0, 0}, {1000, 30}, {1000, -10}})};
  const Solution one = solve(stream, operation);
  const Solution other = solve(one_body(), operation);
  CHECK(greatest_difference(one, other, moments(3000, 60)) < exact_in_kelvin);
  CHECK_THAT(one.energy().streams.at(0).value(),
             WithinRel(other.energy().boundaries.at(0).value(), 1e-12));
  CHECK(one.energy().boundaries.at(0).value() == 0.0);
}

TEST_CASE("jumps and ramps of schedules give their own laws") {
  // Ambient ramps by r: the body lags by r tau in the end; a jump of power starts afresh.
  Operation operation = heated(0, 7000);
  operation.boundaries = {
      schedule<units::Temperature>({{0, 0}, {6000, 60}, {6000, 60}, {7000, 60}})};
  operation.inputs = {{"loss", 0, schedule<units::Power>({{6000, 0}, {6000, 300}})}};
  const Solution solution = solve(one_body(), operation);
  const auto ramp = [](double t) { return 0.01 * (t - 600 * (1 - std::exp(-t / 600))); };
  CHECK_THAT(level(solution, 500), WithinAbs(ramp(500), exact_in_kelvin));
  CHECK_THAT(level(solution, 6000), WithinAbs(ramp(6000), exact_in_kelvin));
  const double decay = std::exp(-700.0 / 600);
  CHECK_THAT(level(solution, 6700),
             WithinAbs(60 + (ramp(6000) - 60) * decay + 30 * (1 - decay), exact_in_kelvin));
  const std::vector<units::Time> kinks{seconds(0), seconds(6000), seconds(7000)};
  CHECK(solution.kinks() == kinks);
  check_energy(solution);
}

TEST_CASE("a throttle that jumps is another network from then on") {
  Operation operation = heated(600, 3000);
  operation.throttles = {
      {Throttle::Of::conductance, 0, schedule<units::Ratio>({{1000, 1}, {1000, 0.5}})}};
  const Solution solution = solve(one_body(), operation);
  CHECK(solution.steps() == 2);
  const double at_1000 = 60 * (1 - std::exp(-1000.0 / 600));
  const double decay = std::exp(-2000.0 / 1200);
  CHECK_THAT(level(solution, 3000), WithinAbs(120 + (at_1000 - 120) * decay, exact_in_kelvin));
  check_energy(solution);
}

TEST_CASE("a throttle along a ramp follows the closed form") {
  // C T' = -G (1 + t/s) T: T = T_0 exp(-(t + t^2/(2 s))/tau).
  Operation operation = heated(0, 1000);
  operation.start = {celsius(80)};
  operation.throttles = {
      {Throttle::Of::conductance, 0, schedule<units::Ratio>({{0, 1}, {1000, 3}})}};
  for (const double accuracy : {1e-2, 1e-4, 1e-6}) {
    const Solution solution = solve(one_body(), operation, accurate_to(accuracy));
    for (const double t : {50.0, 333.0, 1000.0}) {
      CHECK_THAT(level(solution, t), WithinAbs(80 * std::exp(-(t + t * t / 1000) / 600), accuracy));
    }
    check_energy(solution);
  }
}

TEST_CASE("an input that falls with temperature follows the closed form") {
  // C T' = q exp(-T/w), no loss: T = w log(1 + q t/(C w)).
  const Network network({{"sump", joules_per_kelvin(2000)}}, {}, {}, {});
  MadeNetwork made{"", network, {}};
  add_churning(made, {0, 0, 800, 0, 20});
  made.operation.start = {celsius(0)};
  made.operation.duration = seconds(600);
  double previous = infinite;
  for (const double accuracy : {1e-1, 1e-3, 1e-5, 1e-7}) {
    const Solution solution = solve(network, made.operation, accurate_to(accuracy));
    const double exact = 20 * std::log(1 + 800.0 * 600 / (2000.0 * 20));
    const double error = std::abs(level(solution, 600) - exact);
    INFO(solution.steps() << " steps, error " << error);
    CHECK(error < accuracy);
    CHECK(error < previous);
    previous = error;
    check_energy(solution);
    CHECK_THAT(solution.energy().dependent.at(0).value(),
               WithinRel(solution.energy().stored.at(0).value(), 1e-12));
  }
}

TEST_CASE("errors of re-linearising fall with the third power of the step") {
  // A body that heats itself less and less and is cooled, from one kink to the next: without kinks
  // steps shrink everywhere alike. 2.7 is asked for: they do so approximately.
  MadeNetwork made{"", one_body(), heated(0, 900)};
  add_churning(made, {0, 0, 2000, 0, 30});
  const auto error_of = [&](const Solution& solution, const Solution& tight) {
    return std::abs(level(solution, 900) - level(tight, 900));
  };
  const Solution tight = solve(made.network, made.operation, accurate_to(1e-9));
  const Solution coarse = solve(made.network, made.operation, accurate_to(1e-3));
  const Solution fine = solve(made.network, made.operation, accurate_to(1e-6));
  const double ratio = error_of(coarse, tight) / error_of(fine, tight);
  const double steps = static_cast<double>(fine.steps()) / static_cast<double>(coarse.steps());
  INFO(ratio << " with " << steps << " times the " << coarse.steps() << " steps");
  CHECK(std::log(ratio) / std::log(steps) > 2.7);
}

TEST_CASE("a specific heat over temperature stores its integral") {
  const Network network({{"wheel", MassOfMaterial{from_si<units::Mass>(3), made_steel()}}}, {}, {},
                        {});
  Operation operation;
  operation.start = {celsius(-40)};
  operation.inputs = {{"loss", 0, steady_power(500)}};
  operation.duration = seconds(250);
  // Nothing leaves: 125 kJ. The table by hand: c(-40) = 430, to 20 degC 26.7 kJ/kg; 460 to 490 over
  // 40 K 19.0 kJ/kg; the rest of 41.667 kJ/kg is above 20 degC: 14.967 kJ/kg = 460 x + 0.375 x^2.
  const Solution solution = solve(network, operation);
  REQUIRE(solution.outcome() == Outcome::done);
  const double rest = 125e3 / 3 - 60 * 445.0;
  const double x = (-460 + std::sqrt(460 * 460 + 4 * 0.375 * rest)) / 0.75;
  CHECK_THAT(level(solution, 250), WithinAbs(20 + x, exact_in_kelvin));
  CHECK_THAT(solution.energy().stored.at(0).value(), WithinRel(125e3, 1e-13));
  check_energy(solution);
}

TEST_CASE("a material of one specific heat is a capacity") {
  const Network by_material(
      {{"case", MassOfMaterial{from_si<units::Mass>(6000.0 / 380), made_brass()}}}, {{"ambient"}},
      {{"film", body(0), boundary(0), watts_per_kelvin(10)}}, {});
  const Solution one = solve(by_material, heated(600, 1800));
  CHECK(one.steps() == 1);
  CHECK(greatest_difference(one, solve(one_body(), heated(600, 1800)), moments(1800, 30)) <
        exact_in_kelvin);
}

TEST_CASE("a wall of one conductivity is a conductance") {
  // 110 W/(m K) * 0.002 m2 / 0.022 m = 10 W/K.
  const Network wall(
      {{"case", joules_per_kelvin(6000)}}, {{"ambient"}},
      {{"wall", body(0), boundary(0),
        ConductingWall{made_brass(), from_si<units::Area>(0.002), from_si<units::Length>(0.022)}}},
      {});
  const Solution one = solve(wall, heated(600, 1800));
  CHECK(one.steps() == 1);
  CHECK(greatest_difference(one, solve(one_body(), heated(600, 1800)), moments(1800, 30)) <
        exact_in_kelvin);
}

TEST_CASE("a thermostat opens at the moment of the closed form") {
  // Shut below 30 degC; the body reaches it at tau log(60/(60 - 30)).
  Network network({{"case", joules_per_kelvin(6000)}}, {{"ambient"}},
                  {{"film", body(0), boundary(0), watts_per_kelvin(10)},
                   {"cooler", body(0), boundary(0), watts_per_kelvin(20),
                    Thermostat{body(0), {{celsius(30), 0}, {celsius(50), 1}}}}},
                  {});
  const Solution solution = solve(network, heated(600, 3000));
  REQUIRE(solution.kinks().size() == 3);
  // Events count as there 2e-9 K beyond the corner, at 0.05 K/s.
  CHECK_THAT(solution.kinks()[1].value(), WithinAbs(600 * std::log(2.0), 1e-7));
  // In the end 600 = 10 T + T (T - 30): T = 10 + sqrt(700).
  CHECK_THAT(level(solution, 3000), WithinAbs(10 + std::sqrt(700.0), 1e-4));
  check_energy(solution);
}

TEST_CASE("a corner that is passed there and back between outputs is not missed") {
  // A short burst of power lifts a small body over the corner for less than 3 s of an hour.
  const Network network({{"small", joules_per_kelvin(1)}, {"sump", joules_per_kelvin(5000)}},
                        {{"ambient"}},
                        {{"joint", body(0), body(1), watts_per_kelvin(1)},
                         {"film", body(1), boundary(0), watts_per_kelvin(5)},
                         {"valve", body(1), boundary(0), watts_per_kelvin(400),
                          Thermostat{body(0), {{celsius(10), 0}, {celsius(11), 1}}}}},
                        {});
  Operation operation;
  operation.start = {celsius(0), celsius(0)};
  operation.boundaries = {steady(0)};
  operation.inputs = {{"burst", 0, schedule<units::Power>({{1000, 0}, {1001, 30}, {1002, 0}})}};
  operation.duration = seconds(3600);
  const Solution solution = solve(network, operation);
  REQUIRE(solution.outcome() == Outcome::done);
  // 0, 1000, 1001, 1002, 3600 and the corners at 10 and 11 degC, each passed twice.
  CHECK(solution.kinks().size() == 9);
  check_energy(solution);
  // The small body is far above both corners in between.
  double peak = 0.0;
  for (int i = 0; i <= 5000; ++i) {
    peak = std::max(peak, level(solution, 1000 + 0.001 * i));
  }
  CHECK(peak > 15.0);
}

TEST_CASE("a thermostat that feels a boundary follows its schedule") {
  const Network network({{"case", joules_per_kelvin(6000)}}, {{"ambient"}, {"pilot"}},
                        {{"film", body(0), boundary(0), watts_per_kelvin(20),
                          Thermostat{boundary(1), {{celsius(0), 0.5}, {celsius(10), 1}}}}},
                        {});
  Operation operation = heated(600, 1800);
  operation.boundaries.push_back(schedule<units::Temperature>({{600, -5}, {600, 50}}));
  const Solution solution = solve(network, operation);
  const double at_600 = 60 * (1 - std::exp(-1.0));
  const double decay = std::exp(-1200.0 / 300);
  CHECK_THAT(level(solution, 1800), WithinAbs(30 + (at_600 - 30) * decay, exact_in_kelvin));
  CHECK(solution.steps() == 2);
}

TEST_CASE("thermostats with flat pieces between their slopes are solved piece by piece") {
  const MadeNetwork made = dependent_network(11, 6, Kind::thermostat);
  const Solution coarse = solve(made.network, made.operation, accurate_to(1e-2));
  const Solution tight = solve(made.network, made.operation, accurate_to(1e-6));
  CHECK(greatest_difference(coarse, tight, moments(3600, 90)) < 1e-2);
  CHECK(coarse.kinks().size() == tight.kinks().size());
  check_energy(coarse);
}

TEST_CASE("a dependent input may jump at its kinks") {
  // 100 W in the first half, 300 W in the second, whatever the temperature.
  Operation operation = heated(0, 1200);
  operation.dependent_inputs = {
      {"step",
       0,
       body(0),
       [](units::Time time, units::Temperature) { return watts(time < seconds(600) ? 100 : 300); },
       {seconds(600)}}};
  const Solution solution = solve(one_body(), operation);
  const double decay = std::exp(-1.0);
  const double half = 10 * (1 - decay);
  CHECK_THAT(level(solution, 1200), WithinAbs(30 + (half - 30) * decay, exact_in_kelvin));
  CHECK_THAT(solution.energy().dependent.at(0).value(), WithinRel(240e3, 1e-12));
}

TEST_CASE("cycles settle to the fixed point of one cycle") {
  MadeNetwork made = random_network(6, 5, Streams::some);
  made.operation.duration = seconds(600);
  made.operation.boundaries = {schedule<units::Temperature>({{0, -30}, {300, 20}, {600, -30}}),
                               steady(10)};
  made.operation.inputs = {
      {"pulse", 0, schedule<units::Power>({{100, 0}, {100, 500}, {250, 500}, {250, 0}})}};
  // x -> Phi x + b by columns: start with all at 0 degC, then each body at 1 degC.
  const std::size_t n = made.operation.start.size();
  Eigen::MatrixXd Phi(n, n);
  Eigen::VectorXd b(n);
  for (std::size_t column = 0; column <= n; ++column) {
    Operation probe = made.operation;
    probe.start.assign(n, celsius(0));
    if (column < n) {
      probe.start[column] = celsius(1);
    }
    const auto end = solve(made.network, probe).at({seconds(600)}).at(0);
    for (std::size_t i = 0; i < n; ++i) {
      const auto row = static_cast<Eigen::Index>(i);
      if (column < n) {
        Phi(row, static_cast<Eigen::Index>(column)) = end[i].value();
      } else {
        b[row] = end[i].value();
      }
    }
  }
  Phi.colwise() -= b;
  const auto rows = static_cast<Eigen::Index>(n);
  const Eigen::VectorXd fixed =
      (Eigen::MatrixXd::Identity(rows, rows) - Phi).partialPivLu().solve(b);

  made.operation.cycles = 500;
  made.operation.until_periodic = kelvins(1e-11);
  const Solution solution = solve(made.network, made.operation);
  REQUIRE(solution.outcome() == Outcome::done);
  CHECK(solution.cycles() < 500);
  CHECK_THAT(solution.end().value(),
             WithinRel(600.0 * static_cast<double>(solution.cycles()), 1e-15));
  for (std::size_t i = 0; i < n; ++i) {
    CHECK_THAT(level(solution, solution.end().value(), i),
               WithinAbs(fixed[static_cast<Eigen::Index>(i)], 1e-8));
  }
  check_energy(solution);

  made.operation.cycles = 2;
  const Solution cut = solve(made.network, made.operation);
  CHECK(cut.outcome() == Outcome::not_periodic);
  CHECK(cut.cycles() == 2);
  CHECK(cut.end() == seconds(1200));
  CHECK_THAT(cut.message(), ContainsText("K between the beginning and the end of cycle 2"));
  CHECK(greatest_difference(cut, solution, moments(1200, 40)) < exact_in_kelvin);
  check_energy(cut);
}

TEST_CASE("cycles without a criterion run as often as asked") {
  Operation operation = heated(600, 100);
  operation.cycles = 7;
  const Solution solution = solve(one_body(), operation);
  CHECK(solution.outcome() == Outcome::done);
  CHECK(solution.cycles() == 7);
  CHECK_THAT(level(solution, 700), WithinAbs(60 * (1 - std::exp(-700.0 / 600)), exact_in_kelvin));
}

TEST_CASE("bodies of a gram and of a tonne go together") {
  // The fast body, 1e-3 J/K between 50 and 5 W/K, is where it belongs at once.
  const Network network(
      {{"film of oil", joules_per_kelvin(1e-3)}, {"case", joules_per_kelvin(1e5)}}, {{"ambient"}},
      {{"hot side", body(0), boundary(0), watts_per_kelvin(50)},
       {"cold side", body(0), body(1), watts_per_kelvin(5)},
       {"nothing", body(1), boundary(0), watts_per_kelvin(0)}},
      {});
  Operation operation;
  operation.start = {celsius(-40), celsius(-40)};
  operation.boundaries = {steady(80)};
  operation.duration = seconds(30000);
  const Solution solution = solve(network, operation);
  REQUIRE(solution.outcome() == Outcome::done);
  // One time constant, C (1/50 + 1/5), up to the share 1e-8 of the small capacity.
  for (const double time : {1000.0, 30000.0}) {
    CHECK_THAT(level(solution, time, 1),
               WithinAbs(80 - 120 * std::exp(-time / (1e5 * 0.22)), 120 * 2e-8));
    const double rate = 5 * (level(solution, time, 0) - level(solution, time, 1));
    CHECK_THAT(rate, WithinRel(50 * (80 - level(solution, time, 0)), 1e-7));
  }
  check_energy(solution);
}

TEST_CASE("what goes wrong on the way is told with body and time") {
  SECTION("too many steps") {
    const MadeNetwork made = dependent_network(7, 5, Kind::churning);
    SolveOptions options = accurate_to(1e-9);
    options.most_steps = 50;
    const Solution solution = solve(made.network, made.operation, options);
    CHECK(solution.outcome() == Outcome::too_many_steps);
    CHECK_THAT(solution.message(),
               StartsWith("more than 50 steps of re-linearising are needed at "));
    CHECK(solution.end() < seconds(3600));
    CHECK(solution.end() > seconds(0));
    CHECK(solution.at({solution.end()}).at(0).size() == 5);
    check_energy(solution);
    CHECK_THROWS_AS(solution.at({seconds(3600)}), DomainError);
  }
  SECTION("an input that throws") {
    Operation operation = heated(600, 1800);
    operation.dependent_inputs = {
        {"churning", 0, body(0), [](units::Time, units::Temperature T) -> units::Power {
           if (T.value() > 30) {
             throw std::runtime_error("no viscosity above 30 degC");
           }
           return watts(0);
         }}};
    const Solution solution = solve(one_body(), operation);
    CHECK(solution.outcome() == Outcome::failed);
    CHECK_THAT(solution.message(), StartsWith("input 'churning': no viscosity above 30 degC at "));
    CHECK_THAT(solution.message(), EndsWith(" s"));
    check_energy(solution);
  }
  SECTION("an input that is no number") {
    Operation operation = heated(600, 1800);
    operation.dependent_inputs = {{"churning", 0, body(0), [](units::Time, units::Temperature T) {
                                     return watts(std::sqrt(20 - T.value()));
                                   }}};
    const Solution solution = solve(one_body(), operation);
    CHECK(solution.outcome() == Outcome::failed);
    CHECK_THAT(solution.message(), ContainsText("input 'churning' gives no finite power at "));
  }
  SECTION("the end of a material's data") {
    const Network network({{"wheel", MassOfMaterial{from_si<units::Mass>(1), made_steel()}}}, {},
                          {}, {});
    Operation operation;
    operation.start = {celsius(20)};
    operation.inputs = {{"loss", 0, steady_power(1000)}};
    operation.duration = seconds(200);
    const Solution solution = solve(network, operation);
    CHECK(solution.outcome() == Outcome::failed);
    CHECK_THAT(solution.message(),
               StartsWith("body 'wheel' leaves the range of -60 degC to 250 degC of the specific "
                          "heat of material 'made steel' at "));
    CHECK_THAT(level(solution, solution.end().value()), WithinAbs(250, 1e-6));
    SolveOptions options;
    options.extrapolation = materials::Extrapolation::allow;
    const Solution on = solve(network, operation, options);
    CHECK(on.outcome() == Outcome::done);
    CHECK(level(on, 200) > 350);
  }
  SECTION("a start outside a material's data") {
    const Network network({{"wheel", MassOfMaterial{from_si<units::Mass>(1), made_brass()}}}, {},
                          {}, {});
    Operation operation;
    operation.start = {celsius(-80)};
    operation.duration = seconds(200);
    const Solution solution = solve(network, operation);
    CHECK(solution.outcome() == Outcome::failed);
    CHECK(solution.end() == seconds(0));
    CHECK_THAT(solution.message(), EndsWith(" at 0 s"));
    CHECK(solution.at({seconds(0)}).at(0).at(0) == celsius(-80));
  }
  SECTION("a wall outside its data") {
    const Network network(
        {{"case", joules_per_kelvin(10)}}, {{"ambient"}},
        {{"wall", body(0), boundary(0),
          ConductingWall{made_steel(), from_si<units::Area>(1e-4), from_si<units::Length>(0.1)}}},
        {});
    const Solution solution = solve(network, heated(100, 1000));
    CHECK(solution.outcome() == Outcome::failed);
    CHECK_THAT(solution.message(),
               StartsWith("the mean temperature of conductance 'wall' leaves "));
    CHECK_THAT(level(solution, solution.end().value()), WithinAbs(500, 1e-6));
  }
  SECTION("heat beyond all numbers") {
    Operation operation = heated(1e308, 1e10);
    const Solution solution = solve(one_body(), operation);
    CHECK(solution.outcome() == Outcome::failed);
    CHECK_THAT(solution.message(), StartsWith("body 'case' has no finite temperature at "));
  }
  SECTION("rates beyond all numbers") {
    const Network network({{"case", joules_per_kelvin(1e-300)}}, {{"ambient"}},
                          {{"film", body(0), boundary(0), watts_per_kelvin(1e300)}}, {});
    const Solution solution = solve(network, heated(1, 10));
    CHECK(solution.outcome() == Outcome::failed);
    CHECK_THAT(solution.message(), ContainsText("beyond all numbers"));
  }
  SECTION("below absolute zero") {
    const Solution solution = solve(one_body(), heated(-10000, 1800));
    CHECK(solution.outcome() == Outcome::failed);
    CHECK_THAT(solution.message(), ContainsText("below absolute zero, at 1800 s"));
  }
  SECTION("a jump over temperature that no step can follow") {
    Operation operation = heated(600, 1800);
    operation.dependent_inputs = {{"switch", 0, body(0), [](units::Time, units::Temperature T) {
                                     return watts(T.value() > 20 ? -5000 : 5000);
                                   }}};
    SolveOptions options;
    options.most_steps = 20000;
    const Solution solution = solve(one_body(), operation, options);
    const bool told =
        solution.outcome() == Outcome::failed || solution.outcome() == Outcome::too_many_steps;
    CHECK(told);
    CHECK_THAT(level(solution, solution.end().value()), WithinAbs(20, 0.1));
  }
}

TEST_CASE("operations that do not fit are refused") {
  const Network network({{"a", joules_per_kelvin(10)}, {"b", joules_per_kelvin(10)}}, {{"air"}},
                        {{"film", body(0), boundary(0), watts_per_kelvin(1)}},
                        {{"air", boundary(0), body(1), watts_per_kelvin(1)}});
  Operation good;
  good.start = {celsius(0), celsius(0)};
  good.boundaries = {steady(0)};
  good.duration = seconds(10);
  CHECK(solve(network, good).outcome() == Outcome::done);
  const std::vector<std::function<void(Operation&)>> spoils{
      [](Operation& o) { o.start.pop_back(); },
      [](Operation& o) { o.start[1] = celsius(not_a_number); },
      [](Operation& o) { o.start[1] = celsius(-300); },
      [](Operation& o) { o.boundaries.clear(); },
      [](Operation& o) { o.boundaries.push_back(steady(0)); },
      [](Operation& o) {
        o.inputs = {{"x", 2, steady_power(1)}};
      },
      [](Operation& o) {
        o.dependent_inputs = {
            {"x", 2, body(0), [](units::Time, units::Temperature) { return watts(1); }}};
      },
      [](Operation& o) {
        o.dependent_inputs = {
            {"x", 0, boundary(1), [](units::Time, units::Temperature) { return watts(1); }}};
      },
      [](Operation& o) {
        o.dependent_inputs = {{"x", 0, body(0), {}}};
      },
      [](Operation& o) {
        o.dependent_inputs = {{"x",
                               0,
                               body(0),
                               [](units::Time, units::Temperature) { return watts(1); },
                               {seconds(not_a_number)}}};
      },
      [](Operation& o) {
        o.throttles = {{Throttle::Of::stream, 1, Schedule<units::Ratio>(units::Ratio(1.0))}};
      },
      [](Operation& o) {
        o.throttles = {{Throttle::Of::conductance, 1, Schedule<units::Ratio>(units::Ratio(1.0))}};
      },
      [](Operation& o) {
        o.throttles = {{Throttle::Of::stream, 0, schedule<units::Ratio>({{0, 1}, {5, -0.1}})}};
      },
      [](Operation& o) {
        o.throttles.assign(2, {Throttle::Of::stream, 0, Schedule<units::Ratio>(units::Ratio(1.0))});
      },
      [](Operation& o) { o.duration = seconds(0); },
      [](Operation& o) { o.duration = seconds(not_a_number); },
      [](Operation& o) { o.duration = seconds(infinite); },
      [](Operation& o) { o.cycles = 0; },
      [](Operation& o) { o.until_periodic = kelvins(0); },
      [](Operation& o) { o.until_periodic = kelvins(not_a_number); },
  };
  for (std::size_t i = 0; i < spoils.size(); ++i) {
    INFO("row " << i);
    Operation operation = good;
    spoils[i](operation);
    CHECK_THROWS_AS(solve(network, operation), DomainError);
  }
  for (const double accuracy : {0.0, -1.0, not_a_number, infinite}) {
    CHECK_THROWS_AS(solve(network, good, accurate_to(accuracy)), DomainError);
  }
  const Solution solution = solve(network, good);
  CHECK_THROWS_AS(solution.at({seconds(-1)}), DomainError);
  CHECK_THROWS_AS(solution.at({seconds(10.5)}), DomainError);
  CHECK_THROWS_AS(solution.at({seconds(5), seconds(4)}), DomainError);
  CHECK_THROWS_AS(solution.at({seconds(not_a_number)}), DomainError);
  CHECK(solution.at({}).empty());
}
