#pragma once

#include "lashband/geometry/gear_pair.hpp"

// Lengths along the line of action, as SI doubles, with the signs of ISO 21771: radii and
// curvatures of a ring gear are negative, and so are the centre distance and the tangent length of
// its pair. The equations of an external pair then hold for both.
namespace lashband::geometry::kernel {

/// r_b
[[nodiscard]] double base_radius(const ToothedBody& gear);

/// r_a
[[nodiscard]] double tip_radius(const ToothedBody& gear);

/// a
[[nodiscard]] double centre_distance(const GearPair& pair);

/// Radius of curvature of the flank at the tip circle, sqrt(r_a^2 - r_b^2).
[[nodiscard]] double tip_curvature(const ToothedBody& gear);

/// Distance between the base tangent points, a sin alpha_wt, from that of gear 1.
[[nodiscard]] double tangent_length(const GearPair& pair);

}  // namespace lashband::geometry::kernel
