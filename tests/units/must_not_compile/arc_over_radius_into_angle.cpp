// The angle of an arc is made by angle_of_arc().
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Angle wrong() {
  const Angle angle = from_si<Length>(0.001) / from_si<Length>(0.05);
  return angle;
}

}  // namespace
