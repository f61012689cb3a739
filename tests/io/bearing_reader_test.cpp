// Bearings and what is looked up for them and for gears: tests/data/valid/looked_up.json and
// maximal.json. Values of standards are those of their printed tables, named beside each.
#include <cmath>
#include <filesystem>
#include <numbers>
#include <string>
#include <vector>

#include "catch.hpp"
#include "file_text.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/io/input_error.hpp"

namespace {

namespace io = lashband::io;
namespace design = lashband::design;
namespace thermal = lashband::thermal;
namespace units = lashband::units;
using lashband::test::text_of;
using lashband::tolerance::Shape;
using lashband::tolerance::Toleranced;

const std::filesystem::path valid =
    std::filesystem::path(LASHBAND_SOURCE_DIR) / "tests" / "data" / "valid";

/// Tables are in whole or half micrometres; what is left is the conversion to metres.
constexpr double rounding_in_m = 1e-18;
/// Angles in degrees are converted by one multiplication.
constexpr double one_rounding = 1e-15;

void check_um(const Toleranced<units::Length>& value, double low, double high) {
  CHECK_THAT(value.band.low.value(), WithinAbs(1e-6 * low, rounding_in_m));
  CHECK_THAT(value.band.high.value(), WithinAbs(1e-6 * high, rounding_in_m));
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

/// looked_up.json with one piece of text replaced.
std::string looked_up_with(const std::string& old_text, const std::string& new_text) {
  std::string text = text_of(valid / "looked_up.json");
  const std::size_t at = text.find(old_text);
  REQUIRE(at != std::string::npos);
  return text.replace(at, old_text.size(), new_text);
}

design::Design read(const std::string& text) {
  return io::read_design_text(text, "train.json", ".");
}

}  // namespace

TEST_CASE("A bearing with every key is read as it says", "[io]") {
  const design::Design train = io::read_design_file(valid / "maximal.json");
  const design::Shaft& shaft = train.shafts[0];
  CHECK(shaft.solid->material->id() == "Steel of table");
  REQUIRE(shaft.bearings.size() == 2);
  const design::Bearing& fixed = shaft.bearings[0];
  CHECK(fixed.id == "fixed");
  CHECK(fixed.at->value() == -20e-3);
  CHECK(fixed.bore->value() == 30e-3);
  CHECK(fixed.outside_diameter->value() == 62e-3);
  CHECK(fixed.outer_raceway->value() == 54.8e-3);
  CHECK(fixed.inner_raceway->value() == 37.2e-3);
  CHECK(fixed.rings->material->id() == "Steel of table");
  CHECK(fixed.seat_outside->value() == 90e-3);
  CHECK(fixed.shaft_bore.value() == 12e-3);
  CHECK(fixed.inner_excess.value() == 5.0);
  CHECK(fixed.seat->material->id() == "Steel of table");
  const design::Bearing& plain = shaft.bearings[1];
  CHECK(plain.id == "crank A bearing 2");
  CHECK(plain.clearance.shape.kind() == Shape::Kind::triangular);
  CHECK_FALSE(plain.bore);
  CHECK_FALSE(plain.outer_fit);
  CHECK_FALSE(plain.inner_fit);
  CHECK_FALSE(plain.rings);
  CHECK_FALSE(plain.seat);
  CHECK(plain.inner_excess.value() == 0.0);
  CHECK(plain.shaft_bore.value() == 0.0);
  CHECK(train.shafts[2].position_tolerance->value() == 20e-6);
}

TEST_CASE("A preload is read as it says", "[io]") {
  const design::Design train = io::read_design_file(valid / "maximal.json");
  const design::Preload& preload = *train.shafts[1].preload;
  CHECK(preload.travel.value() == 20e-6);
  CHECK_THAT(preload.contact_angle.value(), WithinRel(std::numbers::pi / 12.0, one_rounding));
  CHECK(preload.span.value() == 65e-3);
  CHECK(preload.case_solid.material->id() == "EN AC-43500");
}

TEST_CASE("Classes of fits and clearances become the bands of their standards", "[io]") {
  const design::Design train = io::read_design_file(valid / "looked_up.json");
  const design::Bearing& first = train.shafts[0].bearings[0];
  check_um(first.clearance, 6.0, 20.0);          // ISO 5753-1, normal group, bore 40 mm
  check_um(first.outer_fit->bore, 0.0, 30.0);    // ISO 286-2, H7 at 80 mm
  check_um(first.outer_fit->shaft, -13.0, 0.0);  // ISO 492, normal class, D = 80 mm
  check_um(first.inner_fit->bore, -12.0, 0.0);   // ISO 492, normal class, d = 40 mm
  check_um(first.inner_fit->shaft, 2.0, 13.0);   // ISO 286-2, k5 at 40 mm
  CHECK(first.outer_fit->bore.shape.kind() == Shape::Kind::normal);
  const design::Bearing& second = train.shafts[0].bearings[1];
  check_um(second.clearance, 0.0, 7.0);          // ISO 5753-1, C2, bore 10 mm
  check_um(second.outer_fit->bore, -6.5, 6.5);   // ISO 286-2, JS6 at 30 mm
  check_um(second.inner_fit->shaft, -3.0, 3.0);  // ISO 286-2, js5 at 10 mm
  check_um(second.inner_fit->bore, -8.0, 0.0);   // the file's own
  const design::Bearing& third = train.shafts[1].bearings[0];
  check_um(third.clearance, 30.0, 51.0);                        // ISO 5753-1, C4, bore 50 mm
  check_um(third.inner_fit->shaft, 9.0, 25.0);                  // ISO 286-2, m6 at 50 mm
  check_um(train.shafts[2].bearings[0].clearance, 18.0, 36.0);  // ISO 5753-1, C3, bore 50 mm
}

TEST_CASE("Bearings without a name get one that no other has", "[io]") {
  const design::Design train = io::read_design_file(valid / "looked_up.json");
  CHECK(train.shafts[0].bearings[0].id == "A bearing 1");
  CHECK(train.shafts[0].bearings[1].id == "A bearing 2 (2)");
  CHECK(train.shafts[1].bearings[0].id == "A bearing 2");
  CHECK(train.shafts[2].bearings[0].id == "C bearing 1");
}

TEST_CASE("A thickness allowance of DIN 3967 is that of the reference diameter", "[io]") {
  // DIN 3967, from memory: cd at 60 mm -70 um and series 25 40 um; e at 120 mm -40 um and series
  // 24 25 um.
  const design::Design train = io::read_design_file(valid / "looked_up.json");
  check_um(*train.gears[0].thickness_allowance, -110.0, -70.0);
  check_um(*train.gears[1].thickness_allowance, -65.0, -40.0);
  const Shape& shape = train.gears[1].thickness_allowance->shape;
  CHECK(shape.kind() == Shape::Kind::triangular);
  // -60 um lies a fifth of the way from -65 um to -40 um.
  constexpr double few_roundings = 1e-12;
  CHECK_THAT(shape.mode(), WithinRel(-0.6, few_roundings));
  CHECK(texts_of_notes(train, "from memory", "gear pinion").at(0) ==
        "thickness_allowance cd25 by DIN 3967, from memory, verify before use: [\"-110 um\", "
        "\"-70 um\"]");
}

TEST_CASE("An accuracy class gives what is not given", "[io]") {
  // Formulas of ISO 1328-1:2013 from memory, worked out by hand for m_n = 3 mm, b = 20 mm,
  // d = 60 mm, class 6:
  //   f_ptT = sqrt(2) (0.06 + 1.2 + 5) = 8.85, rounded 9.0 um; times cos 20 deg = 8.457 um
  //   F_rT = 0.9 sqrt(2) (0.12 + 0.55 sqrt(60) + 2.1 + 12) = 23.5, rounded 24 um
  //   F_betaT = sqrt(2) sqrt(5.953^2 + 6.555^2) = 12.5, rounded 13 um
  const design::Design train = io::read_design_file(valid / "looked_up.json");
  const design::Gear& pinion = train.gears[0];
  check_um(*pinion.run_out, 0.0, 24.0);
  check_um(*pinion.pitch_deviation, 0.0, 9.0 * std::cos(std::numbers::pi / 9.0));
  check_um(*pinion.helix_deviation, -13.0, 13.0);
  CHECK(pinion.run_out->shape.kind() == Shape::Kind::truncated_normal);
  CHECK(pinion.helix_deviation->shape.kind() == Shape::Kind::normal);
  CHECK(texts_of_notes(train, "from memory", "gear pinion").at(1) ==
        "accuracy_class 6 by ISO 1328-1, from memory, verify before use: run_out [\"0 um\", \"24 "
        "um\"], pitch_deviation [\"0 um\", \"8.5 um\"], helix_deviation [\"-13 um\", \"13 um\"]");
  check_um(*train.gears[1].run_out, 0.0, 40.0);  // the file's own
  CHECK_THAT(texts_of_notes(train, "from memory", "gear wheel").at(1), !ContainsText("run_out"));
}

TEST_CASE("A class that gives nothing is not looked up", "[io]") {
  // Of gB in maximal.json every deviation but one is given, of gA all: no note.
  const design::Design train = io::read_design_file(valid / "maximal.json");
  CHECK(texts_of_notes(train, "from memory", "gear gA").empty());
}

TEST_CASE("The recommended backlash is that of the technical report", "[io]") {
  // 2/3 (0.06 + 0.0005 * 90 + 0.03 * 3) mm = 0.13 mm: ISO/TR 10064-2, from memory.
  const design::Design train = io::read_design_file(valid / "looked_up.json");
  const design::MeshRequirements& require = train.meshes[0].require;
  CHECK_THAT(require.least_normal_backlash->value(), WithinAbs(130e-6, rounding_in_m));
  CHECK(require.least_normal_from_iso_10064);
  CHECK(require.basis == design::Basis::rss);
  CHECK(texts_of_notes(train, "from memory", "mesh pair") ==
        std::vector<std::string>{"least_normal_backlash by ISO/TR 10064-2, from memory, verify "
                                 "before use: 130 um"});
  const auto scope = texts_of_notes(train, "limits", "mesh pair");
  REQUIRE(scope.size() == 1);
  CHECK_THAT(scope[0], ContainsText("ferrous gears in ferrous housings"));
}

TEST_CASE("What was looked up in a printed table has no note", "[io]") {
  const design::Design train = io::read_design_file(valid / "looked_up.json");
  const auto notes = texts_of_notes(train, "from memory", "bearing A bearing 1");
  // H7 and k5, the clearance and the bore of the ring were seen at these sizes; the raceways and
  // the outside diameter of the ring were not.
  REQUIRE(notes.size() == 2);
  CHECK_THAT(notes[0], ContainsText("raceways estimated"));
  CHECK(notes[1] ==
        "outer ring of normal class by ISO 492 at 80 mm, from memory, verify before use: [\"-13 "
        "um\", \"0 um\"]");
}

TEST_CASE("Position tolerances take the place of the deviation", "[io]") {
  const design::Design train = io::read_design_file(valid / "looked_up.json");
  CHECK(train.shafts[0].position_tolerance->value() == 20e-6);
  CHECK(train.shafts[1].position_tolerance->value() == 25e-6);
  CHECK_FALSE(train.meshes[0].centre_distance_deviation);
  const auto notes = texts_of_notes(train, "not considered", "");
  REQUIRE(notes.size() == 1);
  CHECK_THAT(notes[0], !ContainsText("deviation of the centre distance"));
  CHECK_THAT(notes[0], ContainsText("outer_fit of bearings \"A bearing 2\" and \"C bearing 1\""));
}

TEST_CASE("A group takes the place of the uncertainties of its materials", "[io]") {
  const design::Design train = io::read_design_file(valid / "looked_up.json");
  CHECK_THAT(texts_of_notes(train, "not considered", "").at(0),
             EndsWith("uncertainty of the elongation of material \"EN AC-43500\""));
}

TEST_CASE("A group of which nothing is made is unused", "[io]") {
  const design::Design train = read(looked_up_with(
      "\"expansion_groups\": [",
      "\"expansion_groups\": [{ \"id\": \"idle\", \"materials\": [\"PA66\"], \"uncertainty\": \"9 "
      "%\" }, "));
  CHECK(texts_of_notes(train, "unused", "expansion group idle").size() == 1);
  CHECK(texts_of_notes(train, "unused", "expansion group steels").empty());
}

TEST_CASE("A separation that goes with the force needs one", "[io]") {
  const std::string text = looked_up_with("\"4 um\"", "\"0.02 um/N\"");
  CHECK(texts_of_notes(read(text), "not considered", "mesh pair").size() == 1);
  std::string with_force = text;
  with_force.replace(with_force.find("{ \"id\": \"hot\","), 14,
                     "{ \"id\": \"hot\", \"mesh_force\": { \"pair\": \"0 N\" },");
  const design::Design train = read(with_force);
  CHECK(texts_of_notes(train, "not considered", "mesh pair").empty());
  CHECK(train.conditions[0].mesh_force[0]->value() == 0.0);
  CHECK(io::read_design_file(valid / "looked_up.json").meshes[0].separation->fixed->value() ==
        4e-6);
}

TEST_CASE("A contribution may not be called like another contributor", "[io]") {
  // The tooth thickness of the pinion, which the file tolerances.
  const std::string text = looked_up_with(
      "\"separation\": \"4 um\"",
      "\"contributions\": [{ \"id\": \"E_sn pinion\", \"on\": \"centre_distance\", \"value\": "
      "\"+-1 um\" }]");
  try {
    static_cast<void>(read(text));
    FAIL("the file was accepted");
  } catch (const io::InputErrors& errors) {
    REQUIRE(errors.problems().size() == 1);
    CHECK(errors.problems()[0].pointer == "/meshes/0/contributions/0/id");
    CHECK_THAT(errors.problems()[0].message, ContainsText("which another contributor"));
  }
}

TEST_CASE("Correlations name contributors of the design", "[io]") {
  const design::Design train = read(looked_up_with(
      "\"expansion_groups\"",
      "\"correlations\": [{ \"between\": [\"E_sn wheel\", \"E_sn pinion\"], \"coefficient\": 1 "
      "}],\n  \"expansion_groups\""));
  REQUIRE(train.correlations.size() == 1);
  CHECK(train.correlations[0].first == "E_sn wheel");
}

TEST_CASE("An inner ring warmer than its zone must be known there", "[io]") {
  // The shipped 100Cr6 is known at 110 degC and not 900 K above it.
  const std::string text =
      looked_up_with("\"clearance\": \"CN\"", "\"inner_excess\": \"900 K\", \"clearance\": \"CN\"");
  try {
    static_cast<void>(read(text));
    FAIL("the file was accepted");
  } catch (const io::InputErrors& errors) {
    REQUIRE(errors.problems().size() == 1);
    CHECK(errors.problems()[0].pointer == "/conditions/0/zones/gears");
    CHECK_THAT(errors.problems()[0].message,
               ContainsText("with the inner ring of bearing \"A bearing 1\" at 1010 degC"));
  }
  const io::ReadOptions allow{std::nullopt, lashband::materials::Extrapolation::allow};
  const design::Design train = io::read_design_text(text, "train.json", ".", allow);
  const auto notes = texts_of_notes(train, "extrapolated", "");
  REQUIRE(notes.size() == 1);
  CHECK_THAT(notes[0], ContainsText("inner ring of bearing \"A bearing 1\""));
}
