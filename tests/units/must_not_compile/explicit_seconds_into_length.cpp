// Not even when asked for by name, although std::is_constructible says that it can be done: the
// constructor of Boost.Units is there for every unit, and fails once it is used.
// expected: /error: no matching function for call to .conversion_factor/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Length wrong() {
  return Length(from_si<Time>(1.0));
}

}  // namespace
