// The train as a whole: ring gears, speeds by shaft, the planet arm, loops. Expected numbers are
// those of the files, or worked out beside them.
#include <chrono>
#include <filesystem>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "catch.hpp"
#include "file_text.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/io/input_error.hpp"
#include "lashband/limits/din_3967.hpp"
#include "lashband/units/parse.hpp"

namespace {

namespace io = lashband::io;
namespace design = lashband::design;
namespace units = lashband::units;
using lashband::test::text_of;

const std::filesystem::path valid =
    std::filesystem::path(LASHBAND_SOURCE_DIR) / "tests" / "data" / "valid";

constexpr double degree = std::numbers::pi / 180.0;
constexpr double rpm = std::numbers::pi / 30.0;
/// A unit read and one quotient of tooth numbers: some roundings.
constexpr double rounding = 1e-15;

design::Design read(const std::string& text) {
  return io::read_design_text(text, "train.json", ".");
}

std::string errors_of(const std::string& text) {
  try {
    static_cast<void>(read(text));
  } catch (const io::InputErrors& errors) {
    return errors.what();
  }
  return "accepted";
}

std::string with(std::string text, const std::string& old_text, const std::string& new_text) {
  const std::size_t at = text.find(old_text);
  REQUIRE(at != std::string::npos);
  return text.replace(at, old_text.size(), new_text);
}

/// A compound train as text: each gear with its shaft and teeth, meshes by the numbers of gears.
struct MadeTrain {
  struct Gear {
    std::size_t shaft;
    int teeth;
  };
  std::size_t shafts = 0;
  std::vector<Gear> gears;
  std::vector<std::pair<std::size_t, std::size_t>> meshes;
  std::string speed = R"("100 rpm")";

  [[nodiscard]] std::string text() const {
    std::string result =
        R"({ "lashband": 1, "zones": ["z"], "carriers": [{ "id": "c", "kind": "plain", )"
        R"("material": "EN AC-43500", "zone": "z" }], "shafts": [)";
    for (std::size_t i = 0; i < shafts; ++i) {
      result += (i == 0 ? "" : ", ");
      result += R"({ "id": "s)" + std::to_string(i) + R"(" })";
    }
    result += R"(], "gears": [)";
    for (std::size_t i = 0; i < gears.size(); ++i) {
      result += (i == 0 ? "" : ", ");
      result += R"({ "id": "g)" + std::to_string(i) + R"(", "shaft": "s)";
      result += std::to_string(gears[i].shaft) + R"(", "teeth": )" + std::to_string(gears[i].teeth);
      result += R"(, "module": "1 mm", "pressure_angle": "20 deg", "face_width": "9 mm", )"
                R"("material": "C45", "zone": "z" })";
    }
    result += R"(], "meshes": [)";
    for (std::size_t i = 0; i < meshes.size(); ++i) {
      const int sum = gears[meshes[i].first].teeth + gears[meshes[i].second].teeth;
      result += (i == 0 ? "" : ", ");
      result += R"({ "id": "m)" + std::to_string(i) + R"(", "gears": ["g)";
      result += std::to_string(meshes[i].first) + R"(", "g)" + std::to_string(meshes[i].second);
      result += R"("], "centre_distance": { "nominal": ")" + std::to_string(sum) + R"( mm" } })";
    }
    return result + R"(], "conditions": [{ "id": "c", "zones": { "all": "20 degC" }, "speed": )" +
           speed + " }] }";
  }
};

}  // namespace

TEST_CASE("A planetary stage is read", "[io]") {
  const design::Design train = io::read_design_file(valid / "planetary.json");
  REQUIRE(train.gears.size() == 5);
  CHECK_FALSE(train.gears[0].body.internal());
  const lashband::geometry::ToothedBody& ring = train.gears[4].body;
  CHECK(ring.internal());
  CHECK(ring.teeth() == 60);
  CHECK(ring.profile_shift() == 0.05);
  CHECK(ring.tip_diameter().value() == 0.118);
  CHECK(train.gears[4].tip_diameter_deviation->high.value() == 0.1e-3);
  // A ring gear is looked up by the magnitude of its reference diameter.
  const auto allowance =
      lashband::limits::thickness_allowance("cd", 25, units::parse<units::Length>("121.851 mm"));
  CHECK(train.gears[4].thickness_allowance->band.low == allowance.low);
  CHECK(train.gears[4].thickness_allowance->band.high == allowance.high);
  CHECK(train.gears[4].run_out);

  CHECK_THAT(train.gears[0].tooth_at->value(), WithinRel(7.5 * degree, rounding));
  CHECK_FALSE(train.gears[1].tooth_at);

  CHECK(train.shafts[0].axial_float->band.low.value() == 0.2e-3);
  CHECK(train.shafts[0].axial_float->band.high.value() == 0.2e-3);
  CHECK(train.shafts[1].axial_float->shape.kind() == lashband::tolerance::Shape::Kind::triangular);
  CHECK(train.shafts[2].axial_float->band.low.value() == 0.1e-3);
  CHECK(train.shafts[2].axial_float->band.high.value() == 0.3e-3);
  CHECK(train.shafts[3].axial_float->band.high.value() == 0.0);
  CHECK_FALSE(train.shafts[4].axial_float);

  CHECK(train.train.reference == 0);
  CHECK(train.train.reference_given);
  REQUIRE(train.train.arm);
  CHECK(train.train.arm->id == "arm");
  CHECK(train.train.arm->held == 4);
  REQUIRE(train.train.lost_motion.size() == 1);
  CHECK(train.train.lost_motion[0].of == 4);
  CHECK(train.train.lost_motion[0].held == 0);
  CHECK_THAT(train.train.lost_motion[0].greatest->value(), WithinRel(0.2 * degree, rounding));
  CHECK(train.train.lost_motion[0].basis == design::Basis::percentile);
  REQUIRE(train.excitations.size() == 1);
  CHECK(train.excitations[0].id == "motor");
  CHECK(train.excitations[0].shaft == 0);
  CHECK(train.excitations[0].orders == std::vector<double>{2.0, 12.0});
}

TEST_CASE("Speeds in a planetary stage go by Willis' relation", "[io]") {
  const design::Design train = io::read_design_file(valid / "planetary.json");
  REQUIRE(train.conditions.size() == 3);
  CHECK_FALSE(train.conditions[0].speed);
  CHECK(train.conditions[0].speeds.empty());
  CHECK_THAT(train.conditions[1].speed->value(), WithinRel(1500.0 * rpm, rounding));
  // n_arm / n_sun = 24/(24 + 60) = 2/7; a planet against the arm -24/18 (1 - 2/7), so -2/3 in all.
  CHECK_THAT(train.conditions[2].speed->value(), WithinRel(1500.0 * rpm, rounding));
  REQUIRE(train.conditions[2].speeds.size() == 1);
  CHECK(train.conditions[2].speeds[0].shaft == 0);
  CHECK(train.conditions[2].speeds[0].speed == *train.conditions[2].speed);
}

TEST_CASE("A held shaft alone tells no speed", "[io]") {
  const std::string text = text_of(valid / "planetary.json");
  const design::Design train =
      read(with(text, R"({ "planet 2": "-1000 rpm", "ring": "0 rpm" })", R"({ "ring": "0 rpm" })"));
  CHECK_FALSE(train.conditions[2].speed);
  CHECK(train.conditions[2].speeds.empty());
}

TEST_CASE("A compound train is read", "[io]") {
  const design::Design train = io::read_design_file(valid / "compound.json");
  REQUIRE(train.shafts[0].bearings.size() == 2);
  const auto& front = train.shafts[0].bearings[0].inside;
  REQUIRE(front);
  CHECK(front->count == 9);
  CHECK(front->element.value() == 9.525e-3);
  CHECK(front->pitch_diameter.value() == 46e-3);
  CHECK(front->contact_angle.value() == 0.0);
  CHECK_THAT(train.shafts[0].bearings[1].inside->contact_angle.value(),
             WithinRel(25.0 * degree, rounding));

  CHECK_THAT(train.gears[1].tooth_at->value(), WithinRel(12.5 * degree, rounding));
  CHECK(train.gears[2].tooth_at->value() == -3.1);
  CHECK_THAT(train.gears[4].tooth_at->value(), WithinRel(725.0 * degree, rounding));

  CHECK(train.train.reference == 3);
  CHECK_FALSE(train.train.arm);
  REQUIRE(train.train.lost_motion.size() == 3);
  CHECK_THAT(train.train.lost_motion[0].greatest->value(), WithinRel(0.1 * degree, rounding));
  CHECK(train.train.lost_motion[0].basis == design::Basis::worst_case);
  CHECK_FALSE(train.train.lost_motion[1].greatest);
  CHECK(train.train.lost_motion[1].of == 1);
  CHECK(train.train.lost_motion[1].held == 2);
  CHECK(train.train.lost_motion[2].basis == design::Basis::nominal);
  REQUIRE(train.excitations.size() == 2);
  CHECK(train.excitations[0].orders == std::vector<double>{1.0, 2.0, 3.5});
  CHECK(train.excitations[1].shaft == 5);
}

TEST_CASE("Speeds by shaft become one of each group", "[io]") {
  const design::Design train = io::read_design_file(valid / "compound.json");
  REQUIRE(train.conditions.size() == 3);
  const design::Condition& idle = train.conditions[0];
  REQUIRE(idle.speeds.size() == 1);
  CHECK(idle.speeds[0].shaft == 3);
  CHECK_THAT(idle.speed->value(), WithinRel(100.0 * rpm, rounding));

  // Output over input: (-20/40) (-15/60) = 1/8.
  const design::Condition& full = train.conditions[1];
  CHECK_THAT(full.speed->value(), WithinRel(375.0 * rpm, rounding));
  REQUIRE(full.speeds.size() == 2);
  CHECK(full.speeds[0].shaft == 3);
  CHECK(full.speeds[0].speed == *full.speed);
  CHECK(full.speeds[1].shaft == 5);  // the first of its group in the file
  CHECK_THAT(full.speeds[1].speed.value(), WithinRel(-1200.0 * rpm, rounding));

  const design::Condition& fan = train.conditions[2];
  CHECK_FALSE(fan.speed);
  REQUIRE(fan.speeds.size() == 1);
  CHECK(fan.speeds[0].shaft == 4);
  CHECK_THAT(fan.speeds[0].speed.value(), WithinRel(-600.0 * rpm, rounding));
}

TEST_CASE("Without a train the first shaft is the reference", "[io]") {
  const design::Design train = io::read_design_file(valid / "train_of_three.json");
  CHECK(train.train.reference == 0);
  CHECK_FALSE(train.train.reference_given);
  CHECK_FALSE(train.train.arm);
  CHECK(train.train.lost_motion.empty());
  CHECK(train.excitations.empty());
  REQUIRE(train.conditions[1].speeds.size() == 1);
  CHECK(train.conditions[1].speeds[0].shaft == 0);
  CHECK(train.conditions[1].speeds[0].speed == *train.conditions[1].speed);
}

TEST_CASE("The reference's own speed holds where it is given", "[io]") {
  MadeTrain made{2, {{0, 30}, {1, 70}}, {{0, 1}}};
  made.speed = R"({ "s1": "-300.0000001 rpm", "s0": "700 rpm" })";
  const design::Design train = read(made.text());
  CHECK_THAT(train.conditions[0].speed->value(), WithinRel(700.0 * rpm, rounding));
}

TEST_CASE("Speeds may differ by rounding and no more", "[io]") {
  MadeTrain made{2, {{0, 30}, {1, 70}}, {{0, 1}}};
  made.speed = R"({ "s0": "700 rpm", "s1": "-300.00000029 rpm" })";  // 0.97e-9
  CHECK(errors_of(made.text()) == "accepted");
  made.speed = R"({ "s0": "700 rpm", "s1": "-300.00000031 rpm" })";  // 1.03e-9
  CHECK_THAT(errors_of(made.text()),
             ContainsText("the tooth numbers make it -300 rpm, -3/7 times"));
  made.speed = R"({ "s0": "0 rpm", "s1": "0 rpm" })";
  CHECK(read(made.text()).conditions[0].speed->value() == 0.0);
}

TEST_CASE("Speeds beyond the range of numbers are refused", "[io]") {
  // 120 steps of 10000/10: 1e360 in all.
  MadeTrain made;
  made.shafts = 121;
  for (std::size_t i = 0; i + 1 < made.shafts; ++i) {
    made.gears.push_back({i, 10000});
    made.gears.push_back({i + 1, 10});
    made.meshes.emplace_back(2 * i, 2 * i + 1);
  }
  made.speed = R"({ "s120": "1 rpm" })";
  CHECK_THAT(errors_of(made.text()),
             ContainsText("makes the speed of the shaft \"s0\" smaller than any number"));
  made.speed = R"({ "s0": "1 rpm", "s120": "1 rpm" })";
  CHECK_THAT(errors_of(made.text()),
             ContainsText("the tooth numbers make it greater than any number, from the speed"));
  // At rest, any ratio will do.
  made.speed = R"({ "s0": "0 rpm", "s119": "0 rpm", "s120": "0 rpm" })";
  CHECK(errors_of(made.text()) == "accepted");
}

TEST_CASE("Ten loops that cannot turn are reported", "[io]") {
  // A chain in which every shaft meshes with the next but one as well.
  MadeTrain made;
  made.shafts = 40;
  for (std::size_t i = 0; i < made.shafts; ++i) {
    made.gears.push_back({i, 20});
    if (i > 0) {
      made.meshes.emplace_back(i - 1, i);
    }
  }
  for (std::size_t i = 2; i < made.shafts; ++i) {
    made.meshes.emplace_back(i - 2, i);
  }
  try {
    static_cast<void>(read(made.text()));
    FAIL("the text was accepted");
  } catch (const io::InputErrors& errors) {
    CHECK(errors.problems().size() == 10);
    CHECK_THAT(errors.problems()[0].message,
               StartsWith("the loop s0 - m39 - s2 - m1 - s1 - m0 - s0 cannot turn: it has an odd "
                          "number of external meshes, 3"));
    CHECK(errors.problems()[0].pointer == "/meshes/39");
  }
}

TEST_CASE("Long names in a loop that cannot turn are cut", "[io]") {
  MadeTrain made{3, {{0, 20}, {1, 20}, {2, 20}}, {{0, 1}, {1, 2}, {2, 0}}};
  std::string text = made.text();
  const std::string name(100000, 'x');
  for (const std::string id : {"m1", "s1", "s1"}) {  // a shaft where it is and where it is named
    text = with(text, '"' + id + '"', '"' + id + name + '"');
  }
  CHECK(errors_of(text).size() < 1000);
}

TEST_CASE("Lists of the train have up to 10000 entries", "[io]") {
  std::string many = "{}";
  for (int i = 0; i < 10000; ++i) {
    many += ", {}";
  }
  const std::string errors =
      errors_of(R"({ "lashband": 1, "shafts": [)" + many + R"(], "gears": [)" + many +
                R"(], "meshes": [)" + many + R"(], "train": { "lost_motion": [)" + many + "] } }");
  CHECK_THAT(errors,
             ContainsText("/shafts: read a list of 10001 entries; allowed is a list of 2 to "
                          "10000 shafts"));
  CHECK_THAT(errors, ContainsText("/gears: read a list of 10001 entries; allowed is a list of 2 to "
                                  "10000 gears"));
  CHECK_THAT(errors, ContainsText("/meshes: read a list of 10001 entries; allowed is a list of 1 "
                                  "to 10000 meshes"));
  CHECK_THAT(errors, ContainsText("/lost_motion: read a list of 10001 entries; allowed is a list "
                                  "of up to 10000 pairs"));
}

TEST_CASE("A train of 1000 shafts and 3000 meshes takes no noticeable time", "[io]") {
  // Meshes join shafts of even and odd numbers, so that every loop can turn; one gear a shaft.
  MadeTrain made;
  made.shafts = 1000;
  for (std::size_t i = 0; i < made.shafts; ++i) {
    made.gears.push_back({i, static_cast<int>(17 + i * 31 % 80)});
  }
  for (std::size_t i = 0; made.meshes.size() < 3000; ++i) {
    const std::size_t from = i % 990;
    made.meshes.emplace_back(from, from + 1 + 2 * (i / 990));
  }
  made.speed = "{";
  for (std::size_t i = 0; i < made.shafts; ++i) {
    const double speed = (i % 2 == 0 ? 1.0 : -1.0) * 1700.0 / made.gears[i].teeth;
    made.speed += (i == 0 ? " \"s" : ", \"s") + std::to_string(i) + "\": \"" +
                  std::to_string(speed * 1e6) + " rpm\"";
  }
  made.speed += " }";
  const std::string text = made.text();
  const auto begin = std::chrono::steady_clock::now();
  const design::Design train = read(text);
  const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
  CHECK(train.meshes.size() == 3000);
  CHECK_THAT(train.conditions[0].speed->value(), WithinRel(1e8 * rpm, 1e-9));
  // A tenth of a second on an idle machine; a build with sanitizers on a busy one is far slower.
  constexpr double seconds_allowed = 10.0;
  CHECK(taken.count() < seconds_allowed);
}
