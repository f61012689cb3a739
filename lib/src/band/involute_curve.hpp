#pragma once

#include <array>
#include <cstddef>

namespace lashband::band::kernel {

inline constexpr std::size_t greatest_degree = 12;

/// Polynomial c[0] + c[1] x + ... over a window of x, or none (degree -1).
struct Curve {
  int degree = -1;
  std::array<double, greatest_degree + 1> c{};
};

/// What a gap takes from the centre distance, scale * h(t) + constant, as a polynomial in
/// x = (t - t_0)/slope over the window low <= x <= high.
struct InvoluteWindow {
  double t_0 = 1.0;
  double slope = 1.0;
  double low = 0.0;
  double high = 0.0;
  double scale = 1.0;
  long double constant = 0.0L;
};

/// The polynomial of least degree that stays within `tolerance` of the exact function,
///
///   h(t) = sqrt(t^2 - 1) - acos(1/t)      h'(t) = sqrt(t^2 - 1)/t
///
/// by a Chebyshev series of the derivative, which is algebraic, and its integral; all but the
/// result in long double. Degree -1 where no degree up to greatest_degree is enough, or where the
/// window reaches t <= 1 (base circles that overlap).
[[nodiscard]] Curve involute_curve(const InvoluteWindow& window, double tolerance);

}  // namespace lashband::band::kernel
