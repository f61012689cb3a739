#pragma once

#include <cstddef>
#include <vector>

#include "torsion/force_course.hpp"

namespace lashband::torsion::kernel {

/// The harmonics at `points` equal steps, by FFT.
[[nodiscard]] std::vector<double> sampled(const std::vector<Harmonic>& harmonics,
                                          std::size_t points);

/// Least and greatest value of the harmonics over the cycle.
///
/// Cells around the points of a grid are bounded by the value, the slope and the sum of n^2 |a|.
/// The cell with the highest bound is refined by Newton's method and halved, with the bend and the
/// sum of n^3 |a| in its bound, until no bound is above the best value by more than rounding:
/// nothing between the points is missed.
[[nodiscard]] CourseEnds ends_of(const std::vector<Harmonic>& harmonics);

/// Highest order over the common divisor of the orders that the grid can hold.
inline constexpr long long highest_order = 1 << 20;

}  // namespace lashband::torsion::kernel
