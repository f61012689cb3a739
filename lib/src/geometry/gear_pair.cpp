#include "lashband/geometry/gear_pair.hpp"

#include <cmath>
#include <sstream>

#include "lashband/error.hpp"

namespace lashband::geometry {

GearPair::GearPair(const ToothedBody& gear_1, const ToothedBody& gear_2, units::Length a)
    : gear_1_(gear_1), gear_2_(gear_2), a_(a.value()) {
  const double r_b = 0.5 * (gear_1.base_diameter().value() + gear_2.base_diameter().value());
  if (!(a_ > r_b && std::isfinite(a_))) {
    std::ostringstream message;
    message.precision(10);
    message << "the base circles overlap: r_b1 + r_b2 = " << 1e3 * r_b
            << " mm must be below the centre distance, which is " << 1e3 * a_ << " mm";
    throw ComputationError(message.str());
  }
  // Not acos(r_b / a): that loses half the digits where the circles nearly touch.
  tan_alpha_wt_ = std::sqrt((a_ - r_b) * (a_ + r_b)) / r_b;
}

units::Angle GearPair::working_pressure_angle() const {
  return units::from_si<units::Angle>(std::atan(tan_alpha_wt_));
}

units::Length GearPair::base_pitch_mismatch() const {
  return gear_2_.base_pitch() - gear_1_.base_pitch();
}

}  // namespace lashband::geometry
