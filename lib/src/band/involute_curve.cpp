#include "band/involute_curve.hpp"

#include <cmath>
#include <numbers>
#include <vector>

namespace lashband::band::kernel {

namespace {

// Terms of the series beyond the highest degree in use, so that they tell what is left out.
constexpr std::size_t nodes = greatest_degree + 12;

/// cosine[i][k] = cos(k (i + 1/2) pi/nodes): the Chebyshev polynomial k at node i.
using Cosines = std::array<std::array<long double, nodes>, nodes>;

const Cosines& cosines() {
  static const Cosines table = [] {
    Cosines result{};
    for (std::size_t i = 0; i < nodes; ++i) {
      for (std::size_t k = 0; k < nodes; ++k) {
        const auto quarters = static_cast<long double>(k * (2 * i + 1));
        result[i][k] = std::cos(std::numbers::pi_v<long double> * quarters /
                                static_cast<long double>(2 * nodes));
      }
    }
    return result;
  }();
  return table;
}

// Coefficients over x of a polynomial in (x - middle)/half.
std::vector<long double> unscaled(const std::vector<long double>& c, long double middle,
                                  long double half) {
  std::vector<long double> result{0.0L};
  for (std::size_t i = c.size(); i-- > 0;) {
    std::vector<long double> next(result.size() + 1, 0.0L);
    for (std::size_t k = 0; k < result.size(); ++k) {
      next[k + 1] += result[k] / half;
      next[k] -= result[k] * middle / half;
    }
    next[0] += c[i];
    result = next;
  }
  result.resize(c.size());
  return result;
}

// Powers of a Chebyshev series.
std::vector<long double> powers(const std::vector<long double>& series) {
  std::vector<long double> before{1.0L};
  std::vector<long double> current{0.0L, 1.0L};
  std::vector<long double> result(series.size(), 0.0L);
  result[0] = series[0];
  for (std::size_t k = 1; k < series.size(); ++k) {
    for (std::size_t i = 0; i < current.size(); ++i) {
      result[i] += series[k] * current[i];
    }
    std::vector<long double> next(current.size() + 1, 0.0L);
    for (std::size_t i = 0; i < current.size(); ++i) {
      next[i + 1] += 2.0L * current[i];
    }
    for (std::size_t i = 0; i < before.size(); ++i) {
      next[i] -= before[i];
    }
    before = current;
    current = next;
  }
  return result;
}

}  // namespace

Curve involute_curve(const InvoluteWindow& window, double tolerance) {
  Curve result;
  const auto t_0 = static_cast<long double>(window.t_0);
  const auto slope = static_cast<long double>(window.slope);
  const auto scale = static_cast<long double>(window.scale);
  const auto low = static_cast<long double>(window.low);
  const auto high = static_cast<long double>(window.high);
  const long double middle = (low + high) / 2.0L;
  const long double half = (high - low) / 2.0L;
  if (!(t_0 + slope * (middle - half) > 1.0L) || !(t_0 + slope * (middle + half) > 1.0L)) {
    return result;
  }
  const auto w_at = [&](long double x) {
    const long double t = t_0 + slope * x;
    return std::sqrt((t - 1.0L) * (t + 1.0L));
  };
  const long double w = w_at(middle);
  const long double at_middle = scale * (w - std::atan(w)) + window.constant;
  if (half == 0.0L) {
    result.degree = 0;
    result.c[0] = static_cast<double>(at_middle);
    return result;
  }

  std::vector<long double> derivative(nodes + 1, 0.0L);
  for (std::size_t i = 0; i < nodes; ++i) {
    const std::array<long double, nodes>& at_node = cosines()[i];
    const long double x = middle + half * at_node[1];
    const long double value = scale * slope * w_at(x) / (t_0 + slope * x);
    for (std::size_t k = 0; k < nodes; ++k) {
      derivative[k] +=
          (k == 0 ? 1.0L : 2.0L) / static_cast<long double>(nodes) * value * at_node[k];
    }
  }
  // The integral of the Chebyshev polynomial k is T[k+1]/(2k+2) - T[k-1]/(2k-2), that of T[0] twice
  // as much as the rule says.
  std::vector<long double> series(nodes, 0.0L);
  for (std::size_t k = 1; k < nodes; ++k) {
    const long double lower = (k == 1 ? 2.0L : 1.0L) * derivative[k - 1];
    series[k] = half * (lower - derivative[k + 1]) / (2.0L * static_cast<long double>(k));
  }
  std::size_t degree = nodes - 1;
  long double left_out = 0.0L;
  while (degree > 0 && left_out + std::abs(series[degree]) <= static_cast<long double>(tolerance)) {
    left_out += std::abs(series[degree]);
    --degree;
  }
  if (degree > greatest_degree) {
    return result;
  }
  series.resize(degree + 1);
  std::vector<long double> c = powers(series);
  c[0] = at_middle;
  c = unscaled(c, middle, half);
  result.degree = static_cast<int>(degree);
  for (std::size_t i = 0; i <= degree; ++i) {
    result.c[i] = static_cast<double>(c[i]);
  }
  return result;
}

}  // namespace lashband::band::kernel
