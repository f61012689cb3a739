#include "elastomer/nonnegative_least_squares.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>

namespace lashband::elastomer::kernel {
namespace {

using Columns = std::vector<std::vector<double>>;

/// A column of which less than this is left after taking out the others depends on them.
constexpr double dependent = 1e-12;

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

void subtract(std::vector<double>& from, double factor, const std::vector<double>& what) {
  for (std::size_t i = 0; i < from.size(); ++i) {
    from[i] -= factor * what[i];
  }
}

/// Least squares without bounds, over the columns `used`. Zero for one that depends on those before
/// it.
std::vector<double> free_solution(const Columns& columns, const std::vector<double>& target,
                                  const std::vector<std::size_t>& used) {
  const std::size_t n = used.size();
  Columns left;
  left.reserve(n);
  for (const std::size_t j : used) {
    left.push_back(columns[j]);
  }
  std::vector<double> residual = target;
  Columns R(n, std::vector<double>(n, 0.0));
  std::vector<double> rotated(n, 0.0);
  for (std::size_t k = 0; k < n; ++k) {
    const double length = std::sqrt(dot(left[k], left[k]));
    const double original = std::sqrt(dot(columns[used[k]], columns[used[k]]));
    if (!(length > dependent * original)) {
      continue;
    }
    R[k][k] = length;
    for (double& entry : left[k]) {
      entry /= length;
    }
    for (std::size_t j = k + 1; j < n; ++j) {
      R[k][j] = dot(left[k], left[j]);
      subtract(left[j], R[k][j], left[k]);
    }
    rotated[k] = dot(left[k], residual);
    subtract(residual, rotated[k], left[k]);
  }
  std::vector<double> x(n, 0.0);
  for (std::size_t k = n; k-- > 0;) {
    if (R[k][k] > 0.0) {
      double sum = rotated[k];
      for (std::size_t j = k + 1; j < n; ++j) {
        sum -= R[k][j] * x[j];
      }
      x[k] = sum / R[k][k];
    }
  }
  return x;
}

/// x moved towards `wanted`, as far as no entry falls below 0; those that reach it are dropped.
/// Returns whether it got all the way.
bool move_within_bounds(std::vector<double>& x, std::vector<std::size_t>& used,
                        const std::vector<double>& wanted) {
  double share = 1.0;
  for (std::size_t k = 0; k < used.size(); ++k) {
    const double now = x[used[k]];
    if (wanted[k] <= 0.0) {
      share = std::min(share, now / (now - wanted[k]));
    }
  }
  std::vector<std::size_t> kept;
  kept.reserve(used.size());
  for (std::size_t k = 0; k < used.size(); ++k) {
    double& entry = x[used[k]];
    const bool stops_here = wanted[k] <= 0.0 && entry / (entry - wanted[k]) <= share;
    entry = stops_here ? 0.0 : entry + share * (wanted[k] - entry);
    if (!stops_here) {
      kept.push_back(used[k]);
    }
  }
  const bool whole = kept.size() == used.size();
  used = kept;
  return whole;
}

}  // namespace

std::vector<double> nonnegative_least_squares(const std::vector<std::vector<double>>& columns,
                                              const std::vector<double>& target) {
  constexpr double gradient_tolerance = 1e-13;
  const double target_length = std::sqrt(dot(target, target));
  std::vector<double> x(columns.size(), 0.0);
  std::vector<std::size_t> used;
  std::vector<bool> refused(columns.size(), false);
  // Each round lowers the residual, so that no set of columns comes twice; rounding could spoil
  // that, hence the end.
  for (std::size_t round = 0; round < 10 * columns.size(); ++round) {
    std::vector<double> residual = target;
    for (const std::size_t j : used) {
      subtract(residual, x[j], columns[j]);
    }
    std::size_t best = columns.size();
    double steepest = gradient_tolerance * target_length;
    for (std::size_t j = 0; j < columns.size(); ++j) {
      const double slope = dot(columns[j], residual) / std::sqrt(dot(columns[j], columns[j]));
      const bool is_used = std::find(used.begin(), used.end(), j) != used.end();
      if (!is_used && !refused[j] && slope > steepest) {
        steepest = slope;
        best = j;
      }
    }
    if (best == columns.size()) {
      break;
    }
    used.push_back(best);
    std::vector<double> wanted = free_solution(columns, target, used);
    if (wanted.back() <= 0.0) {
      // Its gradient was rounding.
      refused[best] = true;
      used.pop_back();
      continue;
    }
    std::fill(refused.begin(), refused.end(), false);
    while (!move_within_bounds(x, used, wanted)) {
      wanted = free_solution(columns, target, used);
    }
  }
  return x;
}

}  // namespace lashband::elastomer::kernel
