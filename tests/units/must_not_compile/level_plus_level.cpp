// Two temperature levels have no sum.
// expected: /error: (no match for .operator[+].|invalid operands to binary expression)/
#include "lashband/units/temperature.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Temperature wrong() {
  return celsius(20.0) + celsius(100.0);
}

}  // namespace
