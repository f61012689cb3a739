// The torsional model: tests/data/valid/torsion.json, whose every value is looked up here as it
// stands there, and what becomes of its variations.
#include <algorithm>
#include <filesystem>
#include <numbers>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "catch.hpp"
#include "file_text.hpp"
#include "io/sha256.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/io/input_error.hpp"
#include "two_gears.hpp"

namespace {

namespace io = lashband::io;
namespace design = lashband::design;
namespace units = lashband::units;
using lashband::test::text_of;
using lashband::test::train_with;

const std::filesystem::path data = std::filesystem::path(LASHBAND_SOURCE_DIR) / "tests" / "data";
const std::filesystem::path valid = data / "valid";

/// Units that are no power of ten of the SI unit, and products, are rounded once or twice.
constexpr double rounding = 1e-15;
constexpr double degree = std::numbers::pi / 180.0;
constexpr double rpm = std::numbers::pi / 30.0;

std::string torsion_text() {
  return text_of(valid / "torsion.json");
}

/// `text` with one piece replaced.
std::string with(std::string text, const std::string& old_text, const std::string& new_text) {
  const std::size_t at = text.find(old_text);
  REQUIRE(at != std::string::npos);
  return text.replace(at, old_text.size(), new_text);
}

design::Design read(const std::string& text, const io::ReadOptions& options = {}) {
  return io::read_design_text(text, "train.json", valid, options);
}

const design::TorsionSettings& settings_of_file() {
  static const design::Design train = io::read_design_file(valid / "torsion.json");
  REQUIRE(train.torsion);
  return *train.torsion;
}

/// The problems of a text that is refused, each as pointer and message.
std::vector<std::string> problems_of(const std::string& text) {
  std::vector<std::string> lines;
  try {
    static_cast<void>(read(text));
  } catch (const io::InputErrors& errors) {
    for (const io::InputProblem& problem : errors.problems()) {
      lines.push_back(problem.pointer + ": " + problem.message);
    }
  }
  return lines;
}

/// The problems of the valid file with one piece replaced, one a line.
std::string problems_with(const std::string& old_text, const std::string& new_text) {
  std::string lines;
  for (const std::string& problem : problems_of(with(torsion_text(), old_text, new_text))) {
    lines += (lines.empty() ? "" : "\n") + problem;
  }
  return lines;
}

struct Fault {
  std::string old_text;
  std::string new_text;
  std::string problems;
};

void check_faults(const std::vector<Fault>& faults) {
  for (const Fault& fault : faults) {
    CHECK(problems_with(fault.old_text, fault.new_text) == fault.problems);
  }
}

std::vector<std::string> texts_of_notes(const design::Design& train, const std::string& kind,
                                        const std::string& subject) {
  std::vector<std::string> texts;
  for (const design::Note& note : train.notes) {
    if (note.kind == kind && note.subject == subject) {
      texts.push_back(note.text);
    }
  }
  return texts;
}

}  // namespace

TEST_CASE("A file without torsion has no torsional model", "[io]") {
  CHECK_FALSE(io::read_design_file(valid / "minimal.json").torsion);
}

TEST_CASE("The torsional model turns as the file says", "[io]") {
  const design::TorsionSettings& torsion = settings_of_file();
  CHECK(torsion.driver == 0);
  REQUIRE(torsion.sweep);
  CHECK_THAT(torsion.sweep->from.value(), WithinRel(600.0 * rpm, rounding));
  CHECK_THAT(torsion.sweep->to.value(), WithinRel(2400.0 * rpm, rounding));
  CHECK(torsion.sweep->points == 181);
  REQUIRE(torsion.scaling_speed);
  CHECK_THAT(torsion.scaling_speed->value(), WithinRel(1500.0 * rpm, rounding));
  CHECK(torsion.greatest_order == 12);
  CHECK(torsion.require.greatest_rattle_index == 1.0);
  REQUIRE(torsion.require.least_resonance_margin);
  CHECK_THAT(*torsion.require.least_resonance_margin, WithinRel(0.15, rounding));
}

TEST_CASE("Stations follow the shafts, whether listed or not", "[io]") {
  const std::vector<design::Station>& stations = settings_of_file().stations;
  REQUIRE(stations.size() == 7);
  const std::vector<std::pair<std::string, std::size_t>> expected{
      {"input", 0},   {"pulley", 1}, {"A gear seat", 1}, {"A end", 1},
      {"crank B", 2}, {"drum", 3},   {"idle", 4}};
  const std::vector<std::vector<std::size_t>> gears{{0}, {}, {1, 2}, {}, {3}, {4}, {}};
  for (std::size_t i = 0; i < stations.size(); ++i) {
    INFO(i);
    CHECK(stations[i].id == expected[i].first);
    CHECK(stations[i].shaft == expected[i].second);
    CHECK(stations[i].gears == gears[i]);
  }
  CHECK(stations[0].inertia->value() == 0.004);
  CHECK(stations[1].inertia->value() == 0.012);
  CHECK_FALSE(stations[2].inertia);
  CHECK_FALSE(stations[4].inertia);
  REQUIRE(stations[0].bodies.size() == 1);
  CHECK(stations[0].bodies[0].bore.value() == 0.0);
  CHECK_FALSE(stations[0].bodies[0].solid);
  REQUIRE(stations[2].bodies.size() == 2);
  const design::Cylinder& sleeve = stations[2].bodies[0];
  CHECK(sleeve.outside_diameter.value() == 0.06);
  CHECK(sleeve.bore.value() == 0.02);
  CHECK(sleeve.length.value() == 0.04);
  REQUIRE(sleeve.solid);
  CHECK(sleeve.solid->material->id() == "Steel by shear");
  CHECK(stations[2].bodies[1].bore.value() == 0.0);
  CHECK(stations[2].bodies[1].outside_diameter.value() == 0.045);
}

TEST_CASE("Segments join the stations of a shaft", "[io]") {
  const std::vector<design::ShaftSegment>& segments = settings_of_file().segments;
  REQUIRE(segments.size() == 2);
  CHECK(segments[0].station_1 == 1);
  CHECK(segments[0].station_2 == 2);
  CHECK(std::get<units::TorsionalStiffness>(segments[0].build).value() == 90e3);
  CHECK(segments[0].loss_factor == 0.01);
  CHECK(segments[1].station_1 == 3);
  CHECK(segments[1].station_2 == 2);
  const auto& shape = std::get<design::Cylinder>(segments[1].build);
  CHECK(shape.outside_diameter.value() == 0.04);
  CHECK(shape.bore.value() == 0.01);
  CHECK(shape.length.value() == 0.12);
  CHECK(shape.solid->material->id() == "Steel by shear");
  CHECK(segments[1].loss_factor == 0.02);
}

TEST_CASE("Gears have the bodies of the file", "[io]") {
  const std::vector<design::GearBody>& gears = settings_of_file().gears;
  REQUIRE(gears.size() == 4);
  CHECK(gears[0].gear == 1);
  CHECK(std::get<units::Inertia>(gears[0].build).value() == 0.0021);
  CHECK(gears[1].gear == 0);
  CHECK(std::get<units::Length>(gears[1].build).value() == 0.03);
  CHECK(gears[2].gear == 4);
  CHECK(std::get<units::Length>(gears[2].build).value() == 0.15);
  CHECK_FALSE(gears[2].elastomer);
  CHECK(gears[3].gear == 3);
  REQUIRE(gears[3].elastomer);
  const design::Elastomer& rim = *gears[3].elastomer;
  CHECK_FALSE(rim.stiffness);
  REQUIRE(rim.ring);
  CHECK(rim.ring->inner_diameter.value() == 0.05);
  CHECK(rim.ring->outer_diameter.value() == 0.072);
  CHECK(rim.ring->width.value() == 0.018);
  CHECK(rim.solid->material->id() == "NR 60");
  CHECK_FALSE(rim.shear_modulus);
  CHECK_FALSE(rim.hardness);
  CHECK(rim.dynamic_factor == 1.3);
  CHECK_FALSE(rim.loss_factor);
  CHECK_FALSE(rim.damping);
  CHECK(rim.temperature_factor.empty());
  CHECK_FALSE(rim.shear_strain_limit);
  CHECK_THAT(rim.end_stop->value(), WithinRel(6.0 * degree, rounding));
  CHECK(rim.conductance->value() == 0.8);
}

TEST_CASE("Zones of the torsional model are those of the design", "[io]") {
  // The zone "unused" has no temperature and is left out, so that all behind it move up.
  const design::Design train = io::read_design_file(valid / "torsion.json");
  REQUIRE(train.zones == std::vector<std::string>{"gears", "case", "rubber", "sump"});
  const design::TorsionSettings& torsion = *train.torsion;
  const auto zone_of = [&train](const auto& index) {
    return train.zones.at(static_cast<std::size_t>(index));
  };
  CHECK(zone_of(torsion.stations[2].bodies[0].solid->zone) == "gears");
  CHECK(zone_of(std::get<design::Cylinder>(torsion.segments[1].build).solid->zone) == "case");
  CHECK(zone_of(torsion.gears[3].elastomer->solid->zone) == "rubber");
  CHECK(zone_of(*torsion.gears[3].elastomer->zone) == "rubber");
  CHECK(zone_of(*torsion.dampers[1].elastomer->zone) == "rubber");
  CHECK_FALSE(torsion.dampers[2].elastomer->zone);
  CHECK(zone_of(torsion.oil->zone) == "sump");
}

TEST_CASE("Meshes answer as the file says", "[io]") {
  const std::vector<design::MeshDynamics>& meshes = settings_of_file().meshes;
  REQUIRE(meshes.size() == 2);
  CHECK(meshes[0].mesh == 1);
  CHECK(meshes[0].stiffness->value() == 300e6);
  CHECK(meshes[0].damping_ratio == 0.05);
  CHECK(meshes[0].least_load_per_width_in_newton_per_mm == 10.0);
  REQUIRE(meshes[0].transmission_error.size() == 2);
  CHECK(meshes[0].transmission_error[0].harmonic == 1);
  CHECK(meshes[0].transmission_error[0].amplitude.value() == 1.5e-6);
  CHECK_THAT(meshes[0].transmission_error[0].phase.value(), WithinRel(90.0 * degree, rounding));
  CHECK(meshes[0].transmission_error[1].harmonic == 2);
  CHECK(meshes[0].transmission_error[1].phase.value() == 0.0);
  CHECK(meshes[1].mesh == 0);
  CHECK_FALSE(meshes[1].stiffness);
  CHECK(meshes[1].web_1->thickness.value() == 0.006);
  CHECK(meshes[1].web_1->rim.value() == 0.008);
  CHECK(meshes[1].web_2->thickness.value() == 0.007);
  CHECK(meshes[1].web_2->rim.value() == 0.009);
  CHECK_THAT(meshes[1].least_load_per_width_in_newton_per_mm, WithinRel(20.0, rounding));
  CHECK(meshes[1].damping_ratio == 0.0);
}

TEST_CASE("Dampers are those of the file", "[io]") {
  const std::vector<design::Damper>& dampers = settings_of_file().dampers;
  REQUIRE(dampers.size() == 4);
  CHECK(dampers[0].id == "viscous wheel");
  CHECK(dampers[0].station == 1);
  CHECK(dampers[0].inertia.value() == 0.02);
  CHECK(dampers[0].viscous->value() == 0.5);
  CHECK_FALSE(dampers[0].elastomer);
  CHECK(dampers[1].station == 5);
  CHECK_FALSE(dampers[1].viscous);
  const design::Elastomer& spring = *dampers[1].elastomer;
  CHECK(spring.stiffness->value() == 3000.0);
  CHECK_FALSE(spring.ring);
  CHECK(spring.dynamic_factor == 1.0);
  CHECK(spring.damping->value() == 0.2);
  REQUIRE(spring.temperature_factor.size() == 2);
  CHECK(spring.temperature_factor[0].first.value() == -30.0);
  CHECK(spring.temperature_factor[0].second == 1.4);
  CHECK(spring.temperature_factor[1].first.value() == 100.0);
  CHECK(spring.temperature_factor[1].second == 0.7);
  const design::Elastomer& hard = *dampers[2].elastomer;
  CHECK(dampers[2].viscous->value() == 0.1);
  CHECK(std::get<lashband::materials::Irhd>(*hard.hardness).degrees == 55.0);
  CHECK(hard.loss_factor == 0.12);
  CHECK(hard.shear_strain_limit == 0.3);
  const design::Elastomer& soft = *dampers[3].elastomer;
  CHECK(soft.shear_modulus->value() == 0.9e6);
  CHECK(soft.solid->material->id() == "NR by hardness");
}

TEST_CASE("Drags are those of the file", "[io]") {
  const design::TorsionSettings& torsion = settings_of_file();
  REQUIRE(torsion.drags.size() == 3);
  CHECK(torsion.drags[0].id == "seal");
  CHECK(torsion.drags[0].station == 4);
  CHECK(std::get<units::Torque>(torsion.drags[0].kind).value() == 0.4);
  CHECK(torsion.drags[1].station == 5);
  CHECK(std::get<units::TorsionalDamping>(torsion.drags[1].kind).value() == 0.01);
  CHECK(torsion.drags[2].station == 2);
  const auto& bearing = std::get<design::Drag::BearingTorque>(torsion.drags[2].kind);
  CHECK(bearing.f_0 == 2.0);
  CHECK(bearing.mean_diameter.value() == 0.06);
  REQUIRE(torsion.oil);
  CHECK(torsion.oil->viscosity.range().low.value() == 40.0);
  CHECK(torsion.oil->viscosity.range().high.value() == 100.0);
}

TEST_CASE("Torques are those of the file", "[io]") {
  const std::vector<design::ShaftTorque>& torques = settings_of_file().torques;
  REQUIRE(torques.size() == 2);
  CHECK(torques[0].id == "load");
  CHECK(torques[0].station == 4);
  CHECK(torques[0].mean.value() == -30.0);
  CHECK(torques[0].mean_scaling == design::SpeedScaling::proportional);
  CHECK_FALSE(torques[0].crank);
  REQUIRE(torques[0].orders.size() == 2);
  CHECK(torques[0].orders[0].order == 1.0);
  CHECK(torques[0].orders[0].amplitude.value() == 12.0);
  CHECK_THAT(torques[0].orders[0].phase.value(), WithinRel(30.0 * degree, rounding));
  CHECK(torques[0].orders[0].scaling == design::SpeedScaling::squared);
  CHECK(torques[0].orders[1].order == 2.5);
  CHECK(torques[0].orders[1].phase.value() == 0.0);
  CHECK(torques[0].orders[1].scaling == design::SpeedScaling::constant);
  CHECK(torques[1].station == 3);
  CHECK(torques[1].mean.value() == 0.0);
  CHECK(torques[1].orders.empty());
}

TEST_CASE("A crank has its dimensions and the trace of its file", "[io]") {
  const design::CrankMechanism& crank = *settings_of_file().torques[1].crank;
  CHECK(crank.crank_radius.value() == 0.03);
  CHECK(crank.rod_length.value() == 0.11);
  CHECK(crank.offset.value() == -0.002);
  CHECK(crank.reciprocating_mass.value() == 0.6);
  CHECK_THAT(crank.top_dead_centre.value(), WithinRel(90.0 * degree, rounding));
  CHECK(crank.bore->value() == 0.08);
  CHECK(crank.ambient.value() == 101e3);
  CHECK(crank.pressure_file == "../measured/compressor_pressure.csv");
  REQUIRE(crank.pressure);
  CHECK(crank.pressure->revolutions_per_cycle() == 1);
  // 73 rows every 5 deg, of which the last is where the first is.
  REQUIRE(crank.pressure->size() == 72);
  CHECK_THAT(crank.pressure->angles_in_radians()[1], WithinRel(5.0 * degree, rounding));
  CHECK_THAT(crank.pressure->pressures_in_pascals()[1], WithinRel(777.8e3, rounding));
}

TEST_CASE("What the file leaves out has its default", "[io]") {
  const design::Design train = read(with(with(torsion_text(), R"("driver": "input",)", ""),
                                         R"("greatest_order": 12,)", R"("greatest_order": 24,)"));
  CHECK(train.torsion->driver == 1);  // the reference shaft

  const std::string text = torsion_text();
  const std::size_t begin = text.find("\"torsion\"");
  const design::Design least =
      read(text.substr(0, begin) +
           R"("torsion": { "gears": [{ "gear": "gA", "inertia": "1 kg m2" }] } })");
  const design::TorsionSettings& torsion = *least.torsion;
  CHECK(torsion.driver == 1);
  CHECK_FALSE(torsion.sweep);
  CHECK_FALSE(torsion.scaling_speed);
  CHECK(torsion.greatest_order == 24);
  CHECK(torsion.stations.size() == 5);
  CHECK(torsion.segments.empty());
  CHECK_FALSE(torsion.oil);
  CHECK_FALSE(torsion.require.greatest_rattle_index);
  // Only solids keep a zone without a temperature of its own.
  CHECK(least.zones == std::vector<std::string>{"gears", "case", "rubber", "sump"});
}

TEST_CASE("What a crank leaves out has its default", "[io]") {
  const std::string gas = R"("ambient": "101 kPa", "revolutions_per_cycle": 1)";
  const std::string text =
      with(with(with(torsion_text(), ", " + gas, ""), R"("offset": "-2 mm", )", ""),
           R"("top_dead_centre": "90 deg",)", "");
  const design::Design train = read(text);
  const design::CrankMechanism& crank = *train.torsion->torques[1].crank;
  CHECK(crank.offset.value() == 0.0);
  CHECK(crank.top_dead_centre.value() == 0.0);
  CHECK(crank.ambient.value() == 101325.0);
  CHECK(crank.pressure->revolutions_per_cycle() == 1);
}

TEST_CASE("The digest is that of the input and the trace, wherever it is named", "[io]") {
  const std::string text = torsion_text();
  const std::string trace = text_of(data / "measured" / "compressor_pressure.csv");
  const std::string record = text_of(data / "measured" / "cold_start.csv");
  io::Sha256 alone;
  alone.add(text);
  alone.add(trace);
  CHECK(read(text).digest == alone.in_hexadecimal());

  // With a record behind the trace and before it.
  const std::string model =
      R"("torsion": { "greatest_order": 12, "torques": [{ "id": "gas", "station": "A",
    "crank": { "crank_radius": "30 mm", "rod_length": "110 mm", "reciprocating_mass": "0.6 kg", "bore": "80 mm",
      "pressure": "../measured/compressor_pressure.csv" } }], "gears": [{ "gear": "pinion", "inertia": "1 kg m2" }] })";
  const std::string histories =
      R"("histories": [{ "id": "start", "file": "../measured/cold_start.csv" }])";
  const std::string torsion_first = train_with(model + ",\n" + histories);
  io::Sha256 trace_first;
  trace_first.add(torsion_first);
  trace_first.add(trace);
  trace_first.add(record);
  CHECK(read(torsion_first).digest == trace_first.in_hexadecimal());
  const std::string histories_first = train_with(histories + ",\n" + model);
  io::Sha256 record_first;
  record_first.add(histories_first);
  record_first.add(record);
  record_first.add(trace);
  CHECK(read(histories_first).digest == record_first.in_hexadecimal());
}

TEST_CASE("Materials and zones of the torsional model count as used", "[io]") {
  const design::Design train = io::read_design_file(valid / "torsion.json");
  std::vector<std::string> unused;
  for (const design::Note& note : train.notes) {
    if (note.kind == "unused") {
      unused.push_back(note.subject);
    }
  }
  CHECK(unused == std::vector<std::string>{"zone unused", "shaft idle"});
  CHECK(texts_of_notes(train, "not analysed", "torsion").empty());
  CHECK(texts_of_notes(train, "from memory", "drag main bearing").size() == 1);
}

TEST_CASE("Materials must give what the model needs, at the temperatures of their zones", "[io]") {
  const std::string rubber = R"("range": ["-40 degC", "120 degC"], "shear_modulus": "1.1 MPa")";
  check_faults({
      {rubber, R"("range": ["-20 degC", "120 degC"], "shear_modulus": "1.1 MPa")",
       "/conditions/0/zones/rubber: the zone \"rubber\" reaches -25 degC, outside the range of its "
       "material \"NR 60\"; allowed is -20 degC to 120 degC"},
      {R"([["-40 degC", 1.6], ["20 degC", 1], ["120 degC", 0.7]], "shear)",
       R"([["-40 degC", 1.6], ["20 degC", 1], ["90 degC", 0.7]], "shear)",
       "/conditions/1/zones/rubber: the elastomer of gear \"gB\" cannot be used at 95 degC: "
       "material 'NR 60': temperature_factor is asked for at 95 degC, outside its range of -40 "
       "degC "
       "to 90 degC"},
      {R"([["-60 degC", "82 GPa"], ["250 degC", "76 GPa"]])",
       R"([["-60 degC", "82 GPa"], ["80 degC", "76 GPa"]])",
       "/conditions/1/zones/case: the segment \"A end\" to \"A gear seat\" cannot be used at 85 "
       "degC: material 'Steel by shear': shear_modulus is asked for at 85 degC, outside its range "
       "of "
       "-60 degC to 80 degC"},
      {R"("density": "7.8 kg/L")",
       R"("density": [["100 degC", "7.8 kg/L"], ["200 degC", "7.7 kg/L"]])",
       "/torsion/shafts/0/stations/1/bodies/0/material: the body on station \"A gear seat\" needs "
       "a "
       "value at the reference temperature: material 'Steel by shear': density is asked for at 20 "
       "degC, outside its range of 100 degC to 200 degC\n"
       "/torsion/shafts/0/segments/1/material: the segment \"A end\" to \"A gear seat\" needs a "
       "value "
       "at the reference temperature: material 'Steel by shear': density is asked for at 20 degC, "
       "outside its range of 100 degC to 200 degC"},
      {R"("shear_modulus": "1.1 MPa", "loss)",
       R"("shear_modulus": [["30 degC", "1.1 MPa"], ["100 degC", "1 MPa"]], "loss)",
       "/torsion/gears/3/elastomer/material: the elastomer of gear \"gB\" needs a value at the "
       "reference temperature: material 'NR 60': shear_modulus is asked for at 20 degC, outside "
       "its "
       "range of 30 degC to 100 degC"},
  });
}

TEST_CASE("Extrapolation is allowed in the torsional model as elsewhere", "[io]") {
  const std::string text = with(torsion_text(), R"([["-30 degC", 1.4], ["100 degC", 0.7]])",
                                R"([["-20 degC", 1.4], ["100 degC", 0.7]])");
  CHECK(
      problems_of(text) ==
      std::vector<std::string>{"/conditions/0/zones/rubber: the elastomer of damper \"tuned "
                               "wheel\" reaches -25 degC, outside its temperature_factor; allowed "
                               "is -20 degC to 100 degC"});
  io::ReadOptions allowing;
  allowing.extrapolation = lashband::materials::Extrapolation::allow;
  CHECK(read(text, allowing).torsion);
}

TEST_CASE("Oil and elastomers without a material need the temperature of their zone", "[io]") {
  check_faults({
      {R"(, "sump": "90 degC")", "",
       "/conditions/1/zones: the zone \"sump\" has no temperature here; needed is one, since the "
       "oil of the torsional model is in it"},
      {R"("sump": "-10 degC")", R"("sump": "-150 degC")",
       "/conditions/0/zones/sump: the oil of the torsional model cannot be used at -150 degC: the "
       "viscosity of the oil with points at 40 degC and 100 degC would be 3.487350346e+32 mm2/s at "
       "-150 degC, but the line is followed from 0.2 mm2/s to 1e12 mm2/s"},
  });
  const std::string text =
      with(with(with(torsion_text(), R"("zone": "rubber",
        "dynamic)",
                     R"("zone": "unused",
        "dynamic)"),
                R"("material": "NR 60", )", R"("shear_modulus": "1 MPa", )"),
           R"("gears": "-20 degC",)", R"("gears": "-20 degC", "unused": "20 degC",)");
  CHECK(problems_of(text) ==
        std::vector<std::string>{"/conditions/1/zones: the zone \"unused\" has no temperature "
                                 "here; needed is one, since the elastomer of gear \"gB\" is in "
                                 "it"});
}

TEST_CASE("A record of temperatures needs the zones of the torsional model", "[io]") {
  std::string text = train_with(
      R"("histories": [{ "id": "start", "file": "../measured/cold_start.csv" }], "torsion": {
      "gears": [{ "gear": "pinion", "inertia": "1 kg m2" }],
      "oil": { "zone": "sump", "viscosity": [["40 degC", "32 mm2/s"], ["100 degC", "6.4 mm2/s"]] } })");
  text = with(text, R"("zones": ["gears", "case"])", R"("zones": ["gears", "case", "sump"])");
  CHECK(problems_of(text) ==
        std::vector<std::string>{
            "/histories/0: the zone \"sump\" has no column in \"../measured/cold_start.csv\"; "
            "needed is one, since the oil of the torsional model is in it"});
}

TEST_CASE("Every fault of the torsional model is said where it stands", "[io]") {
  check_faults({
      {R"("driver": "input")", R"("driver": "idle")",
       "/torsion/driver: nothing joins the shafts \"idle\" and \"crank A\", which speeds are "
       "referred to; allowed is a shaft that meshes join to it"},
      {R"("shafts": [
      { "shaft": "crank A",)",
       R"("shafts": [ 5,
      { "shaft": "crank A",)",
       "/torsion/shafts/0: read the number 5; allowed is an object with shaft, and inertia and "
       "bodies or stations"},
      {R"("outside_diameter": "150 mm" })", R"("outside_diameter": "120 mm" })",
       "/torsion/gears/2/outside_diameter: read \"120 mm\"; allowed is a diameter above the root "
       "diameter of the gear, 125.0000 mm"},
      {R"("gear": "gR", "outside_diameter")", R"("gear": "gR", "bore")",
       "/torsion/gears/2/bore: read \"bore\" of the gear \"gR\", which is internal; allowed is "
       "\"outside_diameter\" or \"inertia\""},
      {R"("order": 2.5)", R"("order": 1000.5)",
       "/torsion/torques/0/orders/1/order: read the number 1000.5; allowed is an order, a number "
       "above 0 and up to 1000 with no more than four decimals, so that the torque repeats after "
       "10000 revolutions or fewer"},
      {R"("least_load_per_width": "20 N/mm")", R"("least_load_per_width": "20 mm")",
       "/torsion/meshes/1/least_load_per_width: read \"20 mm\" which is a length; a stiffness is "
       "wanted; allowed is a load a width above 0, such as \"10 N/mm\""},
      {R"("elastomer": {
        "stiffness": "3 kN m/rad")",
       R"("elastomer": 3, "elastic": {
        "stiffness": "3 kN m/rad")",
       "/torsion/dampers/1/elastomer: read the number 3; allowed is an elastomer, an object with "
       "stiffness or ring\n"
       "/torsion/dampers/1/elastic: read the key \"elastic\"; allowed are \"id\", \"station\", "
       "\"inertia\", \"viscous\" and \"elastomer\""},
  });
}

TEST_CASE("Orders of up to four decimals are read", "[io]") {
  for (const std::string order : {"0.0001", "0.3333", "3.3333", "999.9999", "1000"}) {
    INFO(order);
    CHECK(read(with(torsion_text(), R"("order": 2.5)", "\"order\": " + order)).torsion);
  }
}

TEST_CASE("Damping is read in its units", "[io]") {
  const auto damping_of = [](const std::string& text) {
    return read(with(torsion_text(), R"("viscous": "0.5 N m s/rad")",
                     "\"viscous\": \"" + text + "\""))
        .torsion->dampers[0]
        .viscous->value();
  };
  CHECK_THAT(damping_of("500 N mm s/rad"), WithinRel(0.5, rounding));
  CHECK_THAT(damping_of("0.5 N m s/deg"), WithinRel(0.5 / degree, rounding));
  CHECK_THAT(damping_of("2 lbf ft s/rad"),
             WithinRel(2.0 * 4.4482216152605 * 0.3048, 2.0 * rounding));
}

TEST_CASE("A torsional model beside an arm is refused at its key", "[io]") {
  const std::vector<std::string> problems = problems_of(with(
      text_of(valid / "planetary.json"), "\"lashband\": 1,", "\"lashband\": 1, \"torsion\": {},"));
  REQUIRE_FALSE(problems.empty());
  CHECK(problems.front() ==
        "/torsion: read \"torsion\" beside a planet arm in \"train\"; a train whose bores turn "
        "with an arm is not modelled in torsion; allowed is one of both");
}
