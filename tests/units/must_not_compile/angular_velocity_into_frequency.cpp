// Radians per second are not turns per second; frequency() knows the factor.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Frequency wrong() {
  const Frequency turns = from_si<AngularVelocity>(188.5);
  return turns;
}

}  // namespace
