#pragma once

#include "lashband/geometry/gear_pair.hpp"

// Lengths along the line of action, as SI doubles.
namespace lashband::geometry::kernel {

/// Radius of curvature of the flank at the tip circle, sqrt(r_a^2 - r_b^2).
[[nodiscard]] double tip_curvature(const ToothedBody& gear);

/// Distance between the base tangent points, a sin alpha_wt.
[[nodiscard]] double tangent_length(const GearPair& pair);

}  // namespace lashband::geometry::kernel
