#include "torsion/torque_gradient.hpp"

#include <cmath>
#include <functional>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_systems.hpp"

using namespace lashband;
using namespace lashband::test;
using namespace lashband::torsion::kernel;

namespace {

// Of few inertias, relative to the greatest term.
constexpr double rounding = 1e-12;
// Two solutions of one system, relative.
constexpr double same_solution = 1e-10;
// Extrapolated twice from steps of 1 %, relative to the torque.
constexpr double difference_quotient = 1e-8;

Excitation random_excitation(const System& system, unsigned seed) {
  Draw draw(seed);
  Excitation excitation;
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    excitation.torques.push_back(draw.phasor(10.0));
  }
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    excitation.displacements.push_back(draw.phasor(1e-5));
  }
  return excitation;
}

// A train with loops, loss factors, dampers and branches; of every third one inertia is 0.
System made(unsigned seed) {
  System system = closed_train(seed, 7, 2, 100.0);
  damp(system, seed);
  if (seed % 3 == 0) {
    system.inertias[3] = 0.0;
  }
  return system;
}

double greatest(const std::vector<Complex>& values) {
  double most = 0.0;
  for (const Complex& value : values) {
    most = std::max(most, std::abs(value));
  }
  return most;
}

}  // namespace

TEST_CASE("gradients of torques are slopes") {
  for (unsigned seed = 1; seed <= 6; ++seed) {
    INFO("seed " << seed);
    const System system = made(seed);
    const Excitation excitation = random_excitation(system, seed);
    const double omega = 400.0 * seed;
    const Response at = response(system, omega, excitation);
    const double torque = greatest(at.torques);
    for (std::size_t element = 0; element < system.elements.size(); ++element) {
      INFO("element " << element);
      const auto slope = [&](const std::function<System(double)>& changed) {
        return slope_at(
            [&](double h) {
              return response(changed(std::exp(h)), omega, excitation).torques[element];
            },
            0.01);
      };
      const TorqueGradient found = torque_gradient(system, omega, at, element);
      REQUIRE(found.by_stiffness.size() == system.elements.size());
      REQUIRE(found.by_inertia.size() == system.inertias.size());
      for (std::size_t j = 0; j < system.elements.size(); ++j) {
        const Complex expected =
            slope([&](double factor) { return with_stiffness(system, j, factor); });
        CHECK(std::abs(found.by_stiffness[j] - expected) <= difference_quotient * torque);
      }
      for (std::size_t i = 0; i < system.inertias.size(); ++i) {
        const Complex expected =
            slope([&](double factor) { return with_inertia(system, i, factor); });
        CHECK(std::abs(found.by_inertia[i] - expected) <= difference_quotient * torque);
      }
    }
  }
}

TEST_CASE("gradients of torques are the derivatives of the whole response") {
  // One solution for each element and inertia, instead of one for the torque.
  for (unsigned seed = 1; seed <= 8; ++seed) {
    INFO("seed " << seed);
    const System system = made(seed);
    const Excitation excitation = random_excitation(system, seed);
    for (const double omega : {3.0, 250.0, 20000.0}) {
      INFO(omega << " rad/s");
      const Response at = response(system, omega, excitation);
      for (std::size_t element = 0; element < system.elements.size(); ++element) {
        const TorqueGradient found = torque_gradient(system, omega, at, element);
        const double size = std::max(greatest(found.by_stiffness), greatest(found.by_inertia));
        for (std::size_t j = 0; j < system.elements.size(); ++j) {
          const Response change = response_by_stiffness(system, omega, excitation, at, j);
          CHECK(std::abs(found.by_stiffness[j] - change.torques[element]) <= same_solution * size);
        }
        for (std::size_t i = 0; i < system.inertias.size(); ++i) {
          const Response change = response_by_inertia(system, omega, excitation, at, i);
          CHECK(std::abs(found.by_inertia[i] - change.torques[element]) <= same_solution * size);
        }
      }
    }
  }
}

TEST_CASE("the torque of a stiff mesh hardly depends on its stiffness, to the last digits") {
  // Exact: M = e / (R - 1/k), R of both inertias in a row, so that dM/d ln k = -M^2 / (k e) and
  // dM/d ln J_1 = M^2 R_1 / e.
  const double k = 1e9;
  const double error = 1e-6;
  const System pair{{2e-5, 3e-5}, {{0, 0.03, 1, 0.05, spring(k)}}};
  Excitation excitation;
  excitation.displacements = {error};
  for (const double omega : {1e-3, 1.0, 100.0}) {
    INFO(omega << " rad/s");
    const double R_1 = 0.03 * 0.03 / 2e-5 / (omega * omega);
    const double R_2 = 0.05 * 0.05 / 3e-5 / (omega * omega);
    const double M = error / (R_1 + R_2 - 1.0 / k);
    const Response at = response(pair, omega, excitation);
    const TorqueGradient found = torque_gradient(pair, omega, at, 0);
    CHECK_THAT(found.by_stiffness[0].real(), WithinRel(-M * M / (k * error), rounding));
    CHECK_THAT(found.by_inertia[0].real(), WithinRel(M * M * R_1 / error, rounding));
    CHECK_THAT(found.by_inertia[1].real(), WithinRel(M * M * R_2 / error, rounding));
    const Response change = response_by_stiffness(pair, omega, excitation, at, 0);
    CHECK_THAT(change.torques[0].real(), WithinRel(-M * M / (k * error), rounding));
  }
}

TEST_CASE("an element with another stiffness is that of a new response") {
  for (unsigned seed = 1; seed <= 8; ++seed) {
    INFO("seed " << seed);
    const System system = made(seed);
    Draw draw(seed);
    for (const double omega : {3.0, 250.0, 20000.0}) {
      INFO(omega << " rad/s");
      for (std::size_t element = 0; element < system.elements.size(); ++element) {
        INFO("element " << element);
        Excitation excitation = random_excitation(system, seed);
        excitation.displacements[element] = 0.0;
        const ElementSeen seen =
            element_seen(system, omega, response(system, omega, excitation), element);
        CHECK(seen.stiffness == dynamic_stiffness(system.elements[element].law, omega));
        CHECK(seen.elongation_with(seen.stiffness) == seen.elongation);
        for (const double factor : {0.1, 0.7, 1.5, 10.0}) {
          System other = system;
          Law& law = other.elements[element].law;
          law.stiffness = factor * (law.stiffness + 1.0);
          law.loss_factor = draw.between(0.0, 0.5);
          law.branches = {{law.stiffness, 1e-3}};
          const Response whole = response(other, omega, excitation);
          const Complex k = dynamic_stiffness(law, omega);
          const Complex expected = whole.torques[element] / k;
          const Complex found = seen.elongation_with(k);
          CHECK(std::abs(found - expected) <= same_solution * std::abs(expected));
        }
      }
    }
  }
}

TEST_CASE("an element of no stiffness is seen by the angles beside it") {
  System system{{1.0, 2.0, 4.0}, {shaft(0, 1, spring(100.0)), shaft(1, 2, spring(0.0))}};
  Excitation excitation;
  excitation.torques = {1.0, 0.0, 0.5};
  const double omega = 3.0;
  const Response at = response(system, omega, excitation);
  const ElementSeen seen = element_seen(system, omega, at, 1);
  CHECK(seen.stiffness == Complex{});
  system.elements[1].law = spring(70.0);
  const Response tied = response(system, omega, excitation);
  CHECK(std::abs(70.0 * seen.elongation_with(70.0) - tied.torques[1]) <=
        rounding * std::abs(tied.torques[1]));
  system.elements[1].law = spring(0.0);
  const TorqueGradient none = torque_gradient(system, omega, at, 1);
  CHECK(greatest(none.by_stiffness) == 0.0);
  CHECK(greatest(none.by_inertia) == 0.0);
}

TEST_CASE("arguments of a gradient are checked") {
  const System system{{1.0, 2.0}, {shaft(0, 1, spring(3.0))}};
  Excitation excitation;
  excitation.torques = {1.0, 0.0};
  const Response at = response(system, 5.0, excitation);
  CHECK_THROWS_AS(torque_gradient(system, 5.0, at, 1), DomainError);
  CHECK_THROWS_AS(torque_gradient(system, 0.0, at, 0), DomainError);
  CHECK_THROWS_AS(torque_gradient(system, 5.0, {}, 0), DomainError);
  CHECK_THROWS_AS(element_seen(system, 5.0, at, 1), DomainError);
  CHECK_THROWS_AS(element_seen(system, -1.0, at, 0), DomainError);
  CHECK_THROWS_AS(element_seen(system, 5.0, {}, 0), DomainError);
  // Its own frequency, sqrt(4.5) rad/s.
  CHECK_THROWS_AS(element_seen(system, std::sqrt(4.5), at, 0), ComputationError);
}
