// A bare number has no unit.
// expected: /error: (conversion from .double. to non-scalar|no viable conversion from .double.)/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Length wrong() {
  const Length length = 0.1;
  return length;
}

}  // namespace
