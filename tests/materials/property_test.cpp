#include "lashband/materials/property.hpp"

#include <limits>
#include <string>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"

namespace {

using namespace lashband;
using namespace lashband::materials;
using units::celsius;
using units::from_si;
using units::Pressure;
using units::Ratio;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();
/// A few roundings of a linear interpolation.
constexpr double relative_rounding = 1e-15;

constexpr PropertyRule modulus{"youngs_modulus", "Pa", 0.0, false, infinity};
constexpr PropertyRule loss{"loss_factor", "", 0.0, true, infinity};
constexpr PropertyRule poisson{"poissons_ratio", "", -1.0, false, 0.5};

Pressure gigapascal(double value) {
  return from_si<Pressure>(value * 1e9);
}
TemperatureRange range(double low, double high) {
  return {celsius(low), celsius(high)};
}

/// Low-alloy steel, SEW 310 type table (sheet of 20MnCr5).
PropertyTable<Pressure> steel_modulus() {
  return {{{celsius(-100), gigapascal(217)},
           {celsius(20), gigapascal(212)},
           {celsius(100), gigapascal(207)},
           {celsius(200), gigapascal(199)}}};
}

Property<Pressure> property(const PropertyRecord<Pressure>& record,
                            const TemperatureRange& over = range(-60, 250)) {
  return Property<Pressure>("C45", modulus, over, record);
}

template <class Q>
std::string domain_message(const PropertyRule& rule, const PropertyRecord<Q>& record) {
  try {
    static_cast<void>(Property<Q>("C45", rule, range(-60, 250), record));
  } catch (const DomainError& error) {
    return error.what();
  }
  return "nothing was thrown";
}

std::string material_message(const Property<Pressure>& property, double degrees,
                             Extrapolation extrapolation = Extrapolation::refuse) {
  try {
    static_cast<void>(property.at(celsius(degrees), extrapolation));
  } catch (const MaterialError& error) {
    return error.what();
  }
  return "nothing was thrown";
}

TEST_CASE("one value holds over the material's range") {
  const Property<Pressure> e = property(gigapascal(210));
  CHECK(e.at(celsius(-60)).value() == 210e9);
  CHECK(e.at(celsius(250)).value() == 210e9);
  CHECK_THAT(material_message(e, 251),
             Equals("material 'C45': youngs_modulus is asked for at 251 degC, outside its range of "
                    "-60 degC to 250 degC"));
  CHECK(e.at(celsius(300), Extrapolation::allow).value() == 210e9);
}

TEST_CASE("a table is linear between its points and exact at them") {
  const Property<Pressure> e = property(steel_modulus(), range(-100, 200));
  for (const auto& point : steel_modulus().points) {
    CAPTURE(point.temperature.value());
    CHECK(e.at(point.temperature).value() == point.value.value());
  }
  CHECK_THAT(e.at(celsius(60)).value(), WithinRel(209.5e9, relative_rounding));
  CHECK_THAT(e.at(celsius(-40)).value(), WithinRel(214.5e9, relative_rounding));
}

TEST_CASE("a table holds from its first to its last point, within the material's range") {
  // The table ends at 200 degC, the material at 250 degC; the material starts at -60 degC.
  const Property<Pressure> e = property(steel_modulus());
  CHECK(e.range().low.value() == -60.0);
  CHECK(e.range().high.value() == 200.0);
  CHECK_THAT(material_message(e, 201), ContainsText("-60 degC to 200 degC"));
  CHECK_THAT(material_message(e, -61), ContainsText("asked for at -61 degC"));
}

TEST_CASE("a table that is continued follows its last line while the value makes sense") {
  const Property<Pressure> e = property(steel_modulus());
  CHECK_THAT(e.at(celsius(300), Extrapolation::allow).value(), WithinRel(191e9, relative_rounding));
  CHECK_THAT(e.at(celsius(-160), Extrapolation::allow).value(),
             WithinRel(219.5e9, relative_rounding));
  // 199 GPa fall to nothing at 200 + 100 * 199 / 8 degC.
  CHECK_THAT(material_message(e, 3000, Extrapolation::allow),
             ContainsText("continued to 3000 degC, outside its range"));
}

TEST_CASE("a spread keeps its limits beside the value") {
  const PropertyRecord<Pressure> record =
      SpreadValue<Pressure>{gigapascal(110), gigapascal(103), gigapascal(118)};
  const Property<Pressure> e = property(record);
  CHECK(e.at(celsius(100)).value() == 110e9);
  CHECK(std::get<SpreadValue<Pressure>>(e.record()).low.value() == 103e9);
  CHECK(std::get<SpreadValue<Pressure>>(e.record()).high.value() == 118e9);
}

TEST_CASE("what is no temperature has no property") {
  const Property<Pressure> e = property(steel_modulus());
  for (const double degrees : {nan, infinity, -300.0}) {
    CAPTURE(degrees);
    CHECK_THAT(material_message(e, degrees, Extrapolation::allow), ContainsText("no temperature"));
  }
}

TEST_CASE("values that break the rule of their property are refused") {
  CHECK_THAT(domain_message<Pressure>(modulus, gigapascal(-210)),
             Equals("material 'C45': youngs_modulus is -2.1e+11 Pa, but must be above 0 Pa and "
                    "finite"));
  for (const double wrong : {0.0, nan, infinity}) {
    CAPTURE(wrong);
    CHECK_THAT(domain_message<Pressure>(modulus, from_si<Pressure>(wrong)),
               ContainsText("must be above 0 Pa and finite"));
  }
  for (const double wrong : {-1.0, 0.5, nan}) {
    CAPTURE(wrong);
    CHECK_THAT(domain_message<Ratio>(poisson, from_si<Ratio>(wrong)),
               ContainsText("must be above -1 and below 0.5"));
  }
  CHECK_THAT(domain_message<Ratio>(loss, from_si<Ratio>(-0.1)),
             ContainsText("loss_factor is -0.1, but must be at least 0 and finite"));
  CHECK_NOTHROW(Property<Ratio>("X", loss, range(-60, 250), from_si<Ratio>(0.0)));
}

TEST_CASE("tables and spreads that are none are refused") {
  using Table = PropertyTable<Pressure>;
  using Spread = SpreadValue<Pressure>;
  const Pressure e = gigapascal(210);
  CHECK_THAT(domain_message<Pressure>(modulus, Table{}), ContainsText("has 0 points"));
  CHECK_THAT(domain_message<Pressure>(modulus, Table{{{celsius(20), e}}}),
             ContainsText("has 1 point, but needs at least 2"));
  CHECK_THAT(domain_message<Pressure>(modulus, Table{{{celsius(100), e}, {celsius(20), e}}}),
             ContainsText("the table has 20 degC after 100 degC"));
  CHECK_THAT(domain_message<Pressure>(modulus, Table{{{celsius(20), e}, {celsius(20), e}}}),
             ContainsText("must rise"));
  CHECK_THAT(domain_message<Pressure>(modulus, Table{{{celsius(20), e}, {celsius(nan), e}}}),
             ContainsText("a temperature of the table is nan degC"));
  CHECK_THAT(domain_message<Pressure>(modulus, Table{{{celsius(20), e}, {celsius(90), -e}}}),
             ContainsText("must be above 0 Pa"));
  CHECK_THAT(domain_message<Pressure>(modulus, Table{{{celsius(300), e}, {celsius(400), e}}}),
             ContainsText("must share temperatures with the material's range"));
  CHECK_THAT(domain_message<Pressure>(modulus, Spread{e, 1.1 * e, 1.2 * e}),
             ContainsText("must be low <= value <= high"));
  CHECK_THAT(domain_message<Pressure>(modulus, Spread{e, 0.8 * e, 0.9 * e}),
             ContainsText("must be low <= value <= high"));
  CHECK_THAT(domain_message<Pressure>(modulus, Spread{e, -e, e}), ContainsText("above 0 Pa"));
  CHECK_THAT(domain_message<Pressure>(modulus, Spread{e, e, from_si<Pressure>(nan)}),
             ContainsText("above 0 Pa"));
}

TEST_CASE("a range that is none is refused") {
  CHECK_THROWS_MATCHES(property(gigapascal(210), range(250, -60)), DomainError,
                       Message("material 'C45': range is 250 degC to -60 degC, but must run from a "
                               "lower to a higher temperature, both finite and not below "
                               "-273.15 degC"));
}

}  // namespace
