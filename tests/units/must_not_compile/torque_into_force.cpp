// A force times a length is a torque.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Force wrong() {
  const Force force = from_si<Force>(250.0) * from_si<Length>(0.1);
  return force;
}

}  // namespace
