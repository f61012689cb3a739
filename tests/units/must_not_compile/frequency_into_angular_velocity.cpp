// Turns per second are not radians per second; angular_velocity() knows the factor.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] AngularVelocity wrong() {
  const AngularVelocity speed = from_si<Frequency>(30.0);
  return speed;
}

}  // namespace
