// A temperature difference is no temperature level.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/temperature.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Temperature wrong() {
  const Temperature level = difference(celsius(20.0), celsius(120.0));
  return level;
}

}  // namespace
