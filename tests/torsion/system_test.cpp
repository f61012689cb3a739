#include "torsion/system.hpp"

#include <cmath>
#include <limits>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_systems.hpp"

using namespace lashband;
using namespace lashband::test;
using namespace lashband::torsion::kernel;

namespace {

// Rounding of a handful of products.
constexpr double rounding = 4e-15;
// Of products of arms over two hundred inertias.
constexpr double rounding_of_tree = 1e-13;

double length(const std::vector<double>& vector) {
  double sum = 0.0;
  for (const double value : vector) {
    sum += value * value;
  }
  return std::sqrt(sum);
}

double product(const std::vector<double>& one, const std::vector<double>& other) {
  double sum = 0.0;
  for (std::size_t i = 0; i < one.size(); ++i) {
    sum += one[i] * other[i];
  }
  return sum;
}

}  // namespace

TEST_CASE("dynamic stiffness of a standard linear solid") {
  // Exact, derived: k = 1000 N m/rad with a branch of 1500 and 10 ms; digits printed.
  Law law = spring(1000.0);
  law.branches = {{1500.0, 0.01}};
  struct Row {
    double hertz, storage, loss;
  };
  for (const Row& row : {Row{1, 1005.898476, 93.877167}, Row{10, 1424.564800, 675.715865},
                         Row{50, 2362.000497, 433.538223}, Row{100, 2462.943215, 232.834644},
                         Row{200, 2490.560913, 118.615069}}) {
    INFO(row.hertz << " Hz");
    const Complex k = dynamic_stiffness(law, 2.0 * pi * row.hertz);
    CHECK_THAT(k.real(), WithinAbs(row.storage, 6e-7));
    CHECK_THAT(k.imag(), WithinAbs(row.loss, 6e-7));
  }
  // Exact, derived: the greatest loss (ku - kr) / (2 sqrt(ku kr)) at sqrt(kr / ku) / tau.
  const double omega = 63.2455532;
  const auto tangent = [&law](double at) {
    const Complex k = dynamic_stiffness(law, at);
    return k.imag() / k.real();
  };
  CHECK_THAT(tangent(omega), WithinAbs(0.474341649, 1e-9));
  CHECK(tangent(0.99 * omega) < tangent(omega));
  CHECK(tangent(1.01 * omega) < tangent(omega));
  // Exact, derived: pi k'' amplitude^2 a cycle, at 50 Hz and 0.01 rad.
  CHECK_THAT(pi * dynamic_stiffness(law, 100.0 * pi).imag() * 1e-4, WithinAbs(0.1362000497, 1e-10));
}

TEST_CASE("dynamic stiffness adds up its parts") {
  Law law{2000.0, 0.5, 0.15, {{300.0, 1e-3}}};
  const double omega = 400.0;
  const Complex branch = 300.0 * Complex{0.0, 0.4} / Complex{1.0, 0.4};
  const Complex expected = 2000.0 * Complex{1.0, 0.15} + Complex{0.0, 200.0} + branch;
  CHECK(std::abs(dynamic_stiffness(law, omega) - expected) <= rounding * std::abs(expected));
  // Exact, derived: a loss factor of 0.15 loses pi k'' 0.01^2 = 0.09424777961 J a cycle.
  Law lossy = spring(2000.0);
  lossy.loss_factor = 0.15;
  CHECK_THAT(pi * dynamic_stiffness(lossy, 1.0).imag() * 1e-4, WithinAbs(0.09424777961, 1e-11));
  // Far above its relaxation a branch is a spring, far below a damper of k tau.
  Law far;
  far.branches = {{7.0, 1e200}};
  CHECK(dynamic_stiffness(far, 1e200) == Complex{7.0, 0.0});
  far.branches = {{7.0, 1e-9}};
  CHECK_THAT(dynamic_stiffness(far, 1.0).imag(), WithinRel(7e-9, rounding));
}

TEST_CASE("elongations are sums of arms and angles") {
  System system{{1.0, 1.0, 1.0}, {}};
  system.elements = {
      {0, 0.1, 1, 0.3, spring(1.0)}, shaft(1, 2, spring(1.0)), to_case(2, spring(1.0))};
  const std::vector<double> x = elongations(system, std::vector<double>{3.0, -1.0, 2.0});
  CHECK_THAT(x[0], WithinAbs(0.0, rounding));
  CHECK_THAT(x[1], WithinRel(-3.0, rounding));
  CHECK_THAT(x[2], WithinRel(2.0, rounding));
  const std::vector<Complex> z =
      elongations(system, std::vector<Complex>{{0.0, 1.0}, {1.0, 0.0}, {0.0, 0.0}});
  CHECK(std::abs(z[0] - Complex{0.3, 0.1}) <= rounding);
}

TEST_CASE("a free train turns in one way, by its ratios") {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const std::size_t n = 1 + 18 * (seed - 1);
    INFO("seed " << seed << ", " << n << " inertias");
    const System tree = random_tree(seed, n, 1e8);
    const std::vector<double> turning = turning_of_tree(tree);
    const auto free = free_motions(tree);
    REQUIRE(free.size() == 1);
    CHECK_THAT(length(free[0]), WithinRel(1.0, rounding_of_tree));
    const double factor = 1.0 / length(turning);
    for (std::size_t i = 0; i < n; ++i) {
      CHECK_THAT(free[0][i],
                 WithinAbs(factor * turning[i], rounding_of_tree * std::fabs(factor * turning[i])));
    }
    CHECK(free_motions(closed_train(seed, n + 3, 5, 1e8)).size() == 1);
  }
}

TEST_CASE("what holds a train stops it") {
  System train = random_tree(3, 9, 100.0);
  CHECK(free_motions(train).size() == 1);
  SECTION("a spring to the case") {
    train.elements.push_back(to_case(4, spring(1e-30)));
    CHECK(free_motions(train).empty());
  }
  SECTION("a branch to the case") {
    Law law;
    law.branches = {{1.0, 1.0}};
    train.elements.push_back(to_case(4, law));
    CHECK(free_motions(train).empty());
  }
  SECTION("damping does not, nor a loss factor of no stiffness") {
    Law law = damper(10.0);
    law.loss_factor = 0.5;
    train.elements.push_back(to_case(4, law));
    CHECK(free_motions(train).size() == 1);
  }
  SECTION("a loop that does not close does, and one within 1e-9 does not") {
    const std::vector<double> turning = turning_of_tree(train);
    const double arm = -turning[2] / turning[7];
    train.elements.push_back({2, 1.0, 7, arm * (1.0 + 1e-10), spring(1.0)});
    CHECK(free_motions(train).size() == 1);
    train.elements.push_back({2, 1.0, 7, arm * (1.0 + 1e-7), spring(1.0)});
    CHECK(free_motions(train).empty());
  }
  SECTION("each element of no stiffness that divides the train adds a way") {
    train.elements[3].law = spring(0.0);
    CHECK(free_motions(train).size() == 2);
    train.elements[6].law = damper(1.0);
    const auto free = free_motions(train);
    REQUIRE(free.size() == 3);
    for (std::size_t a = 0; a < 3; ++a) {
      for (std::size_t b = 0; b < 3; ++b) {
        CHECK_THAT(product(free[a], free[b]), WithinAbs(a == b ? 1.0 : 0.0, rounding));
      }
      const std::vector<double> x = elongations(train, free[a]);
      for (std::size_t e = 0; e < x.size(); ++e) {
        if (train.elements[e].law.stiffness > 0.0) {
          CHECK_THAT(x[e], WithinAbs(0.0, rounding));
        }
      }
    }
  }
}

TEST_CASE("two hundred stages of great ratio are turned without overflow") {
  System train{{1.0}, {}};
  for (std::size_t i = 1; i <= 200; ++i) {
    train.inertias.push_back(1.0);
    train.elements.push_back({i - 1, 1.0, i, 50.0, spring(1.0)});
  }
  const auto free = free_motions(train);
  REQUIRE(free.size() == 1);
  CHECK_THAT(free[0][1] / free[0][0], WithinRel(-0.02, rounding));
  CHECK(std::isfinite(length(free[0])));
}

TEST_CASE("values outside their range are named") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinite = std::numeric_limits<double>::infinity();
  const System good{{1.0, 2.0}, {shaft(0, 1, spring(3.0))}};
  const auto refused = [](const System& system, const std::string& part) {
    CHECK_THROWS_AS(free_motions(system), DomainError);
    CHECK_THROWS_WITH(free_motions(system), ContainsText(part));
  };
  CHECK(free_motions(good).size() == 1);
  refused({}, "at least one inertia");
  for (const double bad : {-1.0, nan, infinite}) {
    INFO(bad);
    System system = good;
    system.inertias[1] = bad;
    refused(system, "inertia 1: it must be 0 kg m2 or more");
    system = good;
    system.elements[0].law.stiffness = bad;
    refused(system, "element 0: the stiffness must be 0 or more");
    system = good;
    system.elements[0].law.damping = bad;
    refused(system, "damping");
    system = good;
    system.elements[0].law.loss_factor = bad;
    refused(system, "loss factor");
    system = good;
    system.elements[0].law.branches = {{bad, 1.0}};
    refused(system, "stiffness of a branch");
    system.elements[0].law.branches = {{1.0, bad}};
    refused(system, "relaxation time");
    CHECK_THROWS_AS(dynamic_stiffness(spring(bad), 1.0), DomainError);
    CHECK_THROWS_AS(dynamic_stiffness(spring(1.0), bad), DomainError);
  }
  CHECK_THROWS_AS(dynamic_stiffness(spring(1.0), 0.0), DomainError);
  for (const double bad : {0.0, nan, infinite}) {
    System system = good;
    system.elements[0].arm_1 = bad;
    refused(system, "an arm must be finite and other than 0");
    system = good;
    system.elements[0].arm_2 = bad;
    refused(system, "an arm");
  }
  System system = good;
  system.elements[0].first = 2;
  refused(system, "first inertia");
  system = good;
  system.elements[0].second = 7;
  refused(system, "second inertia must be one of the system, not 7");
  system.elements[0].second = 0;
  refused(system, "two different inertias");
  CHECK_THROWS_AS(elongations(good, std::vector<double>{1.0}), DomainError);
  CHECK_THROWS_AS(elongations(good, std::vector<double>{1.0, nan}), DomainError);
}
