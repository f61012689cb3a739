#include "heat/propagator.hpp"

#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "made_networks.hpp"

using namespace lashband;
using namespace lashband::heat::kernel;
using namespace lashband::test;

namespace {

// Rounding of sums over some ten bodies and of some thirty doublings, relative to the greatest.
constexpr double rounding = 1e-12;

struct System {
  Matrix A;
  Vector capacities;
  Vector rate;
  Vector bend;
};

System random_system(unsigned seed, Eigen::Index n, bool streams, double spread) {
  Draw draw(seed);
  System system{Matrix::Zero(n, n), Vector(n), Vector(n), Vector(n)};
  for (Eigen::Index i = 0; i < n; ++i) {
    system.capacities[i] = draw.between(100, 100 * spread);
    system.rate[i] = draw.between(0.01, 1);
    system.bend[i] = -draw.between(1e-5, 1e-3);
    system.A(i, i) -= i == 0 ? 3.0 : 0.0;
  }
  for (Eigen::Index i = 1; i < n; ++i) {
    const auto j = static_cast<Eigen::Index>(draw.below(static_cast<std::size_t>(i)));
    const double G = draw.between(1, 20);
    system.A(i, j) += G;
    system.A(i, i) -= G;
    if (!streams || i % 2 == 0) {
      system.A(j, i) += G;
      system.A(j, j) -= G;
    }
  }
  system.A = (system.capacities.cwiseInverse().asDiagonal() * system.A).eval();
  return system;
}

void check_same(const Vector& one, const Vector& other, double tolerance) {
  const double greatest = other.cwiseAbs().maxCoeff();
  CHECK(greatest > 0.0);
  CHECK((one - other).cwiseAbs().maxCoeff() <= tolerance * greatest);
}

void check_same(const Motion& one, const Motion& other, double tolerance) {
  check_same(one.rate, other.rate, tolerance);
  check_same(one.moved, other.moved, tolerance);
  check_same(one.area, other.area, tolerance);
}

Motion moved(const Propagator& propagator, const System& system, double time) {
  Motion motion = beginning(system.rate);
  propagator.advance(time, system.bend, motion);
  return motion;
}

}  // namespace

TEST_CASE("modes and doubling agree") {
  for (unsigned seed = 1; seed <= 6; ++seed) {
    const System system = random_system(seed, 3 + 4 * seed, false, 50);
    const auto modes = modal_propagator(system.A, system.capacities);
    const auto doubling = doubling_propagator(system.A, 5000);
    for (const double time : {1e-6, 0.3, 17.0, 800.5, 5000.0}) {
      INFO("seed " << seed << ", " << time << " s");
      // The relative error of eigenvalues grows with the time over the fastest time constant.
      const double tolerance = rounding * std::max(1.0, row_norm(system.A) * time);
      // v is left over from b0 and A x: relative to what it was.
      const Motion one = moved(*modes, system, time);
      const Motion other = moved(*doubling, system, time);
      CHECK((one.rate - other.rate).cwiseAbs().maxCoeff() <=
            tolerance * system.rate.cwiseAbs().maxCoeff());
      check_same(one.moved, other.moved, tolerance);
      check_same(one.area, other.area, tolerance);
    }
  }
}

TEST_CASE("a way is what advancing makes, and ways join") {
  for (const bool streams : {false, true}) {
    const System system = random_system(11, 9, streams, 1000);
    const auto propagator = streams ? doubling_propagator(system.A, 4096)
                                    : modal_propagator(system.A, system.capacities);
    for (const double time : {0.001, 3.7, 900.0}) {
      INFO(streams << " " << time);
      Motion by_way = beginning(system.rate);
      go(propagator->way(time), system.bend, by_way);
      check_same(by_way, moved(*propagator, system, time), rounding);
      Motion in_parts = beginning(system.rate);
      for (const double share : {0.3, 0.05, 0.65}) {
        propagator->advance(share * time, system.bend, in_parts);
      }
      check_same(in_parts, moved(*propagator, system, time), rounding);
    }
  }
}

TEST_CASE("motions obey their equation") {
  // v = A x + b0 + b1 t, and A times the area is x less what b0 and b1 alone would do.
  for (const bool streams : {false, true}) {
    const System system = random_system(21, 14, streams, 30);
    const auto propagator = streams ? doubling_propagator(system.A, 3000)
                                    : modal_propagator(system.A, system.capacities);
    for (const double time : {0.2, 41.0, 2000.0}) {
      const Motion motion = moved(*propagator, system, time);
      const Vector v = system.A * motion.moved + system.rate + time * system.bend;
      CHECK((v - motion.rate).cwiseAbs().maxCoeff() <= rounding);
      const Vector x =
          system.A * motion.area + time * system.rate + 0.5 * time * time * system.bend;
      CHECK((x - motion.moved).cwiseAbs().maxCoeff() <=
            rounding * std::max(1.0, time * time * system.bend.cwiseAbs().maxCoeff()));
    }
  }
}

TEST_CASE("a single stretch agrees with the ways of a propagator") {
  for (const double length : {0.01, 12.0, 700.0, 20000.0}) {
    const System system = random_system(31, 7, true, 1000);
    const auto propagator = doubling_propagator(system.A, length);
    const SingleStretch single(system.A, system.rate, system.bend, length);
    INFO(length);
    check_same(single.at_end().moved, moved(*propagator, system, length).moved, rounding);
    check_same(single.at_end().area, moved(*propagator, system, length).area, rounding);
    check_same(single.at_half().moved, moved(*propagator, system, 0.5 * length).moved, rounding);
    check_same(single.at_half().area, moved(*propagator, system, 0.5 * length).area, rounding);
    for (const double share : {0.01, 0.25, 0.7, 1.0}) {
      check_same(single.moved(share * length), moved(*propagator, system, share * length).moved,
                 rounding);
    }
  }
}

TEST_CASE("a chain with one eigenvector moves as the Poisson distribution says") {
  // x_i' = (x_(i-1) - x_i)/s with x_(-1) = 1: x_i = 1 - exp(-t/s) sum_(k <= i) (t/s)^k/k!.
  const Eigen::Index n = 30;
  const double s = 50.0;
  System system{Matrix::Zero(n, n), Vector::Ones(n), Vector::Zero(n), Vector::Zero(n)};
  for (Eigen::Index i = 0; i < n; ++i) {
    system.A(i, i) = -1.0 / s;
    if (i > 0) {
      system.A(i, i - 1) = 1.0 / s;
    }
  }
  system.rate[0] = 1.0 / s;
  const auto propagator = doubling_propagator(system.A, 8000);
  for (const double time : {10.0, 500.0, 1500.0, 8000.0}) {
    const Motion motion = moved(*propagator, system, time);
    double term = std::exp(-time / s);
    double sum = 0.0;
    for (Eigen::Index i = 0; i < n; ++i) {
      sum += term;
      term *= time / s / static_cast<double>(i + 1);
      CHECK_THAT(motion.moved[i], WithinAbs(1.0 - sum, rounding));
    }
  }
}

TEST_CASE("slow bodies keep their digits beside fast ones") {
  // Body 0 answers in 1e-5 s and sits between ambient and body 1, which takes hours: eliminating it
  // leaves one time constant C (1/G_0 + 1/G_1), up to the share of C_0 in C, 1e-8.
  const double C_0 = 1e-3;
  const double C_1 = 1e5;
  const double G_0 = 100.0;
  const double G_1 = 10.0;
  System system{Matrix(2, 2), Vector(2), Vector(2), Vector::Zero(2)};
  system.capacities << C_0, C_1;
  system.A << -(G_0 + G_1) / C_0, G_1 / C_0, G_1 / C_1, -G_1 / C_1;
  system.rate << 0.0, 1.0;
  const auto propagator = doubling_propagator(system.A, 4e4);
  // The exact eigenvalues, the slow one in the form that does not cancel.
  const double trace = system.A(0, 0) + system.A(1, 1);
  const double determinant = G_0 * G_1 / (C_0 * C_1);
  const double fast = 0.5 * (trace - std::sqrt(trace * trace - 4.0 * determinant));
  const double slow = determinant / fast;
  for (const double time : {100.0, 1e4, 4e4}) {
    // v_1 = exp(slow t) (a_11 - fast)/(slow - fast) + ... of the fast mode, which is gone.
    const double expected = std::exp(slow * time) * (system.A(1, 1) - fast) / (slow - fast);
    // Relative to what the rate was, of which the rest is left over.
    CHECK_THAT(moved(*propagator, system, time).rate[1], WithinAbs(expected, 1e-14));
  }
}

TEST_CASE("bodies that nothing reaches only gather heat") {
  System system{Matrix::Zero(3, 3), Vector::Ones(3), Vector(3), Vector(3)};
  system.rate << 1.0, -2.0, 0.5;
  system.bend << 0.1, 0.0, -0.3;
  for (const auto& propagator : {propagator(system.A, system.capacities, true, 100.0),
                                 propagator(system.A, system.capacities, false, 100.0)}) {
    const Motion motion = moved(*propagator, system, 70.0);
    check_same(motion.moved, 70.0 * system.rate + 2450.0 * system.bend, rounding);
    check_same(motion.rate, system.rate + 70.0 * system.bend, rounding);
    check_same(motion.area, 2450.0 * system.rate + 70.0 * 2450.0 / 3.0 * system.bend, rounding);
  }
}
