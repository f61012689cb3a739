// The words of the messages: names and examples of every kind of quantity.

#include "lashband/units/quantity_kind.hpp"

#include <string>
#include <string_view>

#include "catch.hpp"
#include "lashband/units/parse.hpp"

namespace {

using namespace lashband::units;

TEST_CASE("the example of every kind is a quantity of that kind", "[kinds]") {
  for (const QuantityKind& kind : quantity_kinds) {
    INFO(kind.name);
    CHECK(detail::parse_value(kind.example, kind));
  }
  CHECK(parse<Temperature>(temperature_level.example).value() == -40.0);
}

TEST_CASE("every kind has a name with its article", "[kinds]") {
  for (const QuantityKind& kind : quantity_kinds) {
    INFO(kind.name);
    CHECK((kind.name.starts_with("a ") || kind.name.starts_with("an ")));
    CHECK(kind.name_when_read.starts_with(kind.name));
  }
}

TEST_CASE("one dimension stands in one row", "[kinds]") {
  for (const QuantityKind& kind : quantity_kinds) {
    INFO(kind.name);
    CHECK(find_kind(kind.dimension) == &kind);
  }
  CHECK(find_kind({.length = 7}) == nullptr);
}

TEST_CASE("the types of the public interface have their names", "[kinds]") {
  CHECK(quantity_kind<Ratio>.name == "a ratio");
  CHECK(quantity_kind<Length>.name == "a length");
  CHECK(quantity_kind<Area>.name == "an area");
  CHECK(quantity_kind<Volume>.name == "a volume");
  CHECK(quantity_kind<Time>.name == "a time");
  CHECK(quantity_kind<Mass>.name == "a mass");
  CHECK(quantity_kind<Angle>.name == "an angle");
  CHECK(quantity_kind<Velocity>.name == "a velocity");
  CHECK(quantity_kind<Force>.name == "a force");
  CHECK(quantity_kind<Pressure>.name == "a pressure or stress");
  CHECK(quantity_kind<Power>.name == "a power");
  CHECK(quantity_kind<Frequency>.name == "a frequency");
  CHECK(quantity_kind<AngularVelocity>.name == "a speed of rotation");
  CHECK(quantity_kind<Density>.name == "a density");
  CHECK(quantity_kind<KinematicViscosity>.name == "a kinematic viscosity");
  CHECK(quantity_kind<PerKelvin>.name == "a coefficient per kelvin");
  CHECK(quantity_kind<LinearStiffness>.name == "a stiffness");
  CHECK(quantity_kind<Torque>.name == "a torque");
  CHECK(quantity_kind<TorsionalStiffness>.name == "a torsional stiffness");
  CHECK(quantity_kind<Inertia>.name == "a moment of inertia");
  CHECK(quantity_kind<SpecificHeat>.name == "a specific heat capacity");
  CHECK(quantity_kind<Conductivity>.name == "a thermal conductivity");
  CHECK(quantity_kind<TemperatureDifference>.name == "a temperature difference");
  CHECK(quantity_kind<Temperature>.name == "a temperature level");
}

}  // namespace
