#include "band/correlation_factor.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "lashband/error.hpp"

namespace lashband::band::kernel {

namespace {

[[noreturn]] void refuse(const Draws::Correlation& pair, const std::string& why) {
  throw DomainError("correlation of draws " + std::to_string(pair.first) + " and " +
                    std::to_string(pair.second) + " is " + std::to_string(pair.coefficient) + ": " +
                    why);
}

std::size_t place_of(std::size_t draw, const std::vector<std::size_t>& draws) {
  return static_cast<std::size_t>(std::lower_bound(draws.begin(), draws.end(), draw) -
                                  draws.begin());
}

}  // namespace

CorrelationFactor correlation_factor(const std::vector<Draws::Correlation>& correlations,
                                     std::size_t draws) {
  CorrelationFactor result;
  for (const Draws::Correlation& pair : correlations) {
    if (pair.first >= draws || pair.second >= draws) {
      refuse(pair, "there are " + std::to_string(draws) + " draws");
    }
    if (pair.first == pair.second) {
      refuse(pair, "a draw has no correlation with itself to choose");
    }
    if (!(std::abs(pair.coefficient) <= 1.0)) {
      refuse(pair, "must be from -1 to 1");
    }
    result.draws.push_back(pair.first);
    result.draws.push_back(pair.second);
  }
  std::sort(result.draws.begin(), result.draws.end());
  result.draws.erase(std::unique(result.draws.begin(), result.draws.end()), result.draws.end());

  const std::size_t n = result.draws.size();
  std::vector<double> matrix(n * n, 0.0);
  std::vector<bool> given(n * n, false);
  for (std::size_t i = 0; i < n; ++i) {
    matrix[i * n + i] = 1.0;
  }
  for (const Draws::Correlation& pair : correlations) {
    const std::size_t i = place_of(pair.first, result.draws);
    const std::size_t j = place_of(pair.second, result.draws);
    if (given[i * n + j]) {
      refuse(pair, "the pair has one already");
    }
    given[i * n + j] = given[j * n + i] = true;
    matrix[i * n + j] = matrix[j * n + i] = pair.coefficient;
  }

  // What rounding makes of a pivot that is 0, with room for some hundred draws. In a semidefinite
  // matrix an entry beside a pivot of 0 is at most the root of the pivot times a diagonal of 1.
  constexpr double zero_pivot = 1e-13;
  constexpr double zero_entry = 1e-6;
  result.lower.assign(n * (n + 1) / 2, 0.0);
  const auto entry = [&](std::size_t i, std::size_t j) -> double& {
    return result.lower[i * (i + 1) / 2 + j];
  };
  for (std::size_t j = 0; j < n; ++j) {
    double pivot = matrix[j * n + j];
    for (std::size_t k = 0; k < j; ++k) {
      pivot -= entry(j, k) * entry(j, k);
    }
    const bool is_zero = pivot <= zero_pivot;
    if (pivot < -zero_pivot) {
      throw DomainError("correlations: the matrix is not positive semidefinite (pivot of draw " +
                        std::to_string(result.draws[j]) + " is " + std::to_string(pivot) + ")");
    }
    entry(j, j) = is_zero ? 0.0 : std::sqrt(pivot);
    for (std::size_t i = j + 1; i < n; ++i) {
      double rest = matrix[i * n + j];
      for (std::size_t k = 0; k < j; ++k) {
        rest -= entry(i, k) * entry(j, k);
      }
      if (is_zero) {
        if (std::abs(rest) > zero_entry) {
          throw DomainError("correlations: the matrix is not positive semidefinite (draws " +
                            std::to_string(result.draws[j]) + " and " +
                            std::to_string(result.draws[i]) +
                            " contradict their correlations with others)");
        }
      } else {
        entry(i, j) = rest / entry(j, j);
      }
    }
  }
  return result;
}

}  // namespace lashband::band::kernel
