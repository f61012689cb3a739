// A band about zero makes no sense for temperature levels.
// expected: /error: (static assertion|static_assert) failed.*a band about zero is no band/
#include "lashband/units/parse.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Band<Temperature> wrong() {
  return parse_symmetric_band<Temperature>("+-5 K");
}

}  // namespace
