// Boost.Units makes 20 K of 20 degrees Celsius when asked by an explicit conversion. Nothing here
// returns such a quantity, and one from elsewhere does not pass for a difference by itself.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/temperature.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] TemperatureDifference wrong() {
  const TemperatureDifference rise = 20.0 * boost::units::celsius::degrees;
  return rise;
}

}  // namespace
