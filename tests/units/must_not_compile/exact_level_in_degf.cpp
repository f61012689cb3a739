// Levels are written exactly in degC alone.
// expected: /error: (static assertion|static_assert) failed.*a temperature level is written/
#include <string>

#include "lashband/units/format.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] std::string wrong() {
  return format(celsius(20.0), "degF");
}

}  // namespace
