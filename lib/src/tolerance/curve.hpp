#pragma once

#include <array>

// The curve q[0] D + q[1] D^2 + q[2] D^3 + q[3] D^4.
namespace lashband::tolerance::kernel {

[[nodiscard]] inline double curve_value(const std::array<double, 4>& q, double D) {
  return D * (q[0] + D * (q[1] + D * (q[2] + D * q[3])));
}

[[nodiscard]] inline double curve_slope(const std::array<double, 4>& q, double D) {
  return q[0] + D * (2.0 * q[1] + D * (3.0 * q[2] + D * 4.0 * q[3]));
}

/// The curve about a place: value there, and the coefficients of the powers of the distance from
/// it.
struct CurveAt {
  double value;
  std::array<double, 4> coefficient;
};

[[nodiscard]] inline CurveAt curve_at(const std::array<double, 4>& q, double D) {
  return {
      curve_value(q, D),
      {curve_slope(q, D), q[1] + D * (3.0 * q[2] + D * 6.0 * q[3]), q[2] + D * 4.0 * q[3], q[3]}};
}

/// Where a curve that rises from low to high takes the value; an end where it does not.
[[nodiscard]] inline double curve_root(const std::array<double, 4>& q, double value, double low,
                                       double high) {
  if (value <= curve_value(q, low)) {
    return low;
  }
  if (value >= curve_value(q, high)) {
    return high;
  }
  double root = low + (high - low) * (value - curve_value(q, low)) /
                          (curve_value(q, high) - curve_value(q, low));
  // Newton's rule within a bracket; the bisection is for a curve that is far from a line.
  constexpr int most_steps = 100;
  for (int i = 0; i < most_steps; ++i) {
    const double off = curve_value(q, root) - value;
    (off < 0.0 ? low : high) = root;
    double next = root - off / curve_slope(q, root);
    if (!(next >= low && next <= high)) {
      next = 0.5 * (low + high);
    }
    if (next == root) {
      break;
    }
    root = next;
  }
  return root;
}

}  // namespace lashband::tolerance::kernel
