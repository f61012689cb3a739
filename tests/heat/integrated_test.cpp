// Whole networks against SUNDIALS, whose CVODE knows nothing of matrices that stay as they are.
#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "made_networks.hpp"
#include "sundials.hpp"

using namespace lashband;
using namespace lashband::heat;
using namespace lashband::test;

namespace {

// The greatest difference to CVODE, in K, at 36 moments of the first cycle.
double greatest_difference(const MadeNetwork& made, const Solution& solution, double tolerance) {
  std::vector<double> state;
  for (const units::Temperature& level : made.operation.start) {
    state.push_back(level.value());
  }
  double next_kink = 0.0;
  StiffIntegrator integrator(
      [&](double time, const double* T, double* derivative) {
        const std::vector<double> rate = rates(made, time, time >= next_kink, T);
        std::copy(rate.begin(), rate.end(), derivative);
      },
      state, tolerance, tolerance);
  std::vector<units::Time> stops = moments(made.operation.duration.value(), 36);
  stops.insert(stops.end(), solution.kinks().begin(), solution.kinks().end());
  std::sort(stops.begin(), stops.end());
  const auto ours = solution.at(stops);
  double greatest = 0.0;
  std::size_t kink = 0;
  const auto& kinks = solution.kinks();
  for (std::size_t i = 0; i < stops.size(); ++i) {
    const std::vector<double> theirs = integrator.at(stops[i].value());
    for (std::size_t k = 0; k < theirs.size(); ++k) {
      greatest = std::max(greatest, std::abs(ours[i][k].value() - theirs[k]));
    }
    while (kink < kinks.size() && kinks[kink] <= stops[i]) {
      ++kink;
      next_kink = kink < kinks.size() ? kinks[kink].value() : kinks.back().value();
      integrator.restart(stops[i].value());
    }
  }
  return greatest;
}

void check_energy(const Solution& solution) {
  const EnergyAccount& energy = solution.energy();
  CHECK(energy.turnover.value() > 0.0);
  CHECK(std::abs(energy.residual.value()) <= 1e-12 * energy.turnover.value());
}

}  // namespace

TEST_CASE("linear networks agree with CVODE") {
  const auto made = GENERATE(
      as<MadeNetwork>{}, random_network(1, 3, Streams::none), random_network(2, 12, Streams::none),
      random_network(3, 3, Streams::some), random_network(4, 17, Streams::some),
      random_network(5, 40, Streams::some), chain(12), chain(40));
  INFO(made.name << ", " << made.network.bodies().size() << " bodies");
  const Solution solution = solve(made.network, made.operation);
  REQUIRE(solution.outcome() == Outcome::done);
  // CVODE at its tightest.
  CHECK(greatest_difference(made, solution, 1e-13) < 1e-8);
  check_energy(solution);
}

TEST_CASE("networks that depend on temperature agree with CVODE to the accuracy asked for") {
  const auto kind =
      GENERATE(Kind::thermostat, Kind::specific_heat, Kind::churning, Kind::throttle, Kind::all);
  const MadeNetwork made = dependent_network(7, 9, kind);
  INFO(made.name);
  for (const double accuracy : {1e-2, 1e-4, 1e-6}) {
    SolveOptions options;
    options.accuracy = kelvins(accuracy);
    const Solution solution = solve(made.network, made.operation, options);
    INFO(accuracy << " K, " << solution.steps() << " steps " << solution.message());
    REQUIRE(solution.outcome() == Outcome::done);
    const double difference = greatest_difference(made, solution, 1e-11);
    INFO(difference << " K");
    CHECK(difference < accuracy);
    check_energy(solution);
  }
}
