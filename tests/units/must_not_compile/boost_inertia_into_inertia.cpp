// The moment of inertia of Boost.Units carries the radian twice and is another type.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include <boost/units/systems/si/moment_of_inertia.hpp>

#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] Inertia wrong() {
  const Inertia inertia =
      boost::units::quantity<boost::units::si::moment_of_inertia>::from_value(1.0);
  return inertia;
}

}  // namespace
