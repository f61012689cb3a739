// The power of a torque is made by power().
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Power wrong() {
  const Power power = from_si<Torque>(12.0) * from_si<AngularVelocity>(188.5);
  return power;
}

}  // namespace
