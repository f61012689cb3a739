#include "line_of_action.hpp"

#include <cmath>

namespace lashband::geometry::kernel {

double tip_curvature(const ToothedBody& gear) {
  const double r_a = 0.5 * gear.tip_diameter().value();
  const double r_b = 0.5 * gear.base_diameter().value();
  return std::sqrt((r_a - r_b) * (r_a + r_b));
}

double tangent_length(const GearPair& pair) {
  const double t = pair.working_pressure_tangent();
  return pair.centre_distance().value() * t / std::sqrt(1.0 + t * t);
}

}  // namespace lashband::geometry::kernel
