#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "made_systems.hpp"
#include "torsion/modes.hpp"

using namespace lashband;
using namespace lashband::test;
using namespace lashband::torsion::kernel;

namespace {

// Digits of an eigenvalue of few inertias.
constexpr double rounding = 1e-12;
// Promised in the header, relative to |K| |theta|.
constexpr double promised_residual = 1e-9;

double residual(const System& system, const DampedMode& mode) {
  const LongComplex lambda{mode.lambda.real(), mode.lambda.imag()};
  const Dense<LongComplex> whole = dynamic_matrix(system, lambda);
  System weightless = system;
  weightless.inertias.assign(system.inertias.size(), 0.0);
  const Dense<LongComplex> K = dynamic_matrix(weightless, lambda);
  long double norm = 0.0L;
  long double greatest = 0.0L;
  for (std::size_t i = 0; i < whole.size(); ++i) {
    LongComplex sum{};
    long double row = 0.0L;
    for (std::size_t j = 0; j < whole.size(); ++j) {
      sum += whole[i][j] * LongComplex{mode.shape[j].real(), mode.shape[j].imag()};
      row += std::abs(K[i][j]);
    }
    greatest = std::max(greatest, std::abs(sum));
    norm = std::max(norm, row);
  }
  return static_cast<double>(greatest / norm);
}

void check_mode(const System& system, const DampedMode& mode) {
  CHECK(mode.lambda.imag() > 0.0);
  CHECK_THAT(mode.natural_omega, WithinRel(std::abs(mode.lambda), rounding));
  CHECK_THAT(mode.damping_ratio, WithinAbs(-mode.lambda.real() / mode.natural_omega, rounding));
  double greatest = 0.0;
  for (const Complex& angle : mode.shape) {
    greatest = std::max(greatest, std::abs(angle));
  }
  CHECK_THAT(greatest, WithinRel(1.0, rounding));
  CHECK(std::find(mode.shape.begin(), mode.shape.end(), Complex{1.0, 0.0}) != mode.shape.end());
  CHECK(residual(system, mode) < promised_residual);
}

// How far the phase of det T(lambda) turns from one point to the next, by elimination.
long double phase_of_determinant(const System& system, LongComplex lambda) {
  Dense<LongComplex> A = dynamic_matrix(system, lambda);
  long double phase = 0.0L;
  for (std::size_t k = 0; k < A.size(); ++k) {
    std::size_t pivot = k;
    for (std::size_t i = k + 1; i < A.size(); ++i) {
      pivot = std::abs(A[i][k]) > std::abs(A[pivot][k]) ? i : pivot;
    }
    if (pivot != k) {
      std::swap(A[k], A[pivot]);
      phase += std::numbers::pi_v<long double>;
    }
    phase += std::arg(A[k][k]);
    for (std::size_t i = k + 1; i < A.size(); ++i) {
      const LongComplex factor = A[i][k] / A[k][k];
      for (std::size_t j = k; j < A.size(); ++j) {
        A[i][j] -= factor * A[k][j];
      }
    }
  }
  return phase;
}

// Roots of det T above the real axis, by how often its phase turns around a rectangle there; halved
// steps until no step turns far.
int roots_above(const System& system, long double low, long double radius) {
  constexpr long double full = 2.0L * std::numbers::pi_v<long double>;
  const LongComplex corners[] = {
      {-radius, low}, {radius, low}, {radius, radius}, {-radius, radius}, {-radius, low}};
  long double turned = 0.0L;
  for (int side = 0; side < 4; ++side) {
    const LongComplex from = corners[side];
    const LongComplex way = corners[side + 1] - from;
    // Denser towards the middle of the lower side, where slow modes are near.
    const auto at = [&](long double s) { return from + way * (s * s * s + 1.0L) / 2.0L; };
    long double s = -1.0L;
    long double phase = phase_of_determinant(system, at(s));
    long double step = 1e-3L;
    while (s < 1.0L) {
      const long double next = std::min(1.0L, s + step);
      const long double other = phase_of_determinant(system, at(next));
      const long double turn = std::remainder(other - phase, full);
      if (std::fabs(turn) > 0.3L && step > 1e-15L) {
        step /= 2.0L;
        continue;
      }
      turned += turn;
      phase = other;
      s = next;
      step = std::min(1e-3L, step * 1.5L);
    }
  }
  return static_cast<int>(std::lround(turned / full));
}

}  // namespace

TEST_CASE("two rotors with viscous damping") {
  // Exact: -zeta wn +- i wn sqrt(1 - zeta^2), wn 324.037035 rad/s, zeta 0.0432049.
  const System system{{0.02, 0.05}, {shaft(0, 1, Law{1500.0, 0.4, 0.0, {}})}};
  const std::vector<DampedMode> found = damped_modes(system);
  REQUIRE(found.size() == 1);
  CHECK_THAT(found[0].lambda.real(), WithinAbs(-14.0, 5e-7));
  CHECK_THAT(found[0].lambda.imag(), WithinAbs(323.734459, 5e-7));
  CHECK_THAT(found[0].natural_omega, WithinAbs(324.037035, 5e-7));
  CHECK_THAT(found[0].damping_ratio, WithinAbs(0.0432049, 5e-8));
  check_mode(system, found[0]);
}

TEST_CASE("two rotors with a loss factor") {
  // Exact: zeta = sin(atan(eta) / 2), not eta / 2.
  Law law = spring(1500.0);
  law.loss_factor = 0.2;
  const System system{{0.02, 0.05}, {shaft(0, 1, law)}};
  const std::vector<DampedMode> found = damped_modes(system);
  REQUIRE(found.size() == 1);
  CHECK_THAT(found[0].damping_ratio, WithinAbs(0.098537618, 5e-10));
  CHECK_THAT(found[0].damping_ratio, WithinRel(std::sin(0.5 * std::atan(0.2)), rounding));
  CHECK_THAT(found[0].lambda.real(), WithinAbs(-32.244455, 5e-7));
  CHECK_THAT(found[0].lambda.imag(), WithinAbs(325.637383, 5e-7));
  check_mode(system, found[0]);
}

TEST_CASE("overshoot and decrement of a step from lambda") {
  // Exact: zeta 0.05, overshoot 1 + exp(-pi zeta / sqrt(1 - zeta^2)) and logarithmic decrement; the
  // course of a step is 1 - Re(...) e^(lambda t), so that lambda alone says both.
  const System system{{1.0}, {to_case(0, Law{1.0, 0.1, 0.0, {}})}};
  const Complex lambda = damped_modes(system).at(0).lambda;
  CHECK_THAT(1.0 + std::exp(pi * lambda.real() / lambda.imag()), WithinAbs(1.854467893, 5e-10));
  CHECK_THAT(-2.0 * pi * lambda.real() / lambda.imag(), WithinAbs(0.314552702, 5e-10));
}

TEST_CASE("without damping lambda is i omega") {
  const System tree = random_tree(4, 20, 1e8);
  const std::vector<Mode> modes_of_tree = modes(tree);
  const std::vector<DampedMode> found = damped_modes(tree);
  REQUIRE(found.size() + 1 == modes_of_tree.size());
  for (std::size_t r = 0; r < found.size(); ++r) {
    CHECK(found[r].lambda == Complex(0.0, modes_of_tree[r + 1].omega));
    CHECK(found[r].damping_ratio == 0.0);
    check_mode(tree, found[r]);
  }
}

TEST_CASE("dampers in proportion to the springs damp each mode alone") {
  // Exact: c = beta k gives zeta = beta omega / 2 to every mode, also where they are far apart.
  System tree = random_tree(7, 30, 1e8);
  const std::vector<Mode> undamped = modes(tree);
  const double beta = 0.5 / undamped.back().omega;
  for (Element& element : tree.elements) {
    element.law.damping = beta * element.law.stiffness;
  }
  const std::vector<DampedMode> found = damped_modes(tree);
  REQUIRE(found.size() + 1 == undamped.size());
  for (std::size_t r = 0; r < found.size(); ++r) {
    const double omega = undamped[r + 1].omega;
    CHECK_THAT(found[r].natural_omega, WithinRel(omega, 1e-10));
    CHECK_THAT(found[r].damping_ratio, WithinRel(0.5 * beta * omega, 1e-9));
    check_mode(tree, found[r]);
  }
  // The same loss factor everywhere: lambda^2 = -omega^2 (1 + i eta).
  for (Element& element : tree.elements) {
    element.law.damping = 0.0;
    element.law.loss_factor = 0.3;
  }
  const std::vector<DampedMode> lossy = damped_modes(tree);
  REQUIRE(lossy.size() == found.size());
  for (std::size_t r = 0; r < found.size(); ++r) {
    const Complex expected = Complex{0.0, undamped[r + 1].omega} * std::sqrt(Complex{1.0, 0.3});
    CHECK(std::abs(lossy[r].lambda - expected) <= 1e-10 * std::abs(expected));
  }
}

TEST_CASE("what does not swing is left out") {
  // Overdamped: zeta 2.
  CHECK(damped_modes({{1.0}, {to_case(0, Law{1.0, 4.0, 0.0, {}})}}).empty());
  CHECK(damped_modes({{1.0}, {to_case(0, damper(4.0))}}).empty());
  // The same with a loss factor, which moves both off the axis.
  CHECK(damped_modes({{1.0}, {to_case(0, Law{1.0, 4.0, 0.1, {}})}}).empty());
  // One of each, and the free motion that a damper brakes.
  System system{{1.0, 2.0, 1.0}, {}};
  system.elements = {shaft(0, 1, spring(100.0)), shaft(1, 2, Law{100.0, 300.0, 0.0, {}}),
                     to_case(0, damper(0.3))};
  CHECK(damped_modes(system).size() == 1);
  // A branch alone: lambda^2 + lambda / tau + k / J = 0, which swings where tau > sqrt(J / k) / 2.
  Law law;
  law.branches = {{50.0, 0.099}};
  CHECK(damped_modes({{2.0}, {to_case(0, law)}}).empty());
  law.branches = {{50.0, 0.101}};
  const std::vector<DampedMode> branch = damped_modes({{2.0}, {to_case(0, law)}});
  REQUIRE(branch.size() == 1);
  CHECK_THAT(branch[0].lambda.real(), WithinRel(-0.5 / 0.101, rounding));
  CHECK_THAT(branch[0].natural_omega, WithinRel(5.0, rounding));
}

TEST_CASE("a branch is a spring and a damper in series") {
  // Built with a massless inertia between them, which the solver must eliminate in another way.
  for (unsigned seed = 1; seed <= 8; ++seed) {
    INFO("seed " << seed);
    Draw draw(seed);
    System branches = random_tree(seed, 6, 10.0);
    System built = branches;
    for (const std::size_t e : {0U, 2U, 3U}) {
      Element& element = branches.elements[e];
      const double k = element.law.stiffness * draw.over(0.2, 2.0);
      const double tau = draw.over(1e-4, 1e-2);
      element.law.branches = {{k, tau}};
      if (seed % 2 == 0) {
        element.law.loss_factor = 0.1;
        built.elements[e].law.loss_factor = 0.1;
      }
      // x = arm_1 theta_1 - z along the spring, z + arm_2 theta_2 along the damper.
      const std::size_t between = built.inertias.size();
      built.inertias.push_back(0.0);
      built.elements.push_back({element.first, element.arm_1, between, -1.0, spring(k)});
      built.elements.push_back({between, 1.0, element.second, element.arm_2, damper(k * tau)});
    }
    const std::vector<DampedMode> one = damped_modes(branches);
    const std::vector<DampedMode> other = damped_modes(built);
    REQUIRE(one.size() == other.size());
    REQUIRE_FALSE(one.empty());
    for (std::size_t r = 0; r < one.size(); ++r) {
      CHECK(std::abs(one[r].lambda - other[r].lambda) <= 1e-10 * one[r].natural_omega);
      check_mode(branches, one[r]);
      check_mode(built, other[r]);
    }
  }
}

TEST_CASE("massless inertias with and without dampers follow") {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    INFO("seed " << seed);
    System system = closed_train(seed, 9, 3, 100.0);
    damp(system, seed);
    if (seed % 2 == 0) {
      for (Element& element : system.elements) {
        element.law.loss_factor = 0.0;
      }
    }
    for (const std::size_t i : {2U, 3U, 6U}) {
      system.inertias[i] = 0.0;
    }
    const std::vector<DampedMode> found = damped_modes(system);
    CHECK_FALSE(found.empty());
    for (const DampedMode& mode : found) {
      check_mode(system, mode);
    }
  }
}

TEST_CASE("damped modes are all there") {
  for (unsigned seed = 1; seed <= 6; ++seed) {
    INFO("seed " << seed);
    System system = closed_train(seed, 4, 1, 10.0);
    damp(system, seed);
    for (Element& element : system.elements) {
      element.law.loss_factor = 0.0;
    }
    if (seed % 3 == 0) {
      system.inertias[1] = 0.0;
    }
    const std::vector<DampedMode> found = damped_modes(system);
    REQUIRE_FALSE(found.empty());
    double slowest = found[0].lambda.imag();
    for (const DampedMode& mode : found) {
      check_mode(system, mode);
      slowest = std::min(slowest, mode.lambda.imag());
    }
    CHECK(roots_above(system, 0.5L * slowest, 10.0L * found.back().natural_omega) ==
          static_cast<int>(found.size()));
  }
}

TEST_CASE("damped modes of great random systems satisfy their equations") {
  for (unsigned seed = 1; seed <= 4; ++seed) {
    const std::size_t n = 10 * seed;
    INFO("seed " << seed << ", " << n << " inertias");
    System system = closed_train(seed, n, n / 4, seed % 2 == 0 ? 1e8 : 10.0);
    damp(system, seed);
    const std::vector<DampedMode> found = damped_modes(system);
    CHECK(found.size() <= n);
    CHECK(found.size() >= n / 3);
    for (std::size_t r = 0; r < found.size(); ++r) {
      check_mode(system, found[r]);
      CHECK((r == 0 || found[r].natural_omega >= found[r - 1].natural_omega));
    }
  }
}
