// A torque is not written in N m/rad.
// expected: /error: .*this_unit_has_another_dimension/
#include <string>

#include "lashband/units/format.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] std::string wrong() {
  return format(from_si<Torque>(12.0), "N m/rad");
}

}  // namespace
