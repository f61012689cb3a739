// A bare number has no scale; celsius() and kelvin() name it.
// expected: /error: (conversion from .double. to non-scalar|no viable conversion from .double.)/
#include "lashband/units/temperature.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Temperature wrong() {
  const Temperature level = 20.0;
  return level;
}

}  // namespace
