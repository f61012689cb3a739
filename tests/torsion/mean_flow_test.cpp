#include "torsion/mean_flow.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_systems.hpp"

using namespace lashband;
using namespace lashband::test;
using namespace lashband::torsion::kernel;

namespace {

// Promised in the header, relative to the greatest torque.
constexpr double promised = 1e-12;

double greatest(const std::vector<double>& values) {
  double result = 0.0;
  for (const double value : values) {
    result = std::max(result, std::fabs(value));
  }
  return result;
}

std::vector<double> random_torques(unsigned seed, std::size_t n) {
  Draw draw(seed);
  std::vector<double> torques;
  for (std::size_t i = 0; i < n; ++i) {
    torques.push_back(draw.between(-100.0, 100.0));
  }
  return torques;
}

// What is left of the torques on each inertia, the balancing one's included.
std::vector<double> left_over(const System& system, std::vector<double> torques,
                              const MeanFlow& flow, std::size_t balancing) {
  torques[balancing] += flow.balance;
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Element& element = system.elements[e];
    torques[element.first] -= element.arm_1 * flow.torques[e];
    if (element.second) {
      torques[*element.second] -= element.arm_2 * flow.torques[e];
    }
  }
  return torques;
}

// Least sum of M^2 / 2k in balance, with multipliers: M / k - x(theta) = 0, the balance of every
// inertia, and the balancing angle 0. One dense system in long double.
MeanFlow by_multipliers(const System& system, const std::vector<double>& torques,
                        std::size_t balancing) {
  const std::size_t m = system.elements.size();
  const std::size_t n = system.inertias.size();
  Dense<long double> A(m + n + 1, std::vector<long double>(m + n + 1));
  std::vector<long double> right(m + n + 1);
  for (std::size_t e = 0; e < m; ++e) {
    const Element& element = system.elements[e];
    A[e][e] = 1.0L / static_cast<long double>(element.law.stiffness);
    A[e][m + element.first] = -element.arm_1;
    A[m + element.first][e] = element.arm_1;
    if (element.second) {
      A[e][m + *element.second] = -element.arm_2;
      A[m + *element.second][e] = element.arm_2;
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    right[m + i] = torques[i];
  }
  A[m + balancing][m + n] = -1.0L;
  A[m + n][m + balancing] = 1.0L;
  const auto solution = solved(A, right);
  MeanFlow flow;
  for (std::size_t e = 0; e < m; ++e) {
    flow.torques.push_back(static_cast<double>(solution[e]));
  }
  for (std::size_t i = 0; i < n; ++i) {
    flow.angles.push_back(static_cast<double>(solution[m + i]));
  }
  flow.balance = static_cast<double>(solution[m + n]);
  return flow;
}

void check_same(const std::vector<double>& found, const std::vector<double>& expected,
                double tolerance) {
  REQUIRE(found.size() == expected.size());
  for (std::size_t i = 0; i < found.size(); ++i) {
    CHECK_THAT(found[i], WithinAbs(expected[i], tolerance * greatest(expected)));
  }
}

}  // namespace

TEST_CASE("a stage passes its torque on by its ratio") {
  // Exact: 10 N m on a pinion of 0.05 m at the base, 200 N on the mesh, 40 N m off the wheel.
  const System stage{{1e-3, 1e-3, 4e-2},
                     {shaft(0, 1, spring(1e4)), {1, 0.05, 2, 0.2, spring(1e8)}}};
  const MeanFlow flow = mean_flow(stage, {10.0, 0.0, 0.0}, 2);
  CHECK_THAT(flow.torques[0], WithinRel(10.0, promised));
  CHECK_THAT(flow.torques[1], WithinRel(200.0, promised));
  CHECK_THAT(flow.balance, WithinRel(40.0, promised));
  CHECK(flow.angles[2] == 0.0);
  CHECK_THAT(flow.angles[1], WithinRel(2e-6 / 0.05, 1e-9));
  CHECK_THAT(flow.angles[0] - flow.angles[1], WithinRel(1e-3, 1e-9));
}

TEST_CASE("trees carry torques by ratios, whatever their stiffnesses") {
  for (unsigned seed = 1; seed <= 10; ++seed) {
    const std::size_t n = seed == 10 ? 200 : 2 + 3 * seed;
    INFO("seed " << seed << ", " << n << " inertias");
    System tree = random_tree(seed, n, 1e8);
    const std::vector<double> torques = random_torques(seed, n);
    const std::size_t balancing = seed % n;
    const MeanFlow flow = mean_flow(tree, torques, balancing);
    // Exact: the balance by the ratios, and each element carries what hangs beyond it.
    const std::vector<double> turning = turning_of_tree(tree);
    long double sum = 0.0L;
    for (std::size_t i = 0; i < n; ++i) {
      sum += static_cast<long double>(turning[i]) * torques[i];
    }
    std::vector<long double> beyond(torques.begin(), torques.end());
    beyond[balancing] -= sum / turning[balancing];
    CHECK_THAT(flow.balance,
               WithinAbs(static_cast<double>(-sum / turning[balancing]),
                         promised * greatest(torques) / std::fabs(turning[balancing])));
    std::vector<double> expected(n - 1);
    for (std::size_t e = n - 1; e-- > 0;) {
      const Element& element = tree.elements[e];
      const long double M = beyond[*element.second] / element.arm_2;
      beyond[element.first] -= element.arm_1 * M;
      expected[e] = static_cast<double>(M);
    }
    check_same(flow.torques, expected, promised);
    // Other stiffnesses change nothing.
    for (Element& element : tree.elements) {
      element.law = spring(std::sqrt(element.law.stiffness));
    }
    check_same(mean_flow(tree, torques, balancing).torques, expected, promised);
  }
}

TEST_CASE("in closed loops the stiffness decides who carries what") {
  for (unsigned seed = 1; seed <= 16; ++seed) {
    const std::size_t n = 3 + 2 * seed;
    INFO("seed " << seed << ", " << n << " inertias");
    System train = closed_train(seed, n, 1 + n / 3, seed % 2 == 0 ? 1e8 : 10.0);
    const bool held = seed % 4 == 0;
    std::vector<double> torques = random_torques(seed, n);
    if (held) {
      // The case takes what is left and the balancing inertia nothing.
      train.elements.push_back(to_case(n / 2, spring(1e4)));
    }
    const MeanFlow flow = mean_flow(train, torques, seed % n);
    const std::vector<double> rest = left_over(train, torques, flow, seed % n);
    const double scale = std::max(greatest(flow.torques), greatest(torques));
    CHECK(greatest(rest) <= promised * scale);
    if (held) {
      CHECK(flow.balance == 0.0);
      continue;
    }
    const MeanFlow expected = by_multipliers(train, torques, seed % n);
    check_same(flow.torques, expected.torques, promised);
    check_same(flow.angles, expected.angles, 1e-10);
    CHECK_THAT(flow.balance, WithinAbs(expected.balance, promised * scale));
  }
  // Exact: two ways side by side share by their stiffness, 300 to 100.
  const System pair{{1.0, 1.0}, {shaft(0, 1, spring(300.0)), shaft(0, 1, spring(100.0))}};
  const MeanFlow flow = mean_flow(pair, {8.0, 0.0}, 1);
  CHECK_THAT(flow.torques[0], WithinRel(6.0, promised));
  CHECK_THAT(flow.torques[1], WithinRel(2.0, promised));
  CHECK_THAT(flow.balance, WithinRel(-8.0, promised));
  CHECK_THAT(flow.angles[0], WithinRel(0.02, promised));
}

TEST_CASE("the case balances what is tied to it") {
  // Exact: 7 N m through 100 N m/rad to the case, angles against it.
  const System held{{1.0, 1.0}, {shaft(0, 1, spring(50.0)), to_case(1, spring(100.0))}};
  const MeanFlow flow = mean_flow(held, {5.0, 2.0}, 0);
  CHECK(flow.balance == 0.0);
  CHECK_THAT(flow.torques[0], WithinRel(5.0, promised));
  CHECK_THAT(flow.torques[1], WithinRel(7.0, promised));
  CHECK_THAT(flow.angles[1], WithinRel(0.07, promised));
  CHECK_THAT(flow.angles[0], WithinRel(0.17, promised));
}

TEST_CASE("branches and dampers carry no mean torque") {
  Law law = spring(50.0);
  law.branches = {{1e6, 1.0}};
  law.damping = 3.0;
  law.loss_factor = 0.5;
  Law relaxing;
  relaxing.branches = {{1e6, 1.0}};
  const System system{{1.0, 1.0}, {shaft(0, 1, law), shaft(0, 1, relaxing)}};
  const MeanFlow flow = mean_flow(system, {5.0, 0.0}, 1);
  CHECK_THAT(flow.torques[0], WithinRel(5.0, promised));
  CHECK(flow.torques[1] == 0.0);
  CHECK_THAT(flow.angles[0], WithinRel(0.1, promised));
}

TEST_CASE("a second free part must balance by itself") {
  System parts = random_tree(5, 12, 10.0);
  parts.elements[1].law = spring(0.0);  // cuts off what hangs on inertia 2
  const std::vector<double> turning = turning_of_tree(parts);
  std::vector<bool> beyond(12, false);
  beyond[2] = true;
  for (std::size_t i = 3; i < 12; ++i) {
    beyond[i] = beyond[parts.elements[i - 1].first];
  }
  std::vector<double> torques(12, 0.0);
  torques[0] = 3.0;
  torques[2] = 2.0;
  REQUIRE_FALSE(beyond[1]);
  CHECK_THROWS_AS(mean_flow(parts, torques, 1), ComputationError);
  CHECK_THROWS_WITH(mean_flow(parts, torques, 1), ContainsText("the part of inertia 2"));
  CHECK_THROWS_WITH(mean_flow(parts, torques, 2), ContainsText("the part of inertia 0"));
  // Balanced, it carries its own.
  torques[2] = 0.0;
  CHECK_THAT(mean_flow(parts, torques, 1).balance,
             WithinRel(-3.0 * turning[0] / turning[1], promised));
  const auto other =
      static_cast<std::size_t>(std::find(beyond.begin() + 3, beyond.end(), true) - beyond.begin());
  REQUIRE(other < 12);
  torques[2] = 2.0;
  torques[other] = -2.0 * turning[2] / turning[other];
  const MeanFlow flow = mean_flow(parts, torques, 1);
  CHECK(greatest(left_over(parts, torques, flow, 1)) <= promised * greatest(flow.torques));
  CHECK(flow.angles[2] == 0.0);
  torques[2] *= 1.0 + 1e-7;
  CHECK_THROWS_AS(mean_flow(parts, torques, 1), ComputationError);
}

TEST_CASE("arguments of a mean flow are checked") {
  const System system{{1.0, 2.0}, {shaft(0, 1, spring(3.0))}};
  CHECK_THROWS_AS(mean_flow(system, {1.0}, 0), DomainError);
  CHECK_THROWS_AS(mean_flow(system, {1.0, 2.0}, 2), DomainError);
  CHECK_THROWS_AS(mean_flow(system, {1.0, std::numeric_limits<double>::quiet_NaN()}, 0),
                  DomainError);
  const MeanFlow still = mean_flow(system, {0.0, 0.0}, 0);
  CHECK(still.torques == std::vector<double>{0.0});
  CHECK(still.balance == 0.0);
}
