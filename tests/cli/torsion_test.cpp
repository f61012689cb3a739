// The torsional model as a user meets it.
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "catch.hpp"
#include "program.hpp"

using namespace lashband::test;
using nlohmann::json;

namespace {

const std::string pair = "tests/data/valid/torsion_of_two_shafts.json";

std::vector<std::string> with(std::vector<std::string> words,
                              const std::vector<std::string>& more) {
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

json torsion_of(const std::vector<std::string>& more) {
  const Run run = run_lashband(with({"torsion", pair, "--format", "json"}, more));
  INFO(run.err);
  REQUIRE((run.status == 0 || run.status == 1));
  return json::parse(run.out);
}

// The pair with its requirements replaced.
std::string pair_that_requires(const Folder& folder, const std::string& require) {
  std::string text = text_of(fs::path(LASHBAND_SOURCE_DIR) / pair);
  const std::string before = R"({ "greatest_rattle_index": 2, "least_resonance_margin": "5 %" })";
  text.replace(text.find(before), before.size(), require);
  return folder.file("train.json", text).string();
}

}  // namespace

TEST_CASE("torsion: a table, 80 columns wide, from the verdict to what moves it") {
  const Run run = run_lashband({"torsion", pair});
  INFO(run.out << run.err);
  CHECK(run.status == 0);
  CHECK(run.err.empty());
  CHECK(widest_line(run.out) <= 80);
  CHECK(run.out.find('\x1b') == std::string::npos);
  std::size_t place = 0;
  for (const char* part :
       {"requirements, judged on: nominal", "condition idling", "condition running: 1800 rpm of A",
        "meshes: force", "other parts: torque", "natural frequencies", "excitations that meet",
        "elastomers: temperature", "wind-up in ", "case reaction", "power in W",
        "what moves the natural frequencies", "what moves the rattle indices", "sweep of 19"}) {
    INFO(part);
    place = run.out.find(part, place);
    REQUIRE(place != std::string::npos);
  }
  const Run inch = run_lashband({"torsion", pair, "--units", "inch"});
  CHECK(widest_line(inch.out) <= 80);
  CHECK_THAT(inch.out, ContainsText("torque in lbf ft"));
}

TEST_CASE("torsion: the mean force is that of the load, and what goes in comes out") {
  const json condition = torsion_of({}).at("conditions").at(1);
  REQUIRE(condition.at("condition") == "running");
  const double turning = 1800.0 * 2.0 * 3.14159265358979323846 / 60.0;
  // Load and viscous drag on B, which turns half as fast, on the base circle of the wheel.
  const double drag = 0.01 * turning / 2.0;
  const double base = 0.040 * std::cos(3.14159265358979323846 / 9.0);
  constexpr double rounding = 1e-9;
  CHECK_THAT(std::abs(condition.at("meshes")[0].at("mean").at("value").get<double>()),
             WithinRel((40.0 + drag) / base, rounding));
  CHECK_THAT(condition.at("balance").at("value").get<double>(),
             WithinRel((40.0 + drag) / 2.0, rounding));
  const json& power = condition.at("power");
  const auto watts = [&power](const char* key) { return power.at(key).at("value").get<double>(); };
  CHECK_THAT(watts("driven"), WithinRel(watts("loads") + watts("drag"), rounding));
  CHECK_THAT(watts("vibration_in"), WithinRel(watts("vibration_out"), 1e-6));
  CHECK(watts("vibration_in") > 0.0);
}

TEST_CASE("torsion: order 6 of B is order 3 of A, and every part is there") {
  const json result = torsion_of({});
  REQUIRE(result.at("excitations").size() == 1);
  CHECK(result.at("excitations")[0].at("order") == 3.0);
  CHECK(result.at("excitations")[0].at("order_of_source") == 6.0);
  std::vector<std::string> kinds;
  for (const json& element : result.at("elements")) {
    kinds.push_back(element.at("kind"));
  }
  CHECK(kinds == std::vector<std::string>{"segment", "elastomer", "mesh", "damper", "drag"});
  CHECK(result.at("conditions")[0].at("speed_judged") == false);
  CHECK(result.at("conditions")[0].at("speed").at("value") == 2400.0);
}

TEST_CASE("torsion: a speed asked for is that of every condition, and is judged") {
  const json result = torsion_of({"--speed", "20 rev/s"});
  for (const json& condition : result.at("conditions")) {
    CHECK(condition.at("speed").at("value") == 1200.0);
    CHECK(condition.at("speed_judged") == true);
  }
}

TEST_CASE("torsion: condition and order choose what is shown, not what is judged") {
  const json all = torsion_of({});
  const json some = torsion_of({"--condition", "idling", "--order", "3"});
  CHECK(some.at("conditions").size() == 1);
  CHECK(some.at("conditions")[0] == all.at("conditions")[0]);
  CHECK(some.at("requirements") == all.at("requirements"));
}

TEST_CASE("torsion: CSV has the numbers of JSON") {
  const Run csv = run_lashband({"torsion", pair, "--format", "csv"});
  CHECK(csv.status == 0);
  const auto lines = lines_of(csv.out);
  // A head, and five parts at a speed and 19 of the sweep, at each of two conditions.
  CHECK(lines.size() == 1 + 5 * 2 * (1 + 19));
  CHECK_THAT(lines[0], StartsWith("row,condition,speed [rpm],element,kind,mean_force [N],"));
  const json mesh = torsion_of({}).at("conditions")[1].at("meshes")[0];
  CHECK_THAT(csv.out, ContainsText(mesh.at("rattle_index").dump()));
}

TEST_CASE("torsion: the exit status is the verdict on its requirements") {
  const Folder folder;
  const std::string strict = pair_that_requires(folder, R"({ "greatest_rattle_index": 0.001 })");
  const Run unmet = run_lashband({"torsion", strict});
  CHECK(unmet.status == 1);
  CHECK_THAT(unmet.out, ContainsText("NOT MET"));
  CHECK_THAT(unmet.out, ContainsText("1 of 1 requirement not met"));
  CHECK(run_lashband({"torsion", strict, "--no-verdict"}).status == 0);
  // The condition that is not met need not be the one shown.
  CHECK(run_lashband({"torsion", strict, "--condition", "idling"}).status == 1);
}

TEST_CASE("torsion: what is no answerable question is refused, with what there is") {
  struct Case {
    std::vector<std::string> words;
    const char* message;
  };
  for (const Case& wrong :
       {Case{{"--speed", "1800"}, "--speed: "}, Case{{"--speed", "0 rpm"}, "is not above 0"},
        Case{{"--order", "second"}, "is no order; allowed is a number above 0"},
        Case{{"--order", "-2"}, "is no order"}, Case{{"--order", "nan"}, "is no order"},
        Case{{"--order", "3.5"}, "nothing shakes the train at order 3.5 of A; excited are 3"},
        Case{{"--condition", "runing"}, "did you mean \"running\"?"},
        Case{{"--mesh", "pear"}, "the file has no mesh"},
        Case{{"--carrier", "cast"}, "did you mean \"case\"?"}}) {
    const Run run = run_lashband(with({"torsion", pair}, wrong.words));
    INFO(wrong.words[0] << ' ' << wrong.words[1] << '\n' << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK_THAT(run.err, ContainsText(wrong.message));
  }
}

TEST_CASE("torsion: a file without a torsional model is told what it lacks") {
  const Run run = run_lashband({"torsion", "tests/data/valid/minimal.json"});
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK_THAT(run.err, ContainsText("minimal.json has no torsional model"));
  CHECK_THAT(run.err, ContainsText("the key \"torsion\""));
}

TEST_CASE("torsion: what cannot be computed is a failure, told on standard error") {
  // Nothing damps the pair, and its load turns at the first natural frequency.
  const Folder folder;
  std::string text = text_of(fs::path(LASHBAND_SOURCE_DIR) / pair);
  const auto replace = [&text](const std::string& before, const std::string& after) {
    const std::size_t place = text.find(before);
    REQUIRE(place != std::string::npos);
    text.replace(place, before.size(), after);
  };
  replace(", \"loss_factor\": 0.01", "");
  replace(", \"loss_factor\": 0.15", "");
  replace(", \"damping_ratio\": 0.05", "");
  replace("\"speed\": { \"from\": \"600 rpm\", \"to\": \"2400 rpm\", \"points\": 19 },", "");
  const std::string dampers = "\"dampers\": [";
  const std::size_t begin = text.find(dampers);
  text.erase(begin, text.find("\"torques\"") - begin);
  const std::string undamped = folder.file("train.json", text).string();
  const Run first = run_lashband({"torsion", undamped, "--format", "json", "--no-verdict"});
  INFO(first.err);
  REQUIRE(first.status == 0);
  const json modes = json::parse(first.out).at("conditions")[1].at("modes");
  const double hertz = modes.at(1).at("frequency").at("value");
  // Order 3 of A: three times a turn.
  const Run run =
      run_lashband({"torsion", undamped, "--speed", json(hertz / 3.0).dump() + " rev/s"});
  CHECK(run.status == 3);
  CHECK_THAT(run.err, ContainsText("torsional model at running"));
  CHECK_THAT(run.out, ContainsText("not computed: torsional model at running"));
}
