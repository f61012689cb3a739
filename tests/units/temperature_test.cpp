// Temperature levels and differences.

#include "lashband/units/temperature.hpp"

#include <boost/units/systems/temperature/celsius.hpp>
#include <limits>
#include <type_traits>

#include "catch.hpp"

namespace {

using namespace lashband::units;

// Boost.Units makes 20 K of `quantity<si::temperature>(20.0 * celsius::degrees)`: it takes the unit
// celsius::temperature for a difference and ignores the zero points. Nothing in this library
// returns or takes that unit (levels are `absolute`, differences are in kelvin), and what it is in
// does not become a difference or a level of ours without a cast that names the type.
using BoostCelsius = boost::units::quantity<boost::units::celsius::temperature>;
static_assert(!std::is_convertible_v<BoostCelsius, TemperatureDifference>);
static_assert(!std::is_convertible_v<BoostCelsius, Temperature>);
static_assert(!std::is_same_v<BoostCelsius, TemperatureDifference>);

/// Kelvin and degrees Celsius differ by a sum, which is rounded once at some 300 K.
constexpr double one_sum = 300.0 * std::numeric_limits<double>::epsilon();

TEST_CASE("levels on both scales", "[temperature]") {
  // Triple point of water, 0.01 degC and 273.16 K (ITS-90).
  CHECK_THAT(kelvin(273.16).value(), WithinAbs(0.01, one_sum));
  CHECK_THAT(in_kelvin(celsius(0.01)), WithinAbs(273.16, one_sum));
  CHECK(celsius(-40.0).value() == -40.0);
  CHECK(in_kelvin(celsius(absolute_zero_in_celsius)) == 0.0);
  CHECK(iso_1_reference().value() == 20.0);
}

TEST_CASE("differences of levels", "[temperature]") {
  CHECK(difference(celsius(20.0), celsius(-40.0)).value() == -60.0);
  CHECK(difference(celsius(-40.0), celsius(120.0)).value() == 160.0);
}

TEST_CASE("bands have a middle", "[quantities]") {
  const Band<Length> band{from_si<Length>(-110e-6), from_si<Length>(-70e-6)};
  constexpr double two_roundings = 2 * std::numeric_limits<double>::epsilon();
  CHECK_THAT(band.mid().value(), WithinRel(-90e-6, two_roundings));
}

}  // namespace
