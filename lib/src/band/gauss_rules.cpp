#include "band/gauss_rules.hpp"

#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>

namespace lashband::band::kernel {
namespace {

// Orthonormal polynomials of a symmetrical weight: b_{k+1} p_{k+1}(x) = x p_k(x) - b_k p_{k-1}(x),
// p_0 = 1. The zeros of p_n lie between those of p_{n-1}, and the weights are 1 / sum p_k(x)^2
// (Golub and Welsch 1969).
struct Recurrence {
  std::vector<double> b;  // b[k], k from 1
  double reach;           // all zeros lie within +-reach
};

struct AtPoint {
  double value;           // p_n
  double sum_of_squares;  // of p_0 .. p_{n-1}
};

AtPoint polynomial(const Recurrence& recurrence, std::size_t n, double x) {
  double before = 0.0;
  double value = 1.0;
  double squares = 0.0;
  for (std::size_t k = 0; k < n; ++k) {
    squares += value * value;
    const double next =
        (x * value - (k > 0 ? recurrence.b[k] * before : 0.0)) / recurrence.b[k + 1];
    before = value;
    value = next;
  }
  return {value, squares};
}

double zero_between(const Recurrence& recurrence, std::size_t n, double low, double high) {
  const auto value = [&](double x) { return polynomial(recurrence, n, x).value; };
  std::uintmax_t steps = 60;
  const auto bracket = boost::math::tools::toms748_solve(
      value, low, high, boost::math::tools::eps_tolerance<double>(), steps);
  return 0.5 * (bracket.first + bracket.second);
}

std::vector<GaussRule> rules(const Recurrence& recurrence) {
  std::vector<GaussRule> all(most_gauss_nodes + 1);
  std::vector<double> zeros;  // of the polynomial before
  for (std::size_t n = 1; n <= most_gauss_nodes; ++n) {
    std::vector<double> ends{-recurrence.reach};
    ends.insert(ends.end(), zeros.begin(), zeros.end());
    ends.push_back(recurrence.reach);
    zeros.clear();
    for (std::size_t i = 0; i + 1 < ends.size(); ++i) {
      // The middle one of an odd count is 0 exactly.
      const bool middle = n % 2 == 1 && i == n / 2;
      zeros.push_back(middle ? 0.0 : zero_between(recurrence, n, ends[i], ends[i + 1]));
    }
    for (const double zero : zeros) {
      all[n].node.push_back(zero);
      all[n].weight.push_back(1.0 / polynomial(recurrence, n, zero).sum_of_squares);
    }
  }
  return all;
}

std::vector<double> coefficients(double (*b)(double)) {
  std::vector<double> values(most_gauss_nodes + 1, 0.0);
  for (std::size_t k = 1; k < values.size(); ++k) {
    values[k] = b(static_cast<double>(k));
  }
  return values;
}

}  // namespace

const GaussRule& gauss_legendre(std::size_t count) {
  static const std::vector<GaussRule> all =
      rules({coefficients([](double k) { return k / std::sqrt(4.0 * k * k - 1.0); }), 1.0});
  return all.at(count);
}

const GaussRule& gauss_hermite(std::size_t count) {
  static const std::vector<GaussRule> all =
      rules({coefficients([](double k) { return std::sqrt(k); }),
             2.0 * std::sqrt(static_cast<double>(most_gauss_nodes))});
  return all.at(count);
}

}  // namespace lashband::band::kernel
