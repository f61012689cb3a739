// A time is no length.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Length wrong() {
  const Length length = from_si<Time>(1.0);
  return length;
}

}  // namespace
