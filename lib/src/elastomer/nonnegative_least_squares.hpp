#pragma once

#include <vector>

namespace lashband::elastomer::kernel {

/// The x >= 0 with the least |sum of x_j a_j - b|, a_j the columns, all as long as b. Lawson and
/// Hanson's active set (Solving Least Squares Problems, 1974, chapter 23), each step by modified
/// Gram-Schmidt. Columns must not be 0; close columns cost digits, not the sign of x.
[[nodiscard]] std::vector<double> nonnegative_least_squares(
    const std::vector<std::vector<double>>& columns, const std::vector<double>& target);

}  // namespace lashband::elastomer::kernel
