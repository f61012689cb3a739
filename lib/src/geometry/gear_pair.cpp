#include "lashband/geometry/gear_pair.hpp"

#include <cmath>
#include <sstream>
#include <string>

#include "lashband/error.hpp"
#include "line_of_action.hpp"

namespace lashband::geometry {

GearPair::GearPair(const ToothedBody& gear_1, const ToothedBody& gear_2, units::Length a)
    : gear_1_(gear_1), gear_2_(gear_2), a_(a.value()) {
  if (gear_1.internal()) {
    throw DomainError("the ring gear of a pair must be its second gear, not its first");
  }
  if (gear_2.internal() && gear_2.teeth() <= gear_1.teeth()) {
    throw DomainError("a ring gear must have more teeth than the " +
                      std::to_string(gear_1.teeth()) + " of the gear in it, not " +
                      std::to_string(gear_2.teeth()));
  }
  const double r_b = std::abs(kernel::base_radius(gear_1) + kernel::base_radius(gear_2));
  if (!(a_ > r_b && std::isfinite(a_))) {
    std::ostringstream message;
    message.precision(10);
    message << (internal() ? "no line touches both base circles: r_b2 - r_b1 = "
                           : "the base circles overlap: r_b1 + r_b2 = ")
            << 1e3 * r_b << " mm must be below the centre distance, which is " << 1e3 * a_ << " mm";
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
