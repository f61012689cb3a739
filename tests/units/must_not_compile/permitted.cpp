// The positive control: what the other files here do wrongly, done rightly. It must compile.
#include <string>

#include "lashband/units/format.hpp"
#include "lashband/units/parse.hpp"
#include "lashband/units/rotation.hpp"

namespace {

using namespace lashband::units;

[[maybe_unused]] std::string everything() {
  const Length length = from_si<Length>(0.1);
  const Force force = from_si<Force>(250.0);
  const Torque torque_of_force = force * length;
  const TorsionalStiffness stiffness = from_si<TorsionalStiffness>(3000.0);
  const Angle angle = twist(torque_of_force, stiffness);
  const Length arc = arc_length(length, angle);
  const Angle again = angle_of_arc(arc, length);
  const AngularVelocity speed = angular_velocity(from_si<Frequency>(30.0));
  const Frequency turns = frequency(speed);
  const Power power_of_torque = power(torque_of_force, speed);
  const Inertia inertia = from_si<Mass>(2.0) * length * length;
  const TemperatureDifference rise = difference(celsius(20.0), celsius(120.0));
  const Band<TemperatureDifference> band = parse_symmetric_band<TemperatureDifference>("+-5 K");
  return format(arc, "mm") + format(again, "deg") + format(turns, "Hz") +
         format(power_of_torque, "kW") + format(inertia, "kg m2") + format(rise, "K") +
         format(band.high, "K") + format(celsius(20.0)) + format_fixed(celsius(20.0), "degF", 1);
}

}  // namespace
