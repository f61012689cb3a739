#include "lashband/geometry/involute.hpp"

#include <cmath>
#include <numbers>
#include <string>

#include "involute_kernel.hpp"
#include "lashband/error.hpp"

namespace lashband::geometry {
namespace kernel {
namespace {

// Below this tangent (16.7 deg) t - atan t loses more than a digit, and the series is shorter than
// 20 terms.
constexpr double series_limit = 0.3;

// t - atan t = t^3 (1/3 - t^2/5 + t^4/7 - ...), an alternating series.
double involute_by_series(double t) {
  const double t2 = t * t;
  double sum = 0.0;
  double power = 1.0;
  for (int n = 3; n < 80; n += 2) {
    const double term = power / n;
    sum += term;
    if (std::abs(term) < 1e-18) {
      break;
    }
    power *= -t2;
  }
  return t * t2 * sum;
}

}  // namespace

double involute_of_tangent(double t) {
  return t < series_limit ? involute_by_series(t) : t - std::atan(t);
}

double tangent_of_involute(double inv) {
  if (inv == 0.0) {
    return 0.0;
  }
  // Start: the inverse series t = q + q^3/5 + ..., q^3 = 3 inv, where t is small; otherwise
  // atan t -> pi/2. Both lie close enough for Newton's method, which is monotone from above since
  // t - atan t is convex up to t = 1 and nearly straight beyond.
  const double q = std::cbrt(3.0 * inv);
  double t = inv < 0.5 ? q + q * q * q / 5.0 : inv + 0.5 * std::numbers::pi;
  for (int iteration = 0; iteration < 50; ++iteration) {
    const double step = (involute_of_tangent(t) - inv) * (1.0 + t * t) / (t * t);
    t -= step;
    if (std::abs(step) <= 2e-16 * t) {
      break;
    }
  }
  return t;
}

}  // namespace kernel

double involute(units::Angle alpha) {
  const double angle = alpha.value();
  if (!(angle >= 0.0 && angle < 0.5 * std::numbers::pi)) {
    throw DomainError("the involute function is defined for 0 <= alpha < pi/2 rad, not for " +
                      std::to_string(angle) + " rad");
  }
  return kernel::involute_of_tangent(std::tan(angle));
}

units::Angle inverse_involute(double inv) {
  if (!(inv >= 0.0 && inv <= 1e6)) {
    throw DomainError("the inverse involute function takes 0 <= inv <= 1e6, not " +
                      std::to_string(inv));
  }
  return units::from_si<units::Angle>(std::atan(kernel::tangent_of_involute(inv)));
}

}  // namespace lashband::geometry
