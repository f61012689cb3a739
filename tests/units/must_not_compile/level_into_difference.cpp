// A temperature level is no temperature difference.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/temperature.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] TemperatureDifference wrong() {
  const TemperatureDifference rise = celsius(20.0);
  return rise;
}

}  // namespace
