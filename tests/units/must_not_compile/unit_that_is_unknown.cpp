// A misspelled unit is found by the compiler.
// expected: /error: .*this_text_is_not_a_unit/
#include <string>

#include "lashband/units/format.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] std::string wrong() {
  return format(from_si<Length>(0.1), "mM");
}

}  // namespace
