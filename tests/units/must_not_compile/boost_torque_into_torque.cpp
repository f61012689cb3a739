// The torque of Boost.Units is a torque per angle and another type.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include <boost/units/systems/si/torque.hpp>

#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Torque wrong() {
  const Torque torque = boost::units::quantity<boost::units::si::torque>::from_value(12.0);
  return torque;
}

}  // namespace
