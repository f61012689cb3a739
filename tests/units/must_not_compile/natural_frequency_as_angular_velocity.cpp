// The root of stiffness over inertia lacks half of a radian: it is no angular velocity by itself.
// expected: /error: (conversion from .* to non-scalar type|no viable conversion from)/
#include <boost/units/pow.hpp>

#include "lashband/units/quantities.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] AngularVelocity wrong() {
  const AngularVelocity speed =
      boost::units::root<2>(from_si<TorsionalStiffness>(3000.0) / from_si<Inertia>(0.002));
  return speed;
}

}  // namespace
