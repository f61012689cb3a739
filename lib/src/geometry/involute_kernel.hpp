#pragma once

// The involute function in terms of t = tan alpha, which the geometry has at hand without an
// arccosine and which loses nothing at small angles.
namespace lashband::geometry::kernel {

/// inv alpha = t - atan t, for t >= 0.
[[nodiscard]] double involute_of_tangent(double t);

/// The t >= 0 with t - atan t = inv, for inv >= 0.
[[nodiscard]] double tangent_of_involute(double inv);

}  // namespace lashband::geometry::kernel
