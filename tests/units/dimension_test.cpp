// The quantity types of the public interface have the dimensions that their names say, and those
// that look alike are kept apart. Most of this is checked by the compiler; what must not compile at
// all is in must_not_compile.

#include "lashband/units/dimension.hpp"

#include <boost/units/systems/si/moment_of_inertia.hpp>
#include <boost/units/systems/si/torque.hpp>
#include <type_traits>

#include "catch.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

namespace {

using namespace lashband::units;
namespace si = boost::units::si;

// Powers from the definitions of the SI (SI Brochure, 9th edition, tables 4 and 5), the radian
// counted as a unit.
static_assert(dimension_of<Ratio> == Dimension{});
static_assert(dimension_of<Length> == Dimension{.length = 1});
static_assert(dimension_of<Area> == Dimension{.length = 2});
static_assert(dimension_of<Volume> == Dimension{.length = 3});
static_assert(dimension_of<Time> == Dimension{.time = 1});
static_assert(dimension_of<Mass> == Dimension{.mass = 1});
static_assert(dimension_of<Angle> == Dimension{.angle = 1});
static_assert(dimension_of<Velocity> == Dimension{.length = 1, .time = -1});
static_assert(dimension_of<Force> == Dimension{.length = 1, .mass = 1, .time = -2});
static_assert(dimension_of<Pressure> == Dimension{.length = -1, .mass = 1, .time = -2});
static_assert(dimension_of<Power> == Dimension{.length = 2, .mass = 1, .time = -3});
static_assert(dimension_of<Frequency> == Dimension{.time = -1});
static_assert(dimension_of<AngularVelocity> == Dimension{.time = -1, .angle = 1});
static_assert(dimension_of<Density> == Dimension{.length = -3, .mass = 1});
static_assert(dimension_of<KinematicViscosity> == Dimension{.length = 2, .time = -1});
static_assert(dimension_of<PerKelvin> == Dimension{.temperature = -1});
static_assert(dimension_of<LinearStiffness> == Dimension{.mass = 1, .time = -2});
static_assert(dimension_of<Torque> == Dimension{.length = 2, .mass = 1, .time = -2});
static_assert(dimension_of<TorsionalStiffness> ==
              Dimension{.length = 2, .mass = 1, .time = -2, .angle = -1});
static_assert(dimension_of<Inertia> == Dimension{.length = 2, .mass = 1});
static_assert(dimension_of<SpecificHeat> == Dimension{.length = 2, .time = -2, .temperature = -1});
static_assert(dimension_of<Conductivity> ==
              Dimension{.length = 1, .mass = 1, .time = -3, .temperature = -1});
static_assert(dimension_of<TemperatureDifference> == Dimension{.temperature = 1});

// A torque is a force times a length here, and so has the type of an energy.
static_assert(std::is_same_v<decltype(Force() * Length()), Torque>);
static_assert(std::is_same_v<Torque, boost::units::quantity<si::energy>>);
static_assert(std::is_same_v<decltype(Mass() * Length() * Length()), Inertia>);
static_assert(std::is_same_v<decltype(TorsionalStiffness() * Angle()), Torque>);

// Boost's torque and moment of inertia carry the radian; they are other types and stay outside.
static_assert(!std::is_convertible_v<boost::units::quantity<si::torque>, Torque>);
static_assert(!std::is_convertible_v<Torque, boost::units::quantity<si::torque>>);
static_assert(!std::is_convertible_v<boost::units::quantity<si::moment_of_inertia>, Inertia>);

// Types that differ by a radian alone.
static_assert(!std::is_convertible_v<Frequency, AngularVelocity>);
static_assert(!std::is_convertible_v<AngularVelocity, Frequency>);
static_assert(!std::is_convertible_v<Torque, TorsionalStiffness>);
static_assert(!std::is_convertible_v<Angle, Ratio>);
static_assert(!std::is_convertible_v<Angle, double>);

// Numbers do not become quantities, nor quantities numbers; a ratio is the exception of
// Boost.Units.
static_assert(!std::is_convertible_v<double, Length>);
static_assert(!std::is_convertible_v<Length, double>);
static_assert(std::is_convertible_v<Ratio, double>);

// Levels and differences of temperature.
static_assert(!std::is_convertible_v<Temperature, TemperatureDifference>);
static_assert(!std::is_convertible_v<TemperatureDifference, Temperature>);
static_assert(!std::is_convertible_v<double, Temperature>);

TEST_CASE("the product of two dimensions adds their powers", "[dimension]") {
  const Dimension newton{.length = 1, .mass = 1, .time = -2};
  const Dimension radian{.angle = 1};
  const Dimension metre{.length = 1};
  CHECK(times_power(times_power(newton, metre, 1), radian, -1) == dimension_of<TorsionalStiffness>);
  CHECK(times_power(newton, metre, -2) == dimension_of<Pressure>);
  CHECK(times_power({.temperature = 3}, {.temperature = 1}, -4) == dimension_of<PerKelvin>);
}

}  // namespace
