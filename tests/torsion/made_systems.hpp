#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <random>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "torsion/system.hpp"

// Where a reference is worked out in long double, every step from a double would be a cast.
#pragma GCC diagnostic ignored "-Wdouble-promotion"

/// Torsional systems for tests, all invented, and dense algebra in long double as a route of its
/// own: whole matrices and elimination, nothing of the library's.
namespace lashband::test {

using torsion::kernel::Element;
using torsion::kernel::Law;
using torsion::kernel::MaxwellBranch;
using torsion::kernel::System;

using Complex = std::complex<double>;
using LongComplex = std::complex<long double>;
template <class Number>
using Dense = std::vector<std::vector<Number>>;

inline constexpr double pi = std::numbers::pi;

class Draw {
 public:
  explicit Draw(unsigned seed) : generator_(seed) {}
  [[nodiscard]] double between(double low, double high) {
    return low + (high - low) * std::ldexp(static_cast<double>(generator_()), -32);
  }
  /// Evenly in the logarithm.
  [[nodiscard]] double over(double low, double high) {
    return std::exp(between(std::log(low), std::log(high)));
  }
  [[nodiscard]] std::size_t below(std::size_t n) { return generator_() % n; }
  [[nodiscard]] Complex phasor(double magnitude) {
    return std::polar(magnitude * between(0.1, 1.0), between(0.0, 2.0 * pi));
  }

 private:
  std::mt19937 generator_;
};

/// A shaft between two inertias, or from one to the case.
[[nodiscard]] inline Element shaft(std::size_t first, std::size_t second, Law law) {
  return {first, 1.0, second, -1.0, std::move(law)};
}
[[nodiscard]] inline Element to_case(std::size_t inertia, Law law) {
  return {inertia, 1.0, {}, -1.0, std::move(law)};
}
[[nodiscard]] inline Law spring(double k) {
  Law law;
  law.stiffness = k;
  return law;
}
[[nodiscard]] inline Law damper(double c) {
  Law law;
  law.damping = c;
  return law;
}

/// Each inertia hangs on an earlier one by a shaft or a mesh; J and k over `span` each.
[[nodiscard]] inline System random_tree(unsigned seed, std::size_t n, double span) {
  Draw draw(seed);
  System system;
  const double root = std::sqrt(span);
  for (std::size_t i = 0; i < n; ++i) {
    system.inertias.push_back(1e-2 * draw.over(1.0 / root, root));
    if (i > 0) {
      Element element;
      // Long ways as well as bushes.
      element.first = draw.below(2) == 0 ? i - 1 : draw.below(i);
      element.second = i;
      const double k = 1e5 * draw.over(1.0 / root, root);
      if (draw.below(2) == 0) {
        element.arm_1 = draw.between(0.05, 0.2);
        element.arm_2 = draw.between(0.05, 0.2) * (draw.below(2) == 0 ? 1.0 : -1.0);
        element.law = spring(k / 0.01);
      } else {
        element.law = spring(k);
      }
      system.elements.push_back(element);
    }
  }
  return system;
}

/// The turning of each inertia of a tree as its first one turns by 1.
[[nodiscard]] inline std::vector<double> turning_of_tree(const System& tree) {
  std::vector<double> turning(tree.inertias.size(), 1.0);
  for (const Element& element : tree.elements) {
    turning[*element.second] = -turning[element.first] * element.arm_1 / element.arm_2;
  }
  return turning;
}

/// `loops` more elements, which the free turning does not strain.
[[nodiscard]] inline System closed_train(unsigned seed, std::size_t n, std::size_t loops,
                                         double span) {
  System system = random_tree(seed, n, span);
  const std::vector<double> turning = turning_of_tree(system);
  Draw draw(seed + 1000);
  const double root = std::sqrt(span);
  for (std::size_t loop = 0; loop < loops;) {
    const std::size_t a = draw.below(n);
    const std::size_t b = draw.below(n);
    if (a != b) {
      const double arm = draw.between(0.5, 2.0);
      system.elements.push_back(
          {a, arm, b, -arm * turning[a] / turning[b], spring(1e5 * draw.over(1.0 / root, root))});
      ++loop;
    }
  }
  return system;
}

/// Gives every element a loss factor, damping or branches by turns, and two dampers to the case.
inline void damp(System& system, unsigned seed) {
  Draw draw(seed);
  for (Element& element : system.elements) {
    Law& law = element.law;
    const std::size_t kind = draw.below(4);
    if (kind == 0 || kind == 3) {
      law.loss_factor = draw.between(0.02, 0.3);
    }
    if (kind == 1 || kind == 3) {
      law.damping = law.stiffness * draw.over(1e-6, 1e-4);
    }
    if (kind == 2 || kind == 3) {
      law.branches.push_back({law.stiffness * draw.between(0.1, 2.0), draw.over(1e-5, 1e-2)});
      law.branches.push_back({law.stiffness * draw.between(0.1, 2.0), draw.over(1e-5, 1e-2)});
    }
  }
  system.elements.push_back(to_case(0, damper(draw.between(0.1, 1.0))));
  system.elements.push_back(to_case(system.inertias.size() - 1, damper(draw.between(0.1, 1.0))));
}

/// Of an element at any complex frequency lambda.
[[nodiscard]] inline LongComplex stiffness_at(const Law& law, LongComplex lambda) {
  LongComplex sum{law.stiffness, static_cast<long double>(law.stiffness) * law.loss_factor};
  sum += lambda * static_cast<long double>(law.damping);
  for (const MaxwellBranch& branch : law.branches) {
    const LongComplex x = lambda * static_cast<long double>(branch.relaxation_time);
    sum += static_cast<long double>(branch.stiffness) * x / (1.0L + x);
  }
  return sum;
}

/// lambda^2 M + sum of the stiffnesses times b b^T.
[[nodiscard]] inline Dense<LongComplex> dynamic_matrix(const System& system, LongComplex lambda) {
  const std::size_t n = system.inertias.size();
  Dense<LongComplex> matrix(n, std::vector<LongComplex>(n));
  for (std::size_t i = 0; i < n; ++i) {
    matrix[i][i] += lambda * lambda * static_cast<long double>(system.inertias[i]);
  }
  for (const Element& element : system.elements) {
    const LongComplex k = stiffness_at(element.law, lambda);
    const long double a = element.arm_1;
    matrix[element.first][element.first] += a * a * k;
    if (element.second) {
      const long double b = element.arm_2;
      matrix[*element.second][*element.second] += b * b * k;
      matrix[element.first][*element.second] += a * b * k;
      matrix[*element.second][element.first] += a * b * k;
    }
  }
  return matrix;
}

/// Gauss with pivots of rows.
template <class Number>
[[nodiscard]] std::vector<Number> solved(Dense<Number> A, std::vector<Number> b) {
  const std::size_t n = b.size();
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t pivot = k;
    for (std::size_t i = k + 1; i < n; ++i) {
      pivot = std::abs(A[i][k]) > std::abs(A[pivot][k]) ? i : pivot;
    }
    if (std::abs(A[pivot][k]) == 0) {
      throw std::runtime_error("singular test matrix");
    }
    std::swap(A[k], A[pivot]);
    std::swap(b[k], b[pivot]);
    for (std::size_t i = k + 1; i < n; ++i) {
      const Number factor = A[i][k] / A[k][k];
      for (std::size_t j = k; j < n; ++j) {
        A[i][j] -= factor * A[k][j];
      }
      b[i] -= factor * b[k];
    }
  }
  for (std::size_t k = n; k-- > 0;) {
    for (std::size_t j = k + 1; j < n; ++j) {
      b[k] -= A[k][j] * b[j];
    }
    b[k] /= A[k][k];
  }
  return b;
}

/// Negative eigenvalues of a symmetric matrix: those of the pivots, from the last to the first, so
/// that trees fill nothing in.
[[nodiscard]] inline std::size_t negative_count(Dense<long double> A) {
  std::size_t count = 0;
  for (std::size_t k = A.size(); k-- > 0;) {
    count += A[k][k] < 0.0L ? 1U : 0U;
    for (std::size_t i = 0; i < k; ++i) {
      const long double factor = A[i][k] / A[k][k];
      if (factor != 0.0L) {
        for (std::size_t j = 0; j < k; ++j) {
          A[i][j] -= factor * A[k][j];
        }
      }
    }
  }
  return count;
}

/// Re of the dynamic matrix at i omega without losses: storage stiffness and inertia.
[[nodiscard]] inline Dense<long double> storage_matrix(const System& system, long double omega) {
  const Dense<LongComplex> whole = dynamic_matrix(system, {0.0L, omega});
  Dense<long double> result(whole.size(), std::vector<long double>(whole.size()));
  for (std::size_t i = 0; i < whole.size(); ++i) {
    for (std::size_t j = 0; j < whole.size(); ++j) {
      result[i][j] = whole[i][j].real();
    }
  }
  return result;
}

/// How many modes of a tree lie below omega: pivots of the dynamic stiffness from the leaves to the
/// root. An element passes d on as k d / (d + k), in which no great k hides a small d.
[[nodiscard]] inline std::size_t modes_of_tree_below(const System& tree, long double omega) {
  std::vector<long double> d;
  for (const double inertia : tree.inertias) {
    d.push_back(-omega * omega * static_cast<long double>(inertia));
  }
  std::size_t count = 0;
  for (std::size_t e = tree.elements.size(); e-- > 0;) {
    const Element& element = tree.elements[e];
    const long double k = stiffness_at(element.law, {0.0L, omega}).real();
    const long double a = element.arm_1;
    const long double b = element.arm_2;
    const long double pivot = d[*element.second] + k * b * b;
    count += pivot < 0.0L ? 1U : 0U;
    d[element.first] += k * a * a * d[*element.second] / pivot;
  }
  return count + (d.front() < 0.0L ? 1U : 0U);
}

/// Derivative by central differences with steps h, h/2 and h/4, extrapolated twice.
template <class Function>
[[nodiscard]] auto slope_at(Function f, double h) {
  const auto central = [&f](double step) { return (f(step) - f(-step)) / (2.0 * step); };
  const auto d1 = central(h);
  const auto d2 = central(0.5 * h);
  const auto d3 = central(0.25 * h);
  const auto e1 = (4.0 * d2 - d1) / 3.0;
  const auto e2 = (4.0 * d3 - d2) / 3.0;
  return (16.0 * e2 - e1) / 15.0;
}

/// The stiffness of an element and of its branches times a factor.
[[nodiscard]] inline System with_stiffness(System system, std::size_t element, double factor) {
  Law& law = system.elements[element].law;
  law.stiffness *= factor;
  for (MaxwellBranch& branch : law.branches) {
    branch.stiffness *= factor;
  }
  return system;
}
[[nodiscard]] inline System with_inertia(System system, std::size_t inertia, double factor) {
  system.inertias[inertia] *= factor;
  return system;
}

}  // namespace lashband::test
