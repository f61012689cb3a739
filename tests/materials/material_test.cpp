#include "lashband/materials/material.hpp"

#include <functional>
#include <limits>
#include <string>
#include <type_traits>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"

namespace {

using namespace lashband;
using namespace lashband::materials;
using units::celsius;
using units::from_si;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();
/// A few roundings.
constexpr double relative_rounding = 1e-15;

/// An invented solid with every property; the numbers are easy to tell apart.
MaterialRecord full_record() {
  MaterialRecord record;
  record.id = "Invented 1";
  record.standard = "none, invented";
  record.family = "invented_solid";
  record.range = {celsius(-60), celsius(250)};
  record.elongation = ElongationRecord{MeanCoefficient{from_si<units::PerKelvin>(12e-6)},
                                       from_si<units::Ratio>(0.05)};
  record.youngs_modulus = from_si<units::Pressure>(210e9);
  record.poissons_ratio = from_si<units::Ratio>(0.3);
  record.density = from_si<units::Density>(7850);
  record.specific_heat = from_si<units::SpecificHeat>(460);
  record.conductivity =
      PropertyTable<units::Conductivity>{{{celsius(20), from_si<units::Conductivity>(50)},
                                          {celsius(120), from_si<units::Conductivity>(40)}}};
  record.hardness = ShoreA{60};
  record.shear_modulus =
      SpreadValue<units::Pressure>{from_si<units::Pressure>(1.0e6), from_si<units::Pressure>(0.7e6),
                                   from_si<units::Pressure>(1.3e6)};
  record.loss_factor = from_si<units::Ratio>(0.1);
  record.temperature_factor = PropertyTable<units::Ratio>{
      {{celsius(20), from_si<units::Ratio>(1)}, {celsius(120), from_si<units::Ratio>(0.5)}}};
  record.wlf = Wlf{celsius(25), 8.86, units::TemperatureDifference::from_value(101.6)};
  record.prony = {{0.2, from_si<units::Time>(1e-3)}, {0.1, from_si<units::Time>(1e-2)}};
  record.service_range = TemperatureRange{celsius(-50), celsius(100)};
  record.shear_strain_limit = from_si<units::Ratio>(0.5);
  record.sources = {{"elongation", "invented for this test"}, {"all", "also invented"}};
  record.confidence = {{"elongation", Confidence::derived}, {"all", Confidence::memory}};
  return record;
}

MaterialRecord empty_record() {
  MaterialRecord record;
  record.id = "Invented 2";
  record.family = "invented_solid";
  record.range = {celsius(-60), celsius(250)};
  return record;
}

std::string domain_message(const std::function<void(MaterialRecord&)>& spoil) {
  MaterialRecord record = full_record();
  spoil(record);
  try {
    static_cast<void>(Material(record));
  } catch (const DomainError& error) {
    return error.what();
  }
  return "nothing was thrown";
}

template <class Ask>
std::string material_message(const Ask& ask) {
  try {
    static_cast<void>(ask());
  } catch (const MaterialError& error) {
    return error.what();
  }
  return "nothing was thrown";
}

TEST_CASE("a material gives every property it was given") {
  const Material m(full_record());
  const units::Temperature warm = celsius(70);
  CHECK(m.id() == "Invented 1");
  CHECK(m.range().high.value() == 250.0);
  CHECK(m.record().standard == "none, invented");
  CHECK_THAT(m.elongation().eps20(warm).value(), WithinRel(50 * 12e-6, relative_rounding));
  CHECK(m.elongation().uncertainty()->value() == 0.05);
  CHECK(m.youngs_modulus(warm).value() == 210e9);
  CHECK(m.poissons_ratio(warm).value() == 0.3);
  CHECK(m.density(warm).value() == 7850.0);
  CHECK(m.specific_heat(warm).value() == 460.0);
  CHECK(m.conductivity(warm).value() == 45.0);
  CHECK(m.shear_modulus(warm).value() == 1.0e6);
  CHECK(m.loss_factor(warm).value() == 0.1);
  CHECK(m.temperature_factor(warm).value() == 0.75);
  CHECK(std::get<ShoreA>(m.hardness()).degrees == 60.0);
  CHECK(m.wlf().c1 == 8.86);
  CHECK(m.prony().size() == 2);
  CHECK(m.service_range().low.value() == -50.0);
  CHECK(m.shear_strain_limit().value() == 0.5);
}

TEST_CASE("the range rule holds for properties, and extrapolation is passed on") {
  const Material m(full_record());
  CHECK_THROWS_AS(m.youngs_modulus(celsius(251)), MaterialError);
  CHECK(m.youngs_modulus(celsius(251), Extrapolation::allow).value() == 210e9);
  CHECK_THROWS_AS(m.poissons_ratio(celsius(251)), MaterialError);
  CHECK(m.poissons_ratio(celsius(251), Extrapolation::allow).value() == 0.3);
  CHECK_THROWS_AS(m.density(celsius(251)), MaterialError);
  CHECK(m.density(celsius(251), Extrapolation::allow).value() == 7850.0);
  CHECK_THROWS_AS(m.specific_heat(celsius(251)), MaterialError);
  CHECK(m.specific_heat(celsius(251), Extrapolation::allow).value() == 460.0);
  CHECK_THROWS_AS(m.conductivity(celsius(170)), MaterialError);
  CHECK(m.conductivity(celsius(170), Extrapolation::allow).value() == 35.0);
  CHECK_THROWS_AS(m.shear_modulus(celsius(251)), MaterialError);
  CHECK(m.shear_modulus(celsius(251), Extrapolation::allow).value() == 1.0e6);
  CHECK_THROWS_AS(m.loss_factor(celsius(251)), MaterialError);
  CHECK(m.loss_factor(celsius(251), Extrapolation::allow).value() == 0.1);
  CHECK_THROWS_AS(m.temperature_factor(celsius(170)), MaterialError);
  CHECK(m.temperature_factor(celsius(170), Extrapolation::allow).value() == 0.25);
}

TEST_CASE("a property that is lacking is an error that names material and property") {
  const Material m(empty_record());
  const units::Temperature t = celsius(20);
  CHECK(material_message([&] { return m.youngs_modulus(t); }) ==
        "material 'Invented 2': youngs_modulus is needed, but the material does not give it");
  const std::vector<std::pair<std::string, std::string>> said = {
      {"elongation", material_message([&] { return m.elongation(); })},
      {"poissons_ratio", material_message([&] { return m.poissons_ratio(t); })},
      {"density", material_message([&] { return m.density(t); })},
      {"specific_heat", material_message([&] { return m.specific_heat(t); })},
      {"conductivity", material_message([&] { return m.conductivity(t); })},
      {"hardness", material_message([&] { return m.hardness(); })},
      {"shear_modulus", material_message([&] { return m.shear_modulus(t); })},
      {"loss_factor", material_message([&] { return m.loss_factor(t); })},
      {"temperature_factor", material_message([&] { return m.temperature_factor(t); })},
      {"wlf", material_message([&] { return m.wlf(); })},
      {"prony", material_message([&] { return m.prony(); })},
      {"service_range", material_message([&] { return m.service_range(); })},
      {"shear_strain_limit", material_message([&] { return m.shear_strain_limit(); })},
  };
  for (const auto& [property, message] : said) {
    CAPTURE(property);
    CHECK_THAT(message, StartsWith("material 'Invented 2': " + property + " is needed"));
  }
}

TEST_CASE("every property key is that of a member") {
  const MaterialRecord full = full_record();
  const MaterialRecord empty = empty_record();
  for (const std::string_view key : property_keys) {
    CAPTURE(std::string(key));
    CHECK(gives(full, key));
    CHECK_FALSE(gives(empty, key));
  }
  CHECK_FALSE(gives(full, "all"));
  CHECK_FALSE(gives(full, "colour"));
}

TEST_CASE("source and confidence are a property's own, or those of all") {
  const Material m(full_record());
  CHECK(m.source("elongation") == "invented for this test");
  CHECK(m.source("density") == "also invented");
  CHECK(m.confidence("elongation") == Confidence::derived);
  CHECK(m.confidence("density") == Confidence::memory);

  MaterialRecord silent = full_record();
  silent.confidence.clear();
  CHECK_FALSE(Material(silent).confidence("density"));

  const Material empty(empty_record());
  CHECK_THROWS_AS(empty.source("density"), MaterialError);
  CHECK_THROWS_AS(empty.confidence("density"), MaterialError);
}

TEST_CASE("a record that is no material is refused with value and rule") {
  struct Row {
    std::string says;
    std::function<void(MaterialRecord&)> spoil;
  };
  using R = MaterialRecord;
  const std::vector<Row> rows = {
      {"id is ''", [](R& r) { r.id = ""; }},
      {"id is ' C45'", [](R& r) { r.id = " C45"; }},
      {"id is 'C45\t'", [](R& r) { r.id = "C45\t"; }},
      {"family is 'Steel'", [](R& r) { r.family = "Steel"; }},
      {"family is ''", [](R& r) { r.family = ""; }},
      {"family is 'carbon steel'", [](R& r) { r.family = "carbon steel"; }},
      {"range is 250 degC to -60 degC",
       [](R& r) {
         r.range = {celsius(250), celsius(-60)};
       }},
      {"elongation: the mean coefficient",
       [](R& r) { r.elongation->curve = MeanCoefficient{from_si<units::PerKelvin>(nan)}; }},
      {"youngs_modulus is -1 Pa", [](R& r) { r.youngs_modulus = from_si<units::Pressure>(-1); }},
      {"poissons_ratio is 0.5", [](R& r) { r.poissons_ratio = from_si<units::Ratio>(0.5); }},
      {"density is 0 kg/m3", [](R& r) { r.density = from_si<units::Density>(0); }},
      {"specific_heat is 0 J/(kg K)",
       [](R& r) { r.specific_heat = from_si<units::SpecificHeat>(0); }},
      {"conductivity is inf W/(m K)",
       [](R& r) { r.conductivity = from_si<units::Conductivity>(infinity); }},
      {"shear_modulus is 0 Pa", [](R& r) { r.shear_modulus = from_si<units::Pressure>(0); }},
      {"loss_factor is -0.1", [](R& r) { r.loss_factor = from_si<units::Ratio>(-0.1); }},
      {"temperature_factor is 0",
       [](R& r) { r.temperature_factor->points[1].value = from_si<units::Ratio>(0); }},
      {"hardness is 100 Shore A", [](R& r) { r.hardness = ShoreA{100}; }},
      {"hardness is 0 IRHD", [](R& r) { r.hardness = Irhd{0}; }},
      {"hardness is nan IRHD", [](R& r) { r.hardness = Irhd{nan}; }},
      {"the reference temperature is -300 degC",
       [](R& r) { r.wlf->reference_temperature = celsius(-300); }},
      {"wlf: C1 is 0", [](R& r) { r.wlf->c1 = 0; }},
      {"wlf: C2 is -5 K", [](R& r) { r.wlf->c2 = units::TemperatureDifference::from_value(-5); }},
      {"a relative modulus is 0", [](R& r) { r.prony[1].relative_modulus = 0; }},
      {"a relaxation time is nan s",
       [](R& r) { r.prony[0].relaxation_time = from_si<units::Time>(nan); }},
      {"service_range is 5 degC to 5 degC",
       [](R& r) {
         r.service_range = TemperatureRange{celsius(5), celsius(5)};
       }},
      {"shear_strain_limit is 0", [](R& r) { r.shear_strain_limit = from_si<units::Ratio>(0); }},
      {"youngs_modulus has no source", [](R& r) { r.sources.erase("all"); }},
      {"the source of elongation is empty", [](R& r) { r.sources["elongation"] = " "; }},
      {"sources names 'densty', which is no property; did you mean 'density'?",
       [](R& r) { r.sources["densty"] = "x"; }},
      {"confidence names 'colour', which is no property",
       [](R& r) { r.confidence["colour"] = Confidence::seen; }},
      {"sources names density, which the record does not give",
       [](R& r) {
         r.density.reset();
         r.sources["density"] = "x";
       }},
      {"confidence 9 is none", [](R& r) { r.confidence["all"] = static_cast<Confidence>(9); }},
  };
  CHECK_NOTHROW(Material(full_record()));
  for (const Row& row : rows) {
    CAPTURE(row.says);
    CHECK_THAT(domain_message(row.spoil), ContainsText(row.says));
  }
}

TEST_CASE("a material cannot be changed") {
  static_assert(
      std::is_const_v<std::remove_reference_t<decltype(std::declval<Material&>().record())>>);
  static_assert(!std::is_convertible_v<MaterialRecord, Material>);
  CHECK(std::is_const_v<std::remove_reference_t<decltype(std::declval<Material&>().id())>>);
}

}  // namespace
