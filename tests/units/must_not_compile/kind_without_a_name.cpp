// A quantity can be read once messages have a name for it.
// expected: /error: (static assertion|static_assert) failed.*this quantity needs a row/
#include <boost/units/systems/si/momentum.hpp>

#include "lashband/units/parse.hpp"

namespace {

using namespace lashband::units;

using Momentum = boost::units::quantity<boost::units::si::momentum>;

[[maybe_unused]] Momentum wrong() {
  return parse<Momentum>("1 kg m/s");
}

}  // namespace
