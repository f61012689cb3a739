// The thermal network and the histories: tests/data/valid/warm_up.json, whose every value is looked
// up here as it stands there, and what becomes of its variations.
#include <cmath>
#include <filesystem>
#include <numbers>
#include <string>
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
namespace heat = lashband::heat;
namespace units = lashband::units;
using Kind = heat::Place::Kind;
using lashband::test::text_of;
using lashband::test::train_with;

const std::filesystem::path data = std::filesystem::path(LASHBAND_SOURCE_DIR) / "tests" / "data";
const std::filesystem::path valid = data / "valid";

/// Units that are no power of ten of the SI unit, and products, are rounded once or twice.
constexpr double rounding = 1e-15;

std::string warm_up() {
  return text_of(valid / "warm_up.json");
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

/// The problems of a text that is refused, one line each.
std::vector<std::string> problems_of(const std::string& text) {
  std::vector<std::string> lines;
  try {
    static_cast<void>(read(text));
  } catch (const io::InputErrors& errors) {
    for (const io::InputProblem& problem : errors.problems()) {
      lines.push_back(io::one_line(problem));
    }
  }
  return lines;
}

const design::NetworkRun& run_of(const design::Design& train, std::size_t history) {
  return std::get<design::NetworkRun>(train.histories.at(history).course);
}

units::Time seconds(double value) {
  return units::Time::from_value(value);
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

TEST_CASE("The network has the bodies and boundaries of the file", "[io]") {
  const design::Design train = io::read_design_file(valid / "warm_up.json");
  REQUIRE(train.thermal_network);
  const heat::Network& network = train.thermal_network->network;

  REQUIRE(network.bodies().size() == 3);
  CHECK(network.bodies()[0].id == "gears");
  const auto& gears = std::get<heat::MassOfMaterial>(network.bodies()[0].capacity);
  CHECK(gears.mass.value() == 2.6);
  CHECK(gears.material->id() == "16MnCr5");
  CHECK(network.bodies()[2].id == "oil");
  CHECK(std::get<units::HeatCapacity>(network.bodies()[2].capacity).value() == 4200.0);
  REQUIRE(network.boundaries().size() == 2);
  CHECK(network.boundaries()[0].id == "ambient");
  CHECK(network.boundaries()[1].id == "coolant");
}

TEST_CASE("The network has the conductances and streams of the file", "[io]") {
  const design::Design train = io::read_design_file(valid / "warm_up.json");
  const auto& conductances = train.thermal_network->network.conductances();
  REQUIRE(conductances.size() == 4);
  CHECK(conductances[0].id == "case to air");
  CHECK(conductances[0].first == heat::Place{Kind::body, 1});
  CHECK(conductances[0].second == heat::Place{Kind::boundary, 0});
  CHECK_THAT(std::get<units::ThermalConductance>(conductances[0].value).value(),
             WithinRel(6.0, rounding));
  CHECK_FALSE(conductances[0].thermostat);
  CHECK(conductances[1].id == "gears to case");
  CHECK(std::get<units::ThermalConductance>(conductances[1].value).value() == 6.0);
  const auto& wall = std::get<heat::ConductingWall>(conductances[2].value);
  CHECK(wall.material->id() == "C45");
  CHECK(wall.area.value() == 1.2e-3);
  CHECK(wall.length.value() == 0.08);
  REQUIRE(conductances[3].thermostat);
  CHECK(conductances[3].thermostat->feels == heat::Place{Kind::boundary, 1});
  REQUIRE(conductances[3].thermostat->points.size() == 2);
  CHECK(conductances[3].thermostat->points[1].temperature.value() == 88.0);
  CHECK(conductances[3].thermostat->points[1].opening == 1.0);

  const auto& streams = train.thermal_network->network.streams();
  REQUIRE(streams.size() == 3);
  CHECK(streams[0].id == "spray");
  CHECK(streams[0].from == heat::Place{Kind::body, 2});
  CHECK(streams[0].to == heat::Place{Kind::body, 0});
  // 0.7 L/min of the network's oil, rho c V.
  CHECK_THAT(streams[0].capacity_rate.value(),
             WithinRel(860.0 * 1950.0 * 0.7e-3 / 60.0, 2.0 * rounding));
  CHECK(streams[1].capacity_rate.value() == 19.565);
  CHECK_THAT(streams[2].capacity_rate.value(),
             WithinRel(1050.0 * 3400.0 * 1e-3 / 60.0, 2.0 * rounding));
  REQUIRE(streams[2].thermostat);
  CHECK(streams[2].thermostat->points.size() == 3);
}

TEST_CASE("The network has the oil and the heat inputs of the file", "[io]") {
  const design::Design train = io::read_design_file(valid / "warm_up.json");
  const design::ThermalNetwork& network = *train.thermal_network;
  REQUIRE(network.oil);
  CHECK(network.oil->body == 2);
  CHECK(network.oil->density.value() == 860.0);
  CHECK(network.oil->viscosity.range().low.value() == 40.0);
  CHECK(network.oil->viscosity.range().high.value() == 100.0);

  REQUIRE(network.sources.size() == 6);
  const auto& windage = std::get<design::GivenPower>(network.sources[0].kind);
  REQUIRE(windage.always);
  CHECK(windage.always->value() == 40.0);
  CHECK_FALSE(std::get<design::GivenPower>(network.sources[1].kind).always);
  CHECK(network.sources[1].body == 1);
  CHECK(network.sources[2].id == "couplings");
  const auto& share = std::get<design::PowerShare>(network.sources[2].kind);
  CHECK(share.shaft == 0);
  CHECK(share.share == 0.012);
  const auto& teeth = std::get<design::MeshLoss>(network.sources[3].kind);
  CHECK(teeth.mesh == 0);
  CHECK(teeth.friction == 0.06);
  const auto& by_formula = std::get<design::MeshLoss>(network.sources[4].kind);
  CHECK(by_formula.shaft == 1);
  CHECK_FALSE(by_formula.friction);
  CHECK(by_formula.roughness.value() == 0.8e-6);
  CHECK(by_formula.lubricant_factor == 0.9);
  const auto& bearings = std::get<design::BearingLoss>(network.sources[5].kind);
  CHECK(bearings.shaft == 0);
  CHECK(bearings.f_0 == 2.0);
  CHECK(bearings.mean_diameter.value() == 0.065);
}

TEST_CASE("A run has start, schedules and cycles of the file", "[io]") {
  const design::Design train = io::read_design_file(valid / "warm_up.json");
  REQUIRE(train.histories.size() == 3);
  CHECK(train.histories[1].id == "cold start");
  CHECK(train.histories[1].interval == seconds(120.0));
  const design::NetworkRun& run = run_of(train, 1);
  REQUIRE(run.start.size() == 3);
  CHECK(run.start[0].value() == -40.0);
  CHECK(run.start[2].value() == -35.0);
  CHECK(run.duration.value() == 7200.0);
  CHECK(run.cycles == 12);
  CHECK_FALSE(run.until_periodic);
  CHECK(run.accuracy.value() == 1e-3);

  REQUIRE(run.boundaries.size() == 2);
  CHECK(run.boundaries[0].before(seconds(3600.0)).value() == -40.0);
  CHECK(run.boundaries[0].at(seconds(3600.0)).value() == -10.0);
  CHECK(run.boundaries[0].at(seconds(7200.0)).value() == 20.0);

  REQUIRE(run.source_power.size() == 6);
  REQUIRE(run.source_power[1]);
  CHECK(run.source_power[1]->at(seconds(1.0)).value() == 5.0);
  CHECK_FALSE(run.source_power[2]);
}

TEST_CASE("Schedules come from columns of a file, in the units of their heads", "[io]") {
  const design::Design train = io::read_design_file(valid / "warm_up.json");
  const design::NetworkRun& run = run_of(train, 1);
  // Line 5 of drive.csv: 10 min, 20.5 degC, pump 1, 1800 rpm, 3.5 kW, fan 40 W.
  const units::Time line_5 = seconds(600.0);
  CHECK(run.boundaries[1].at(line_5).value() == 20.5);
  REQUIRE(run.shaft_speed.size() == 2);
  REQUIRE(run.shaft_speed[0]);
  CHECK_THAT(run.shaft_speed[0]->at(line_5).value(),
             WithinRel(1800.0 * std::numbers::pi / 30.0, rounding));
  REQUIRE(run.shaft_power[1]);
  CHECK(run.shaft_power[1]->at(line_5).value() == 3500.0);
  REQUIRE(run.source_power[0]);
  CHECK(run.source_power[0]->at(line_5).value() == 40.0);

  REQUIRE(run.throttles.size() == 3);
  CHECK(run.throttles[0].of == heat::Throttle::Of::stream);
  CHECK(run.throttles[0].index == 0);
  // Two rows at one minute are a jump.
  CHECK(run.throttles[0].share.before(seconds(60.0)).value() == 0.0);
  CHECK(run.throttles[0].share.at(seconds(60.0)).value() == 0.5);
  CHECK(run.throttles[1].of == heat::Throttle::Of::conductance);
  CHECK(run.throttles[1].index == 2);
  CHECK(run.throttles[1].share.at(line_5).value() == 0.5);
  CHECK(run.throttles[2].index == 3);
  CHECK(run.throttles[2].share.at(line_5).value() == 1.2);
}

TEST_CASE("What a run does not say has its default", "[io]") {
  const design::Design train = io::read_design_file(valid / "warm_up.json");
  const design::NetworkRun& days = run_of(train, 2);
  CHECK(days.accuracy.value() == 1e-4);
  CHECK(days.throttles.empty());
  CHECK_FALSE(train.histories[2].interval);
  REQUIRE(days.until_periodic);
  CHECK(days.until_periodic->value() == 0.1);
  CHECK(days.cycles == 30);
  const std::string text = warm_up();
  CHECK(run_of(read(with(text, "\"cycles\": 30, ", "")), 2).cycles == 1000);
  CHECK(run_of(read(with(text, "\"cycles\": 12, ", "")), 1).cycles == 1);
}

TEST_CASE("A record has its rows by zone, whatever the order of its columns", "[io]") {
  const design::Design train = io::read_design_file(valid / "warm_up.json");
  const auto& record = std::get<design::TemperatureRecord>(train.histories[0].course);
  CHECK(record.file == "../measured/cold_start.csv");
  REQUIRE(record.times.size() == 6);
  CHECK(record.times[2].value() == 180.0);
  REQUIRE(record.rows.size() == 6);
  REQUIRE(train.zones == std::vector<std::string>{"gears", "case"});
  CHECK(record.rows[2].by_zone()[0].value() == -9.25);
  CHECK(record.rows[2].by_zone()[1].value() == -31.0);

  const std::string reversed =
      with(warm_up(), R"(["gears", "case", "sump"])", R"(["case", "gears", "sump"])");
  const design::Design other = read(reversed);
  const auto& same = std::get<design::TemperatureRecord>(other.histories[0].course);
  CHECK(same.rows[2].by_zone()[0].value() == -31.0);
  CHECK(same.rows[2].by_zone()[1].value() == -9.25);
}

TEST_CASE("A zone that nothing is in stays where every history gives its temperature", "[io]") {
  const design::Design left_out = io::read_design_file(valid / "warm_up.json");
  REQUIRE(left_out.thermal_network->zones.size() == 2);
  CHECK(left_out.thermal_network->zones[0] == heat::Place{Kind::body, 0});
  CHECK(left_out.thermal_network->zones[1] == heat::Place{Kind::body, 1});
  CHECK(
      texts_of_notes(left_out, "unused", "zone sump") ==
      std::vector<std::string>{"no solid is in this zone; it is left out, since not every history "
                               "gives its temperature"});

  // The record is what leaves the sump out.
  std::string text = warm_up();
  const std::size_t begin = text.find(R"(    { "id": "measured start")");
  text.erase(begin, text.find('\n', begin) + 1 - begin);
  const design::Design kept = read(text);
  REQUIRE(kept.zones.size() == 3);
  REQUIRE(kept.thermal_network->zones.size() == 3);
  CHECK(kept.thermal_network->zones[2] == heat::Place{Kind::boundary, 1});
}

TEST_CASE("Formulas from memory are noted where they are used", "[io]") {
  const design::Design train = io::read_design_file(valid / "warm_up.json");
  const auto friction = texts_of_notes(train, "from memory", "heat input teeth by formula");
  REQUIRE(friction.size() == 1);
  CHECK_THAT(friction[0], StartsWith("friction coefficient of the teeth by ISO/TR 14179-2, from "
                                     "memory, verify before use: "));
  CHECK_THAT(friction[0], EndsWith("with R_a 0.8 um and X_L 0.9"));
  CHECK(texts_of_notes(train, "from memory", "heat input main bearings").size() == 1);
  CHECK(texts_of_notes(train, "from memory", "heat input teeth").empty());
  CHECK(texts_of_notes(train, "not analysed", "histories").empty());
}

TEST_CASE("The digest is that of the input and its files in the order of the text", "[io]") {
  const std::string cold_start = text_of(data / "measured" / "cold_start.csv");
  const std::string drive = text_of(data / "measured" / "drive.csv");
  const std::string text = warm_up();
  CHECK(read(text).digest == io::sha256_in_hexadecimal(text + cold_start + drive));
  CHECK(io::read_design_file(valid / "warm_up.json").digest == read(text).digest);

  // Now the columns stand before the record.
  const std::string record =
      R"({ "id": "measured start", "file": "../measured/cold_start.csv", "interval": "10 s" },)";
  const std::string later =
      with(with(text, record, ""), R"("until_periodic": "0.1 K" })",
           "\"until_periodic\": \"0.1 K\" },\n" + record.substr(0, record.size() - 1));
  CHECK(read(later).digest == io::sha256_in_hexadecimal(later + drive + cold_start));
}

TEST_CASE("Histories are enough, without conditions and soak", "[io]") {
  const design::Design train =
      read(train_with(R"("histories": [{ "id": "x", "file": "../measured/cold_start.csv" }])"));
  CHECK(train.conditions.empty());
  CHECK_FALSE(train.soak);
  CHECK(train.histories.size() == 1);
  CHECK_FALSE(train.thermal_network);
}

TEST_CASE("A network without histories is read", "[io]") {
  const design::Design train = read(
      train_with(R"("thermal_network": { "bodies": [{ "id": "all of it", "capacity": "9 kJ/K" }] },
                         "soak": { "from": "-40 degC", "to": "120 degC", "points": 9 })"));
  REQUIRE(train.thermal_network);
  CHECK(train.thermal_network->zones.size() == 2);
  CHECK_FALSE(train.thermal_network->zones[0]);
  CHECK_FALSE(train.thermal_network->oil);
  CHECK(train.histories.empty());
}

TEST_CASE("With extrapolation a record beyond a material's range is a note", "[io]") {
  const std::string text =
      train_with(R"("histories": [{ "id": "x", "file": "../measured/too_hot.csv" }])");
  CHECK(problems_of(text).size() == 2);
  io::ReadOptions options;
  options.extrapolation = lashband::materials::Extrapolation::allow;
  const auto notes = texts_of_notes(read(text, options), "extrapolated", "");
  REQUIRE(notes.size() == 2);
  CHECK_THAT(notes[0],
             EndsWith("to 260 degC (history \"x\" (../measured/too_hot.csv, line 4), zone "
                      "\"case\")"));
}

TEST_CASE("Files are looked for from the folder of the input", "[io]") {
  const std::string text = warm_up();
  try {
    static_cast<void>(io::read_design_text(text, "train.json", data / "no such folder"));
    FAIL("the file was accepted");
  } catch (const io::InputErrors& errors) {
    REQUIRE_FALSE(errors.problems().empty());
    CHECK(errors.problems()[0].pointer == "/histories/0/file");
    CHECK(errors.problems()[0].message ==
          "read \"../measured/cold_start.csv\": there is no such file");
  }
  const std::string absolute =
      with(text, "../measured/cold_start.csv", (data / "measured" / "cold_start.csv").string());
  CHECK(read(absolute).histories.size() == 3);
}

TEST_CASE("A problem of a file is told once, whoever names the file", "[io]") {
  CHECK(
      problems_of(train_with(R"("histories": [
          { "id": "x", "file": "../measured/no_level.csv" },
          { "id": "y", "file": "../measured/no_level.csv" }])")) ==
      std::vector<std::string>{"../measured/no_level.csv:1:23: the column case is in mm; needed is "
                               "a temperature level, for instance degC"});
}

TEST_CASE("One input names up to 100 files", "[io]") {
  std::string powers;
  constexpr int files = 101;
  for (int i = 0; i < files; ++i) {
    powers += i == 0 ? "" : ", ";
    powers += "\"input " + std::to_string(i) + R"(": { "file": "none )" + std::to_string(i) +
              R"(.csv", "column": "x" })";
  }
  const auto lines = problems_of(train_with(
      R"("thermal_network": { "bodies": [{ "id": "all of it", "capacity": "9 kJ/K" }], "heat_inputs": [] },
         "histories": [{ "id": "x", "start": { "all": "20 degC" }, "duration": "1 h", "heat": { )" +
      powers + " } }]"));
  std::size_t missing = 0;
  std::size_t beyond = 0;
  for (const std::string& line : lines) {
    const auto says = [&line](const char* text) { return line.find(text) != std::string::npos; };
    missing += says("there is no such file") ? 1U : 0U;
    beyond += says("read \"none 100.csv\", file number 101; allowed are up to 100 files") ? 1U : 0U;
  }
  CHECK(missing == 100);
  CHECK(beyond == 1);
}

TEST_CASE("A start outside a body's specific heat is refused where it stands", "[io]") {
  const std::string text = with(with(warm_up(), R"({ "id": "oil", "capacity": "4.2 kJ/K" })",
                                     R"({ "id": "oil", "mass": "2 kg", "material": "C45" })"),
                                R"("oil": "-35 degC")", R"("oil": "-90 degC")");
  const auto lines = problems_of(text);
  REQUIRE(lines.size() == 1);
  CHECK_THAT(
      lines[0],
      StartsWith("train.json:") &&
          ContainsText("/histories/1/start/oil: the body \"oil\" cannot start at -90 degC: "));
}
