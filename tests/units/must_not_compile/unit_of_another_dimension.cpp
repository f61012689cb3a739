// A length is not written in kelvin.
// expected: /error: .*this_unit_has_another_dimension/
#include <string>

#include "lashband/units/format.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] std::string wrong() {
  return format(from_si<Length>(0.1), "K");
}

}  // namespace
