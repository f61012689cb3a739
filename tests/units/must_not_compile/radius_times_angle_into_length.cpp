// An arc is made by arc_length().
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Length wrong() {
  const Length arc = from_si<Length>(0.05) * from_si<Angle>(0.01);
  return arc;
}

}  // namespace
