#include "line_of_action.hpp"

#include <cmath>

namespace lashband::geometry::kernel {
namespace {

double with_side(const ToothedBody& gear, double magnitude) {
  return gear.internal() ? -magnitude : magnitude;
}

}  // namespace

double base_radius(const ToothedBody& gear) {
  return with_side(gear, 0.5 * gear.base_diameter().value());
}

double tip_radius(const ToothedBody& gear) {
  return with_side(gear, 0.5 * gear.tip_diameter().value());
}

double centre_distance(const GearPair& pair) {
  return with_side(pair.gear_2(), pair.centre_distance().value());
}

double tip_curvature(const ToothedBody& gear) {
  const double r_a = 0.5 * gear.tip_diameter().value();
  const double r_b = 0.5 * gear.base_diameter().value();
  return with_side(gear, std::sqrt((r_a - r_b) * (r_a + r_b)));
}

double tangent_length(const GearPair& pair) {
  const double t = pair.working_pressure_tangent();
  return centre_distance(pair) * t / std::sqrt(1.0 + t * t);
}

}  // namespace lashband::geometry::kernel
