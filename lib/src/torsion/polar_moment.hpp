#pragma once

#include <numbers>

namespace lashband::torsion::kernel {

/// pi/32 (D^4 - d^4), in factors so that thin walls keep their digits.
[[nodiscard]] inline double polar_moment(double outer_diameter, double inner_diameter) {
  return std::numbers::pi / 32.0 * (outer_diameter - inner_diameter) *
         (outer_diameter + inner_diameter) *
         (outer_diameter * outer_diameter + inner_diameter * inner_diameter);
}

}  // namespace lashband::torsion::kernel
