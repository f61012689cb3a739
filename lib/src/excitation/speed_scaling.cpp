#include "lashband/excitation/speed_scaling.hpp"

#include "lashband/error.hpp"
#include "requirement.hpp"

namespace lashband::excitation {

double speed_factor(SpeedScaling scaling, units::AngularVelocity n, units::AngularVelocity n_0) {
  checks::require_not_negative("the speed of an excitation must be 0 rad/s or more", n.value(),
                               " rad/s");
  if (scaling == SpeedScaling::constant) {
    return 1.0;
  }
  checks::require_positive(
      "the speed at which an amplitude that goes with the speed is known must be above 0 rad/s",
      n_0.value(), " rad/s");
  const double ratio = n.value() / n_0.value();
  const double factor = scaling == SpeedScaling::proportional ? ratio : ratio * ratio;
  checks::require_finite("what an amplitude is multiplied by must be finite", factor, "");
  return factor;
}

}  // namespace lashband::excitation
