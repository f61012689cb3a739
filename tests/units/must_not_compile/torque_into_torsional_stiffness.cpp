// A torque is no torsional stiffness: the radian tells them apart.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] TorsionalStiffness wrong() {
  const TorsionalStiffness stiffness = from_si<Torque>(3000.0);
  return stiffness;
}

}  // namespace
