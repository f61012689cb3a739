// Why the torque of Boost.Units is not used: a force times a length is none.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include <boost/units/systems/si/torque.hpp>

#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] boost::units::quantity<boost::units::si::torque> wrong() {
  const boost::units::quantity<boost::units::si::torque> torque =
      from_si<Force>(250.0) * from_si<Length>(0.1);
  return torque;
}

}  // namespace
