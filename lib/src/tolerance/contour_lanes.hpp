#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

// Complex numbers at neighbouring points of a contour, side by side, so that the compiler works on
// several at once.
namespace lashband::tolerance::kernel {

constexpr std::size_t lane_count = 4;
using Reals = std::array<double, lane_count>;

struct Lanes {
  Reals re{};
  Reals im{};
};

// Real and imaginary parts in loops of their own: together, g++ 12 shuffles them into each other.

inline void add(Reals& sum, double factor, const Reals& value) {
  for (std::size_t l = 0; l < lane_count; ++l) {
    sum[l] += factor * value[l];
  }
}

inline void add(Lanes& sum, double factor, const Lanes& value) {
  add(sum.re, factor, value.re);
  add(sum.im, factor, value.im);
}

inline void add_product(Reals& sum, const Reals& a, const Reals& b) {
  for (std::size_t l = 0; l < lane_count; ++l) {
    sum[l] += a[l] * b[l];
  }
}

inline void subtract_product(Reals& sum, const Reals& a, const Reals& b) {
  for (std::size_t l = 0; l < lane_count; ++l) {
    sum[l] -= a[l] * b[l];
  }
}

inline void add_product(Lanes& sum, const Lanes& a, const Lanes& b) {
  add_product(sum.re, a.re, b.re);
  subtract_product(sum.re, a.im, b.im);
  add_product(sum.im, a.re, b.im);
  add_product(sum.im, a.im, b.re);
}

[[nodiscard]] inline Lanes product(const Lanes& a, const Lanes& b) {
  Lanes result;
  add_product(result, a, b);
  return result;
}

/// A truncated power series in epsilon, b_0 + b_1 eps + ... + b_order eps^order, at every lane. For
/// a random term d: b_m = E[d^m e^{-u d}]/m!, so that independent terms multiply.
using Jet = std::vector<Lanes>;

/// a := a * b, truncated.
inline void multiply(Jet& a, const Jet& b) {
  for (std::size_t m = a.size(); m-- > 0;) {
    Lanes sum = product(a[m], b[0]);
    for (std::size_t i = 1; i <= m; ++i) {
      add_product(sum, a[m - i], b[i]);
    }
    a[m] = sum;
  }
}

/// a := a * b for b_m = (-i)^m beta_m with real beta, the jet of a normal term about its tilted
/// mean without the common factor: (m+1) beta_{m+1} = kappa beta_m - variance beta_{m-1}.
inline void multiply_normal(Jet& a, const Reals& kappa, double variance) {
  constexpr std::size_t most = 32;
  if (a.size() <= 1) {
    return;
  }
  // Each entry is written before it is read; clearing all of them would show in the time.
  std::array<Reals, most> beta;  // NOLINT(cppcoreguidelines-pro-type-member-init)
  beta[0].fill(1.0);
  beta[1] = kappa;
  for (std::size_t m = 1; m + 1 < a.size(); ++m) {
    const double next = 1.0 / static_cast<double>(m + 1);
    for (std::size_t l = 0; l < lane_count; ++l) {
      beta[m + 1][l] = next * (kappa[l] * beta[m][l] - variance * beta[m - 1][l]);
    }
  }
  for (std::size_t m = a.size(); m-- > 1;) {
    Lanes sum = a[m];
    for (std::size_t i = 1; i <= m; ++i) {
      const Lanes& x = a[m - i];
      const Reals& b = beta[i];
      switch (i % 4) {
        case 0:
          add_product(sum.re, b, x.re);
          add_product(sum.im, b, x.im);
          break;
        case 1:
          add_product(sum.re, b, x.im);
          subtract_product(sum.im, b, x.re);
          break;
        case 2:
          subtract_product(sum.re, b, x.re);
          subtract_product(sum.im, b, x.im);
          break;
        default:
          subtract_product(sum.re, b, x.im);
          add_product(sum.im, b, x.re);
      }
    }
    a[m] = sum;
  }
}

/// Sums over places of coefficient[row] * e^{i k angle}, k = 0, 1, 2, ... in blocks of lanes: the
/// angle of every place goes on by multiplication.
class RotatingSums {
 public:
  /// `angle[j]` is the turn of place j from one point to the next; `coefficient` has `rows` numbers
  /// for every place, place by place.
  RotatingSums(const std::vector<double>& angle, std::vector<double> coefficient, std::size_t rows)
      : rows_(rows),
        coefficient_(std::move(coefficient)),
        turn_(angle.size()),
        step_(angle.size()) {
    for (std::size_t j = 0; j < angle.size(); ++j) {
      const double c = std::cos(angle[j]);
      const double s = std::sin(angle[j]);
      Lanes& t = turn_[j];
      t.re[0] = 1.0;
      for (std::size_t l = 1; l < lane_count; ++l) {
        const std::size_t half = l / 2;  // powers by halves: the chain of products stays short
        const std::size_t rest = l - half;
        if (l == 1) {
          t.re[1] = c;
          t.im[1] = s;
        } else {
          t.re[l] = t.re[half] * t.re[rest] - t.im[half] * t.im[rest];
          t.im[l] = t.re[half] * t.im[rest] + t.im[half] * t.re[rest];
        }
      }
      const std::size_t mid = lane_count / 2;
      step_[j] = {t.re[mid] * t.re[mid] - t.im[mid] * t.im[mid], 2.0 * t.re[mid] * t.im[mid]};
    }
  }

  /// The sums at the next block of points, one Lanes a row; `out` must hold as many.
  void next(Jet& out) {
    for (std::size_t row = 0; row < rows_; ++row) {
      out[row] = {};
    }
    for (std::size_t j = 0; j < turn_.size(); ++j) {
      Lanes& turn = turn_[j];
      const double* c = &coefficient_[j * rows_];
      for (std::size_t row = 0; row < rows_; ++row) {
        add(out[row], c[row], turn);
      }
      const auto [re, im] = step_[j];
      Lanes turned;
      add(turned.re, re, turn.re);
      add(turned.re, -im, turn.im);
      add(turned.im, im, turn.re);
      add(turned.im, re, turn.im);
      turn = turned;
    }
  }

  [[nodiscard]] std::size_t rows() const { return rows_; }

 private:
  std::size_t rows_;
  std::vector<double> coefficient_;
  std::vector<Lanes> turn_;
  std::vector<std::pair<double, double>> step_;
};

}  // namespace lashband::tolerance::kernel
