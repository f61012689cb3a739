// What the reader makes of valid files. Expected numbers are those of the files.
#include "lashband/io/design_file.hpp"

#include <algorithm>
#include <filesystem>
#include <iterator>
#include <numbers>
#include <string>
#include <vector>

#include "catch.hpp"
#include "file_text.hpp"
#include "lashband/io/input_error.hpp"
#include "lashband/io/input_schema.hpp"

namespace {

namespace io = lashband::io;
using lashband::test::text_of;
namespace design = lashband::design;
namespace thermal = lashband::thermal;
namespace materials = lashband::materials;

const std::filesystem::path source = LASHBAND_SOURCE_DIR;
const std::filesystem::path valid = source / "tests" / "data" / "valid";

/// tests/data/valid/minimal.json with one piece of text replaced.
std::string minimal_with(const std::string& old_text, const std::string& new_text) {
  std::string text = text_of(valid / "minimal.json");
  const std::size_t at = text.find(old_text);
  REQUIRE(at != std::string::npos);
  return text.replace(at, old_text.size(), new_text);
}

design::Design read(const std::string& text, const io::ReadOptions& options = {}) {
  return io::read_design_text(text, "train.json", ".", options);
}

std::string errors_of(const std::string& text, const io::ReadOptions& options = {}) {
  try {
    static_cast<void>(read(text, options));
  } catch (const io::InputErrors& errors) {
    return errors.what();
  }
  return "accepted";
}

std::vector<design::Note> notes_of_kind(const design::Design& train, const std::string& kind) {
  std::vector<design::Note> notes;
  std::copy_if(train.notes.begin(), train.notes.end(), std::back_inserter(notes),
               [&kind](const design::Note& note) { return note.kind == kind; });
  return notes;
}

constexpr double degree = std::numbers::pi / 180.0;
/// Angles in degrees are converted by one multiplication.
constexpr double one_rounding = 1e-15;

}  // namespace

TEST_CASE("The file with every key is read as it says", "[io]") {
  const design::Design train = io::read_design_file(valid / "maximal.json");
  CHECK(train.title == "Every key, at least once (invented data)");
  CHECK(train.reference_temperature.value() == 20.0);
  CHECK(train.zones == std::vector<std::string>{"gears", "case", "plate", "damper"});
  CHECK(train.carrier_in_use == 2);

  REQUIRE(train.carriers.size() == 9);
  const auto& plain = std::get<thermal::PlainCarrier>(train.carriers[0].build);
  CHECK(train.carriers[0].id == "bores in the case");
  CHECK(plain.solid.material->id() == "EN AC-43500");
  CHECK(plain.solid.zone == thermal::ZoneIndex{1});
  const auto& path = std::get<thermal::PathCarrier>(train.carriers[1].build);
  REQUIRE(path.segments.size() == 2);
  CHECK(path.segments[0].share == 0.6);
  CHECK(path.segments[1].solid.material->id() == "Alloy of pieces");
  CHECK(path.segments[1].solid.zone == thermal::ZoneIndex{2});
  const auto& floating = std::get<thermal::InsertCarrier>(train.carriers[2].build);
  CHECK(floating.locating_span->value() == 0.25);
  CHECK(floating.insert.section->value() == 1.2e-3);
  CHECK_FALSE(floating.insert.stiffness);
  CHECK(floating.case_part.section->value() == 2.6e-3);
  const auto& clearance = std::get<thermal::ClearanceJoint>(floating.joint);
  CHECK(clearance.squeeze->value() == 0.4e-3);
  CHECK_FALSE(clearance.stretch);
  CHECK(clearance.stiffness->value() == 2e9);
  const auto& dowelled = std::get<thermal::InsertCarrier>(train.carriers[3].build);
  CHECK(dowelled.insert.stiffness->value() == 1e9);
  CHECK_FALSE(dowelled.insert.section);
  const auto& both_ways = std::get<thermal::ClearanceJoint>(dowelled.joint);
  CHECK(both_ways.squeeze->value() == 20e-6);
  CHECK(both_ways.stretch->value() == 20e-6);
  CHECK_FALSE(both_ways.stiffness);
  const auto& friction = std::get<thermal::FrictionJoint>(
      std::get<thermal::InsertCarrier>(train.carriers[4].build).joint);
  CHECK(friction.slip_force.value() == 12e3);
  CHECK(friction.stiffness->value() == 5e9);
  CHECK(std::get<thermal::ElasticJoint>(
            std::get<thermal::InsertCarrier>(train.carriers[5].build).joint)
            .stiffness.value() == 2e8);
  const auto& cast_in = std::get<thermal::InsertCarrier>(train.carriers[6].build);
  CHECK(std::holds_alternative<thermal::RigidJoint>(cast_in.joint));
  CHECK_FALSE(cast_in.locating_span);

  REQUIRE(train.shafts.size() == 3);
  CHECK(train.shafts[1].id == "crank B");
  CHECK(train.shafts[1].at->x.value() == 0.106608);
  CHECK(train.shafts[1].at->y.value() == 0.0);

  REQUIRE(train.gears.size() == 2);
  const design::Gear& gear = train.gears[0];
  CHECK(gear.id == "gA");
  CHECK(gear.shaft == 0);
  CHECK(train.gears[1].shaft == 1);
  CHECK(gear.body.teeth() == 41);
  CHECK_FALSE(gear.body.internal());
  CHECK_THAT(gear.tooth_at->value(), WithinRel(12.5 * degree, one_rounding));
  CHECK(gear.body.module().value() == 2.5e-3);
  CHECK_THAT(gear.body.pressure_angle().value(), WithinRel(20.0 * degree, one_rounding));
  CHECK_THAT(gear.body.helix_angle().value(), WithinRel(15.0 * degree, one_rounding));
  CHECK(gear.body.profile_shift() == 0.1);
  CHECK(gear.body.face_width().value() == 18e-3);
  CHECK(gear.body.tip_diameter().value() == 111.4e-3);
  CHECK(gear.body.thickness_allowance().value() == 0.0);
  CHECK(gear.thickness_allowance->band.low.value() == -110e-6);
  CHECK(gear.thickness_allowance->band.high.value() == -70e-6);
  CHECK(gear.at->value() == 10e-3);
  CHECK(gear.tip_diameter_deviation->low.value() == -0.1e-3);
  CHECK(gear.tip_diameter_deviation->high.value() == 0.0);
  CHECK(gear.solid.material->id() == "16MnCr5");
  CHECK(gear.solid.zone == thermal::ZoneIndex{0});

  REQUIRE(train.meshes.size() == 1);
  const design::Mesh& mesh = train.meshes[0];
  CHECK(mesh.id == "A-B");
  CHECK(mesh.gear_1 == 0);
  CHECK(mesh.gear_2 == 1);
  CHECK(mesh.centre_distance.value() == 0.106608);
  CHECK(mesh.centre_distance_deviation->band.low.value() == -15e-6);
  CHECK(mesh.centre_distance_deviation->band.high.value() == 15e-6);
  CHECK(mesh.parallelism->over.value() == 60e-3);
  CHECK_THAT(mesh.run_out_phase->value(), WithinRel(std::numbers::pi, one_rounding));
  CHECK_FALSE(mesh.separation->fixed);
  CHECK(mesh.separation->per_force->value() == 0.02e-6);
  REQUIRE(mesh.own_terms.size() == 2);
  CHECK(mesh.own_terms[0].id == "shim");
  CHECK(mesh.own_terms[0].on == design::OwnTerm::On::centre_distance);
  CHECK(mesh.own_terms[0].value.band.high.value() == 5e-6);
  CHECK(mesh.own_terms[1].on == design::OwnTerm::On::normal_backlash);
  CHECK(mesh.own_terms[1].value.band.low.value() == -12e-6);
  CHECK(mesh.require.least_backlash->value() == 30e-6);
  CHECK(mesh.require.greatest_backlash->value() == 260e-6);
  CHECK(mesh.require.least_normal_backlash->value() == 20e-6);
  CHECK(mesh.require.greatest_normal_backlash->value() == 250e-6);
  CHECK(mesh.require.least_tip_clearance->value() == 0.3e-3);
  CHECK(*mesh.require.least_contact_ratio == 1.2);
  CHECK(mesh.require.minimum_running_gap->value() == 5e-6);
  CHECK(mesh.require.basis == design::Basis::percentile);
  CHECK_FALSE(mesh.require.least_normal_from_iso_10064);

  REQUIRE(train.conditions.size() == 2);
  CHECK(train.conditions[0].id == "cold soak");
  for (std::size_t zone = 0; zone < 4; ++zone) {
    CHECK(train.conditions[0].temperatures.of(thermal::ZoneIndex{zone}).value() == -40.0);
  }
  // Crank B is the reference; the idle shaft is in no mesh with it.
  CHECK_THAT(train.conditions[0].speed->value(), WithinRel(-30.0 * std::numbers::pi, one_rounding));
  REQUIRE(train.conditions[0].speeds.size() == 2);
  CHECK(train.conditions[0].speeds[0].shaft == 1);
  CHECK(train.conditions[0].speeds[0].speed == *train.conditions[0].speed);
  CHECK(train.conditions[0].speeds[1].shaft == 2);
  CHECK_THAT(train.conditions[0].speeds[1].speed.value(),
             WithinRel(-2.0 * std::numbers::pi, one_rounding));
  CHECK(train.conditions[0].mesh_force.empty());
  REQUIRE(train.conditions[1].mesh_force.size() == 1);
  CHECK(train.conditions[1].mesh_force[0]->value() == 1200.0);
  CHECK(train.conditions[1].temperatures.of(thermal::ZoneIndex{2}).value() == 108.0);
  CHECK_THAT(train.conditions[1].speed->value(), WithinRel(60.0 * std::numbers::pi, one_rounding));
  REQUIRE(train.conditions[1].speeds.size() == 1);
  CHECK(train.conditions[1].speeds[0].shaft == 1);

  CHECK(train.train.reference == 1);
  REQUIRE(train.train.lost_motion.size() == 2);
  CHECK(train.train.lost_motion[0].basis == design::Basis::rss);
  CHECK_THAT(train.train.lost_motion[0].greatest->value(), WithinRel(0.5 * degree, one_rounding));
  REQUIRE(train.excitations.size() == 2);
  CHECK(train.excitations[1].id == "vanes");
  REQUIRE(train.soak);
  CHECK(train.soak->from.value() == -40.0);
  CHECK(train.soak->to.value() == 120.0);
  CHECK(train.soak->points == 33);
}

TEST_CASE("What is left out takes its default", "[io]") {
  const design::Design train = io::read_design_file(valid / "minimal.json");
  CHECK(train.title.empty());
  CHECK(train.reference_temperature.value() == 20.0);
  CHECK(train.carrier_in_use == 0);
  CHECK(train.conditions.empty());
  CHECK_FALSE(train.shafts[0].at);
  const design::Gear& gear = train.gears[0];
  CHECK(gear.body.helix_angle().value() == 0.0);
  CHECK(gear.body.profile_shift() == 0.0);
  CHECK_FALSE(gear.thickness_allowance);
  CHECK_FALSE(gear.at);
  CHECK_FALSE(gear.run_out);
  CHECK_FALSE(gear.pitch_deviation);
  CHECK_FALSE(gear.helix_deviation);
  CHECK_FALSE(gear.tip_diameter_deviation);
  CHECK_FALSE(gear.solid.permanent_strain);
  CHECK_FALSE(gear.solid.moisture_strain);
  CHECK(train.shafts[0].bearings.empty());
  CHECK_FALSE(train.shafts[0].preload);
  CHECK_FALSE(train.shafts[0].solid);
  CHECK_FALSE(train.shafts[0].position_tolerance);
  CHECK(train.expansion_groups.empty());
  CHECK(train.correlations.empty());
  CHECK_FALSE(train.meshes[0].parallelism);
  CHECK_FALSE(train.meshes[0].run_out_phase);
  CHECK_FALSE(train.meshes[0].wear);
  CHECK_FALSE(train.meshes[0].separation);
  CHECK(train.meshes[0].own_terms.empty());
  // Profile A of ISO 53: addendum 1, dedendum 1.25; d = 40 mm, so d_a = 44 mm and d_f = 35 mm.
  CHECK_THAT(gear.body.tip_diameter().value(), WithinRel(44e-3, one_rounding));
  CHECK_THAT(gear.body.root_diameter().value(), WithinRel(35e-3, one_rounding));
  CHECK_FALSE(train.meshes[0].centre_distance_deviation);
  CHECK_FALSE(train.meshes[0].require.least_backlash);
  CHECK(train.meshes[0].require.basis == design::Basis::worst_case);
}

TEST_CASE("The basic rack replaces its defaults one by one", "[io]") {
  const design::Design train =
      read(minimal_with("\"teeth\": 20,", "\"teeth\": 20, \"basic_rack\": { \"dedendum\": 1.4 },"));
  CHECK_THAT(train.gears[0].body.root_diameter().value(), WithinRel(34.4e-3, one_rounding));
  CHECK_THAT(train.gears[0].body.tip_diameter().value(), WithinRel(44e-3, one_rounding));
}

TEST_CASE("The digest is the SHA-256 of the bytes", "[io]") {
  // From sha256sum of GNU coreutils on tests/data/valid/minimal.json, and on the same with CRLF.
  CHECK(io::read_design_file(valid / "minimal.json").digest ==
        "7c7338a985c5470208830c1cdc2834bdb74904cf24f346a873ee6fde679c5983");
  std::string crlf;
  for (const char c : text_of(valid / "minimal.json")) {
    crlf += c == '\n' ? std::string("\r\n") : std::string(1, c);
  }
  CHECK(read(crlf).digest == "39d9c79a07e330e57dcf276a1f4ed4161000e23b10c15b04a00b4bd8198d3b6f");
}

TEST_CASE("Comments, byte order mark, line ends and any script are read", "[io]") {
  const std::string minimal = text_of(valid / "minimal.json");
  CHECK(errors_of("\xEF\xBB\xBF" + minimal) == "accepted");
  CHECK(errors_of("// first\n" + minimal + "/* last */") == "accepted");
  const design::Design train = io::read_design_file(valid / "any_script.json");
  CHECK(train.shafts[0].id == "Welle \u00c4 \u2744");
  CHECK(train.gears[1].id == "\u6b6f\u8eca \U0001F6E0");
  CHECK(train.gears[1].shaft == 1);
}

TEST_CASE("The centre distance follows from the places of the shafts", "[io]") {
  const std::string places =
      "{ \"id\": \"A\", \"at\": [\"10 mm\", \"-5 mm\"] }, { \"id\": \"B\", \"at\": [\"46 mm\", "
      "\"43 mm\"] }";
  std::string text = minimal_with("{ \"id\": \"A\" }, { \"id\": \"B\" }", places);
  SECTION("given too, it is taken as given") {
    CHECK(read(text).meshes[0].centre_distance.value() == 0.06);
  }
  SECTION("left out") {
    const std::string given = ", \"centre_distance\": { \"nominal\": \"60 mm\" }";
    text.replace(text.find(given), given.size(), "");
    CHECK_THAT(read(text).meshes[0].centre_distance.value(), WithinRel(0.06, one_rounding));
  }
  SECTION("with only a deviation") {
    text.replace(text.find("\"nominal\": \"60 mm\""), 18, "\"deviation\": \"+-9 um\"");
    const design::Design train = read(text);
    CHECK_THAT(train.meshes[0].centre_distance.value(), WithinRel(0.06, one_rounding));
    CHECK(train.meshes[0].centre_distance_deviation->band.high.value() == 9e-6);
  }
  SECTION("within a micrometre the given one holds, beyond it the two disagree") {
    text.replace(text.find("\"60 mm\""), 7, "\"60.0009 mm\"");
    CHECK(read(text).meshes[0].centre_distance.value() == 0.0600009);
    text.replace(text.find("\"60.0009 mm\""), 12, "\"60.0011 mm\"");
    CHECK_THAT(errors_of(text), ContainsText("60.0000 mm apart"));
  }
}

TEST_CASE("the zone name all gives every zone its temperature and the others override it", "[io]") {
  const std::string text = text_of(valid / "maximal.json");
  std::string changed = text;
  changed.replace(changed.find("{ \"all\": \"-40 degC\" }"), 21,
                  "{ \"case\": \"-20 degC\", \"all\": \"-40 degC\" }");
  const design::Design train = read(changed);
  CHECK(train.conditions[0].temperatures.of(thermal::ZoneIndex{1}).value() == -20.0);
  CHECK(train.conditions[0].temperatures.of(thermal::ZoneIndex{0}).value() == -40.0);
}

TEST_CASE("A zone that nothing is in and a condition leaves out is left out", "[io]") {
  std::string text =
      minimal_with("[\"all solids\"]", "[\"spare\", \"all solids\", \"spare, too\"]");
  text.replace(text.find("  \"soak\""), 0,
               "  \"conditions\": [{ \"id\": \"c\", \"zones\": { \"all solids\": \"30 degC\", "
               "\"spare, too\": \"40 degC\" } }],\n");
  const design::Design train = read(text);
  CHECK(train.zones == std::vector<std::string>{"all solids", "spare, too"});
  CHECK(train.gears[0].solid.zone == thermal::ZoneIndex{0});
  CHECK(std::get<thermal::PlainCarrier>(train.carriers[0].build).solid.zone ==
        thermal::ZoneIndex{0});
  CHECK(train.conditions[0].temperatures.by_zone().size() == 2);
  CHECK(train.conditions[0].temperatures.of(thermal::ZoneIndex{1}).value() == 40.0);
  const auto notes = notes_of_kind(train, "unused");
  REQUIRE(notes.size() == 2);
  CHECK(notes[0].subject == "zone spare");
  CHECK_THAT(notes[0].text, ContainsText("left out"));
  CHECK(notes[1].subject == "zone spare, too");
  CHECK(notes[1].text == "no solid is in this zone");
}

TEST_CASE("Zones and solids of the whole design are renumbered together", "[io]") {
  std::string text = text_of(valid / "maximal.json");
  text.replace(text.find("\"zones\": [\"gears\""), 17, "\"zones\": [\"spare\", \"gears\"");
  text.replace(text.find("{ \"all\": \"-40 degC\" }"), 21,
               "{ \"gears\": \"-40 degC\", \"case\": \"-40 degC\", \"plate\": \"-40 degC\", "
               "\"damper\": \"-40 degC\" }");
  const design::Design train = read(text);
  CHECK(train.zones == std::vector<std::string>{"gears", "case", "plate", "damper"});
  for (const thermal::Carrier& carrier : train.carriers) {
    for (const thermal::Solid& solid : thermal::solids_of(carrier)) {
      const bool plate =
          solid.material->id() == "Plate of mean" || solid.material->id() == "Alloy of pieces";
      CHECK(solid.zone == thermal::ZoneIndex{plate ? 2U : 1U});
    }
  }
  for (const design::Gear& gear : train.gears) {
    CHECK(gear.solid.zone == thermal::ZoneIndex{0});
  }
  const design::Bearing& bearing = train.shafts[0].bearings[0];
  CHECK(train.shafts[0].solid->zone == thermal::ZoneIndex{0});
  CHECK(bearing.rings->zone == thermal::ZoneIndex{0});
  CHECK(bearing.seat->zone == thermal::ZoneIndex{2});
  CHECK(train.shafts[1].preload->case_solid.zone == thermal::ZoneIndex{1});
}

TEST_CASE("One note lists what is not considered", "[io]") {
  const design::Design train = io::read_design_file(valid / "minimal.json");
  REQUIRE(train.notes.size() == 1);
  CHECK(train.notes[0].kind == "not considered");
  CHECK(train.notes[0].subject.empty());
  CHECK(train.notes[0].text ==
        "what the file does not give adds nothing to the bands: thickness_allowance of gears "
        "\"pinion\" and \"wheel\"; deviation of the centre distance of mesh \"pair\"; "
        "axis_parallelism of mesh \"pair\"; bearing clearance of shafts \"A\" and \"B\"; "
        "accuracy_class (run-out, pitch and helix deviations) "
        "of gears \"pinion\" and \"wheel\"; uncertainty of the elongation of materials "
        "\"EN AC-43500\", \"16MnCr5\" and \"C45\"");
}

TEST_CASE("Notes say what was read and is not used", "[io]") {
  const design::Design train = io::read_design_file(valid / "maximal.json");
  const auto sections = notes_of_kind(train, "not analysed");
  REQUIRE(sections.size() == 2);
  CHECK(sections[0].subject == "inertia");
  CHECK(sections[1].subject == "dampers");
  const auto unused = notes_of_kind(train, "unused");
  REQUIRE(unused.size() == 4);
  CHECK(unused[3].subject == "shaft idle");
  CHECK(unused[0].subject == "zone damper");
  CHECK(unused[1].subject == "material Rubber");
  CHECK(unused[2].subject == "material Other rubber");
}

TEST_CASE("Gears without a mesh and shafts without a gear are unused", "[io]") {
  std::string text = minimal_with(
      "{ \"id\": \"wheel\"",
      "{ \"id\": \"idle\", \"shaft\": \"A\", \"teeth\": 30, \"module\": \"2 mm\", "
      "\"pressure_angle\": "
      "\"20 deg\", \"face_width\": \"20 mm\", \"material\": \"C45\", \"zone\": \"all solids\" }, "
      "{ \"id\": \"wheel\"");
  text.replace(text.find("{ \"id\": \"B\" }"), 13, "{ \"id\": \"B\" }, { \"id\": \"C\" }");
  const auto notes = notes_of_kind(read(text), "unused");
  REQUIRE(notes.size() == 2);
  CHECK(notes[0].subject == "gear idle");
  CHECK(notes[1].subject == "shaft C");
}

TEST_CASE("Every basis is read", "[io]") {
  using design::Basis;
  const auto [word, basis] =
      GENERATE(table<std::string, Basis>({{"worst_case", Basis::worst_case},
                                          {"nominal", Basis::nominal},
                                          {"rss", Basis::rss},
                                          {"percentile", Basis::percentile}}));
  const design::Design train = read(
      minimal_with("{ \"nominal\": \"60 mm\" }",
                   "{ \"nominal\": \"60 mm\" }, \"require\": { \"basis\": \"" + word + "\" }"));
  CHECK(train.meshes[0].require.basis == basis);
  CHECK(notes_of_kind(train, "basis").empty());
}

TEST_CASE("A gear of polyamide has a note on moisture", "[io]") {
  const std::string own =
      "\"materials\": [{ \"id\": \"PA of test\", \"family\": \"polyamide\", \"range\": [\"-50 "
      "degC\", "
      "\"130 degC\"], \"elongation\": { \"mean_coefficient\": \"90e-6 1/K\" } }],\n  \"carriers\"";
  std::string text = minimal_with("\"carriers\"", own);
  CHECK(notes_of_kind(read(text), "moisture").empty());
  text.replace(text.find("\"16MnCr5\""), 9, "\"PA of test\"");
  const auto notes = notes_of_kind(read(text), "moisture");
  REQUIRE(notes.size() == 1);
  CHECK(notes[0].subject == "gear pinion");
  CHECK_THAT(notes[0].text, ContainsText("PA of test"));
  text.replace(text.find("\"PA of test\", \"zone\""), 20,
               "\"PA of test\", \"moisture_strain\": [\"0.2 %\", \"0.5 %\"], \"zone\"");
  CHECK(notes_of_kind(read(text), "moisture").empty());
}

TEST_CASE("A gear of the shipped polyamide has the note too", "[io]") {
  // It did not while the record called its family a plastic.
  std::string text = minimal_with("", "");
  text.replace(text.find("\"16MnCr5\""), 9, "\"PA66\"");
  const io::ReadOptions allow{std::nullopt, materials::Extrapolation::allow};
  CHECK(notes_of_kind(read(text, allow), "moisture").size() == 1);
}

TEST_CASE("Temperatures beyond a material's range are an error, or a note if allowed", "[io]") {
  const std::string text = minimal_with("\"120 degC\"", "\"210 degC\"");
  CHECK_THAT(errors_of(text), ContainsText("outside the range of its material \"EN AC-43500\""));
  const io::ReadOptions allow{std::nullopt, materials::Extrapolation::allow};
  const auto notes = notes_of_kind(read(text, allow), "extrapolated");
  REQUIRE(notes.size() == 1);
  CHECK(
      notes[0].text ==
      "material \"EN AC-43500\" is extrapolated from -60 degC to 200 degC to 210 degC (soak, zone "
      "\"all solids\")");
}

TEST_CASE("The reference temperature may be extrapolated to as well", "[io]") {
  const std::string text =
      minimal_with("\"lashband\": 1,", "\"lashband\": 1, \"reference_temperature\": \"-70 degC\",");
  CHECK_THAT(errors_of(text), ContainsText("is not known at the reference temperature, -70 degC"));
  const io::ReadOptions allow{std::nullopt, materials::Extrapolation::allow};
  const auto notes = notes_of_kind(read(text, allow), "extrapolated");
  REQUIRE(notes.size() == 2);
  CHECK(notes[0].text ==
        "material \"EN AC-43500\" is extrapolated from -60 degC to 200 degC to -70 degC (reference "
        "temperature)");
  CHECK_THAT(notes[1].text, ContainsText("\"C45\""));
}

TEST_CASE("Young's modulus must be known wherever a section is used", "[io]") {
  // E given from 0 degC on, elongation from -60 degC on.
  std::string text = text_of(valid / "maximal.json");
  text.replace(text.find("\"youngs_modulus\": \"208 GPa\""), 27,
               "\"youngs_modulus\": [[\"0 degC\", \"210 GPa\"], [\"200 degC\", \"200 GPa\"]]");
  const std::string errors = errors_of(text);
  CHECK_THAT(errors, ContainsText("/conditions/0/zones/all"));
  CHECK_THAT(errors,
             ContainsText("insert of carrier \"floating plate\" cannot be used at -40 degC"));
  CHECK_THAT(errors, ContainsText("youngs_modulus"));
}

TEST_CASE("The ends of material ranges may be reached", "[io]") {
  std::string text = minimal_with("\"-40 degC\"", "\"-60 degC\"");
  text.replace(text.find("\"120 degC\""), 10, "\"392 degF\"");
  CHECK(errors_of(text) == "accepted");
}

TEST_CASE("Own materials are used and cannot be mistaken", "[io]") {
  const std::string own =
      "\"materials\": [{ \"id\": \"Steel X\", \"family\": \"steel\", \"range\": [\"-50 degC\", "
      "\"130 degC\"], \"elongation\": { \"mean_coefficient\": \"12e-6 1/K\" } }],\n  \"carriers\"";
  std::string text = minimal_with("\"carriers\"", own);
  text.replace(text.find("\"16MnCr5\""), 9, "\"Steel X\"");
  const design::Design train = read(text);
  const materials::Material& material = *train.gears[0].solid.material;
  CHECK(material.id() == "Steel X");
  CHECK(material.source("elongation") == "given in train.json without a source");
  // 12e-6 1/K over 60 K.
  CHECK_THAT(material.elongation().eps20(lashband::units::celsius(80.0)).value(),
             WithinRel(720e-6, one_rounding));
  text.replace(text.find("\"material\": \"Steel X\""), 21, "\"material\": \"steel X\"");
  CHECK_THAT(errors_of(text), ContainsText("the nearest is \"Steel X\"; allowed are the shipped "
                                           "materials, which `lashband materials` lists, and "
                                           "\"Steel X\""));
}

TEST_CASE("A list with an entry of unknown name hides no reference behind it", "[io]") {
  // The shaft without a readable name may be the one that is meant, so the reference is not
  // refused.
  const std::string errors = errors_of(minimal_with("{ \"id\": \"B\" }", "{ \"id\": 5 }"));
  CHECK(errors == "train.json:5:37: /shafts/1/id: read the number 5; allowed is the shaft's name");
}

TEST_CASE("A file of another version is not read further", "[io]") {
  CHECK(errors_of("{ \"lashband\": 3, \"gears\": 5 }") ==
        "train.json:1:15: /lashband: read the number 3; allowed is 1, the version of this format");
}

TEST_CASE("Every example is read", "[io]") {
  std::size_t count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(source / "examples")) {
    const auto file = entry.path() / "train.json";
    if (std::filesystem::exists(file)) {
      INFO(file.string());
      CHECK_NOTHROW(io::read_design_file(file));
      ++count;
    }
  }
  CHECK(count > 0);
}

TEST_CASE("The files in docs/input-format.md are read", "[io]") {
  const std::string page = text_of(source / "docs" / "input-format.md");
  const std::string fence = "```jsonc\n";
  std::size_t count = 0;
  for (std::size_t begin = page.find(fence); begin != std::string::npos;
       begin = page.find(fence, begin)) {
    begin += fence.size();
    CHECK(errors_of(page.substr(begin, page.find("```", begin) - begin)) == "accepted");
    ++count;
  }
  CHECK(count == 5);
}

TEST_CASE("The schema is the file of the source folder", "[io]") {
  CHECK(io::input_schema() ==
        text_of(source / "lib" / "src" / "io" / "schema" / "input.schema.json"));
}
