// The formulas of rotation against worked numbers, and in pairs that undo each other.

#include "lashband/units/rotation.hpp"

#include <limits>
#include <type_traits>

#include "catch.hpp"
#include "lashband/units/parse.hpp"

namespace {

using namespace lashband::units;

/// Each formula has at most three roundings, and each expected value one.
constexpr double few_roundings = 4 * std::numeric_limits<double>::epsilon();

TEST_CASE("arc, radius and angle", "[rotation]") {
  // A quarter of a circle of radius 50 mm: 25 pi mm.
  const Length arc = arc_length(parse<Length>("50 mm"), parse<Angle>("90 deg"));
  CHECK_THAT(arc.value(), WithinRel(0.078539816339744831, few_roundings));
  CHECK_THAT(angle_of_arc(arc, parse<Length>("50 mm")).value(),
             WithinRel(parse<Angle>("90 deg").value(), few_roundings));
  // 0.2 mm on a base circle of 50 mm: 4 mrad.
  CHECK_THAT(angle_of_arc(parse<Length>("0.2 mm"), parse<Length>("50 mm")).value(),
             WithinRel(4e-3, few_roundings));
}

TEST_CASE("turns and radians per second", "[rotation]") {
  // 1800 rpm is 30 turns per second.
  CHECK_THAT(angular_velocity(parse<Frequency>("30 Hz")).value(),
             WithinRel(parse<AngularVelocity>("1800 rpm").value(), few_roundings));
  CHECK_THAT(frequency(parse<AngularVelocity>("1800 rpm")).value(), WithinRel(30.0, few_roundings));
  // One turn per second is 2 pi rad/s (ISO 80000-3).
  CHECK_THAT(angular_velocity(parse<Frequency>("1 Hz")).value(),
             WithinRel(6.2831853071795865, few_roundings));
}

TEST_CASE("circumferential velocity", "[rotation]") {
  // Pitch-line velocity v = pi d n: d = 100 mm at 3000 rpm is 5 pi m/s.
  CHECK_THAT(
      circumferential_velocity(parse<Length>("50 mm"), parse<AngularVelocity>("3000 rpm")).value(),
      WithinRel(15.707963267948966, few_roundings));
}

TEST_CASE("torsional springs", "[rotation]") {
  const TorsionalStiffness stiffness = parse<TorsionalStiffness>("3000 N m/rad");
  CHECK_THAT(torque(stiffness, parse<Angle>("10 mrad")).value(), WithinRel(30.0, few_roundings));
  CHECK_THAT(twist(parse<Torque>("30 N m"), stiffness).value(), WithinRel(0.01, few_roundings));
  // 4e8 N/m at 50 mm: 1e6 N m/rad. The same from force and lever: a twist of 1 mrad moves the
  // circle by 50 um, which takes 20 kN, at a lever of 50 mm 1 kN m.
  const LinearStiffness mesh = parse<LinearStiffness>("400 N/um");
  const Length radius = parse<Length>("50 mm");
  CHECK_THAT(torsional_stiffness(mesh, radius).value(), WithinRel(1e6, few_roundings));
  const Angle small = parse<Angle>("1 mrad");
  const Torque by_lever = mesh * arc_length(radius, small) * radius;
  CHECK_THAT(torque(torsional_stiffness(mesh, radius), small).value(),
             WithinRel(by_lever.value(), few_roundings));
}

TEST_CASE("power of a torque", "[rotation]") {
  // The handbook's P/kW = M/(N m) * n/rpm / 9549.3: 95.493 N m at 1000 rpm is 10 kW, within the
  // five digits of the handbook's constant (common practice, no source).
  constexpr double digits_of_the_constant = 1e-5;
  CHECK_THAT(power(parse<Torque>("95.493 N m"), parse<AngularVelocity>("1000 rpm")).value(),
             WithinRel(1e4, digits_of_the_constant));
}

// The results are the quantities of the public interface, radian and all.
static_assert(std::is_same_v<decltype(power(Torque(), AngularVelocity())), Power>);
static_assert(std::is_same_v<decltype(twist(Torque(), TorsionalStiffness())), Angle>);

}  // namespace
