#include "lashband/elastomer/fitted_chain.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <limits>
#include <numbers>
#include <random>
#include <vector>

#include "catch.hpp"
#include "elastomer/nonnegative_least_squares.hpp"
#include "lashband/error.hpp"
#include "made_quantities.hpp"

using namespace lashband;
using namespace lashband::elastomer;
using namespace lashband::test;

namespace {

constexpr double k_shown = 1800.0;

FittedChain fit(double eta, double low, double high, std::size_t branches) {
  return fitted_chain({newton_metre_per_radian(k_shown), eta},
                      {radian_per_second(low), radian_per_second(high)}, branches);
}

/// k*/k of a chain at one frequency, by the complex formula itself.
std::complex<double> relative(const GeneralisedMaxwell& chain, double omega) {
  std::complex<double> sum = chain.relaxed_stiffness.value();
  for (const MaxwellBranch& branch : chain.branches) {
    const std::complex<double> x(0.0, omega * branch.relaxation_time.value());
    sum += branch.stiffness.value() * x / (1.0 + x);
  }
  return sum / k_shown;
}

struct Errors {
  double storage = 0.0;
  double loss = 0.0;
  double mean_square = 0.0;  ///< of both, over log omega
};

Errors errors(const GeneralisedMaxwell& chain, double eta, double low, double high) {
  constexpr int points = 4000;
  Errors found;
  for (int i = 0; i <= points; ++i) {
    const auto k = relative(chain, low * std::pow(high / low, i / double{points}));
    const double storage = std::abs(k.real() - 1.0);
    const double loss = std::abs(k.imag() / eta - 1.0);
    found.storage = std::max(found.storage, storage);
    found.loss = std::max(found.loss, loss);
    found.mean_square += (storage * storage + loss * loss) / (points + 1);
  }
  return found;
}

/// The least squares over x >= 0 by trying every set of columns.
double least_square_by_brute_force(const Eigen::MatrixXd& A, const Eigen::VectorXd& b) {
  const auto n = static_cast<unsigned>(A.cols());
  double least = b.squaredNorm();
  for (unsigned set = 1; set < (1U << n); ++set) {
    std::vector<Eigen::Index> chosen;
    for (unsigned j = 0; j < n; ++j) {
      if ((set >> j & 1U) != 0U) {
        chosen.push_back(j);
      }
    }
    const Eigen::MatrixXd part = A(Eigen::all, chosen);
    const Eigen::VectorXd x = part.colPivHouseholderQr().solve(b);
    if (x.minCoeff() >= 0.0) {
      least = std::min(least, (part * x - b).squaredNorm());
    }
  }
  return least;
}

}  // namespace

TEST_CASE("least squares without negative numbers are the best of every set of columns") {
  std::mt19937_64 random(20261124);
  std::normal_distribution<double> normal;
  int bounded = 0;
  for (int trial = 0; trial < 200; ++trial) {
    const Eigen::Index n = 1 + trial % 7;
    const Eigen::Index m = n + trial % 5;
    Eigen::MatrixXd A(m, n);
    Eigen::VectorXd b(m);
    std::vector<std::vector<double>> columns(static_cast<std::size_t>(n));
    for (Eigen::Index j = 0; j < n; ++j) {
      for (Eigen::Index i = 0; i < m; ++i) {
        A(i, j) = normal(random);
        columns[static_cast<std::size_t>(j)].push_back(A(i, j));
      }
    }
    std::vector<double> target;
    for (Eigen::Index i = 0; i < m; ++i) {
      b(i) = normal(random);
      target.push_back(b(i));
    }
    const std::vector<double> found = kernel::nonnegative_least_squares(columns, target);
    const Eigen::VectorXd x = Eigen::Map<const Eigen::VectorXd>(found.data(), n);
    INFO("trial " << trial);
    CHECK(x.minCoeff() >= 0.0);
    bounded += x.minCoeff() == 0.0 ? 1 : 0;
    CHECK_THAT((A * x - b).squaredNorm(),
               WithinAbs(least_square_by_brute_force(A, b), 1e-11 * b.squaredNorm()));
  }
  CHECK(bounded > 50);
}

TEST_CASE("least squares bear columns that are alike") {
  const std::vector<double> found = kernel::nonnegative_least_squares(
      {{1.0, 2.0, 0.0}, {1.0, 2.0, 0.0}, {0.0, 0.0, 3.0}}, {2.0, 4.0, 6.0});
  CHECK_THAT(found[0] + found[1], WithinRel(2.0, 1e-14));
  CHECK_THAT(found[2], WithinRel(2.0, 1e-14));
  CHECK(*std::min_element(found.begin(), found.end()) >= 0.0);
}

TEST_CASE("one branch meets a loss factor at one frequency") {
  // A branch with omega tau = 1 has k_1/2 of both parts: k_1 = 2 eta k, relaxed k (1 - eta).
  const FittedChain found = fit(0.2, 99.999, 100.001, 1);
  REQUIRE(found.chain.branches.size() == 1);
  // The band is 2e-5 wide, and errors of first order in it cancel.
  CHECK_THAT(found.chain.branches[0].relaxation_time.value(), WithinRel(0.01, 1e-9));
  CHECK_THAT(found.chain.branches[0].stiffness.value(), WithinRel(0.4 * k_shown, 1e-6));
  CHECK_THAT(found.chain.relaxed_stiffness.value(), WithinRel(0.8 * k_shown, 1e-6));
  CHECK(found.storage_error < 1e-5);
  CHECK(found.loss_error < 1e-5);
}

TEST_CASE("the errors of a fitted chain are those over its whole band") {
  for (const double eta : {0.05, 0.15, 0.4}) {
    for (const double high : {20.0, 100.0, 1e3, 1e5}) {
      for (const std::size_t branches : {1U, 3U, 6U, 12U}) {
        INFO("eta " << eta << ", to " << high << ", " << branches << " branches");
        const FittedChain found = fit(eta, 10.0, high, branches);
        const Errors finer = errors(found.chain, eta, 10.0, high);
        CHECK_THAT(found.storage_error, WithinRel(finer.storage, 0.01));
        CHECK_THAT(found.loss_error, WithinRel(finer.loss, 0.01));
        CHECK(found.chain.branches.size() <= branches);
      }
    }
  }
}

TEST_CASE("no change of a fitted chain brings it nearer") {
  // The fit's own sum has 16 points a decade, this one 4000: their best chains differ a little, by
  // what moves the mean square no more than this.
  constexpr double of_points = 0.02;
  for (const double high : {100.0, 3e3}) {
    const FittedChain found = fit(0.15, 10.0, high, 5);
    const double best = errors(found.chain, 0.15, 10.0, high).mean_square;
    for (std::size_t j = 0; j <= found.chain.branches.size(); ++j) {
      for (const double factor : {0.9, 1.1}) {
        INFO("to " << high << ", spring " << j << " times " << factor);
        GeneralisedMaxwell changed = found.chain;
        auto& k = j == 0 ? changed.relaxed_stiffness : changed.branches[j - 1].stiffness;
        k *= factor;
        CHECK(errors(changed, 0.15, 10.0, high).mean_square > best * (1.0 - of_points));
      }
    }
  }
}

TEST_CASE("more branches follow the loss, none the storage beyond what causality allows") {
  // Over one decade k' must rise by (2/pi) eta ln 10 = 0.2199 for eta 0.15 (Kramers and Kronig for
  // a constant loss), half of it to either side; the fit gives away a little loss at the ends for
  // it.
  const FittedChain two = fit(0.15, 100.0, 1000.0, 2);
  const FittedChain four = fit(0.15, 100.0, 1000.0, 4);
  CHECK(four.loss_error < 0.03);
  CHECK(two.loss_error > 5.0 * four.loss_error);
  const double half_rise = 0.15 / std::numbers::pi * std::log(10.0);
  CHECK_THAT(four.storage_error, WithinRel(half_rise, 0.05));
}

TEST_CASE("a chain over a wide band may have nothing left at rest") {
  // k' would have to rise by (2/pi) 0.5 ln 1e4 = 2.9 of k.
  const FittedChain found = fit(0.5, 1.0, 1e4, 9);
  CHECK(found.chain.relaxed_stiffness.value() == 0.0);
  CHECK_FALSE(found.chain.branches.empty());
  CHECK(found.loss_error > 0.3);
}

TEST_CASE("a fit without sense is refused") {
  CHECK_THROWS_MATCHES(fit(0.0, 1.0, 10.0, 3), DomainError,
                       Message("the loss factor that a chain is fitted to must be above 0, not 0"));
  CHECK_THROWS_AS(fit(0.1, 0.0, 10.0, 3), DomainError);
  CHECK_THROWS_AS(fit(0.1, 10.0, 10.0, 3), DomainError);
  CHECK_THROWS_AS(fit(0.1, 1.0, 2e8, 3), DomainError);
  CHECK_THROWS_AS(fit(0.1, 1.0, 10.0, 0), DomainError);
  CHECK_THROWS_AS(fit(0.1, 1.0, 10.0, most_branches + 1), DomainError);
  CHECK_NOTHROW(fit(0.1, 1.0, 1e8, most_branches));
  CHECK_THROWS_AS(fit(-0.1, 1.0, 10.0, 3), DomainError);
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(fit(bad, 1.0, 10.0, 3), DomainError);
    CHECK_THROWS_AS(fit(0.1, bad, 10.0, 3), DomainError);
    CHECK_THROWS_AS(fit(0.1, 1.0, bad, 3), DomainError);
  }
}
