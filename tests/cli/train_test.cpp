// The train as a whole as a user meets it.
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "catch.hpp"
#include "program.hpp"

using namespace lashband::test;
using nlohmann::json;

namespace {

const std::string compound = "tests/data/valid/compound.json";
const std::string planetary = "tests/data/valid/planetary.json";

json train_of(const std::vector<std::string>& more) {
  std::vector<std::string> words = {"train", compound, "--format", "json"};
  words.insert(words.end(), more.begin(), more.end());
  const Run run = run_lashband(words);
  INFO(run.err);
  REQUIRE((run.status == 0 || run.status == 1));
  return json::parse(run.out);
}

double nominal_of(const json& train) {
  return train.at("lost_motion").at(0).at("states").at(0).at("total").at("nominal");
}

}  // namespace

TEST_CASE("train: a table, 80 columns wide, with ratios, speeds, loops and lost motion") {
  for (const std::string& file : {compound, planetary}) {
    const Run run = run_lashband({"train", file});
    INFO(run.out << run.err);
    CHECK((run.status == 0 || run.status == 1));
    CHECK(run.err.empty());
    CHECK(widest_line(run.out) <= 80);
    CHECK(run.out.find('\x1b') == std::string::npos);
    for (const char* part :
         {"shafts, speed over that of", "speed in rpm", "loop ", "lost motion"}) {
      CHECK_THAT(run.out, ContainsText(part));
    }
    const Run inch = run_lashband({"train", file, "--units", "inch"});
    CHECK(widest_line(inch.out) <= 80);
    CHECK_THAT(inch.out, ContainsText("margin in thou"));
  }
}

TEST_CASE("train: ratios and speeds are those of the tooth numbers") {
  const json train = train_of({});
  CHECK(train.at("reference") == "output");
  for (const json& shaft : train.at("shafts")) {
    // 20/40 and 15/60 from input to output: 8 turns of the input for one.
    if (shaft.at("id") == "input") {
      CHECK(shaft.at("ratio").at("exact") == "8");
      CHECK(shaft.at("speeds")[1].at("speed").at("value") == 3000.0);
    }
    if (shaft.at("id") == "fan") {
      CHECK(shaft.at("referred_to") == "fan drive");
      CHECK(shaft.at("ratio").at("exact") == "-5/2");
    }
  }
  const json planets = json::parse(run_lashband({"train", planetary, "--format", "json"}).out);
  // Willis: a held ring of 60 and a sun of 24 make 1 + 60/24 turns of the sun one of the arm.
  CHECK(planets.at("planet_arm").at("ratio").at("exact") == "2/7");
}

TEST_CASE("train: the pair asked for takes the place of those of the file") {
  const json all = train_of({});
  CHECK(all.at("lost_motion").size() == 3);
  const json one = train_of({"--of", "fan", "--held", "fan drive"});
  REQUIRE(one.at("lost_motion").size() == 1);
  CHECK(one.at("lost_motion")[0].at("way") == json::parse(R"(["fan mesh"])"));
  // Seen from the other end the same teeth turn by the ratio.
  const json other = train_of({"--of", "fan drive", "--held", "fan"});
  constexpr double rounding = 1e-12;
  CHECK_THAT(nominal_of(one), WithinRel(2.5 * nominal_of(other), rounding));
}

TEST_CASE("train: CSV and JSON have the same numbers") {
  const Run csv = run_lashband({"train", compound, "--format", "csv"});
  const auto lines = lines_of(csv.out);
  REQUIRE(lines.size() > 10);
  CHECK_THAT(lines[0], StartsWith("row,id,condition,time [s],referred_to,ratio_exact,ratio,"));
  CHECK_THAT(csv.out, ContainsText("\r\nshaft,input,full speed,,output,8,8,3000,"));
}

TEST_CASE("train: a pair that cannot be is refused, with what there is") {
  struct Case {
    std::vector<std::string> words;
    const char* message;
  };
  for (const Case& wrong :
       {Case{{"--of", "fan"}, "--of needs --held"}, Case{{"--held", "fan"}, "--held needs --of"},
        Case{{"--of", "imput", "--held", "output"}, "did you mean \"input\"?"},
        Case{{"--of", "fan", "--held", "fan"}, "allowed are two different shafts"},
        Case{{"--of", "fan", "--held", "input"}, "Joined to \"fan\": \"fan drive\""},
        Case{{"--carrier", "cast"}, "did you mean \"case\"?"},
        Case{{"--condition", "full sped"}, "did you mean \"full speed\"?"},
        Case{{"--mesh", "in-c3"}, "the file has no mesh"}}) {
    std::vector<std::string> words = {"train", compound};
    words.insert(words.end(), wrong.words.begin(), wrong.words.end());
    const Run run = run_lashband(words);
    INFO(run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK_THAT(run.err, ContainsText(wrong.message));
  }
}

TEST_CASE("train: the exit status is the verdict on loops and lost motion") {
  const Folder folder;
  const auto with_limit = [&folder](const std::string& limit) {
    std::string text = text_of(fs::path(LASHBAND_SOURCE_DIR) / planetary);
    const std::string before = "\"greatest\": \"0.2 deg\"";
    text.replace(text.find(before), before.size(), "\"greatest\": \"" + limit + "\"");
    return folder.file("train.json", text).string();
  };
  // Its loops have room; the ring turns by a quarter of a degree.
  const Run met = run_lashband({"train", with_limit("1 deg")});
  CHECK(met.status == 0);
  CHECK_THAT(met.out, ContainsText("all 3 requirements met"));
  const std::string strict = with_limit("0.1 deg");
  const Run unmet = run_lashband({"train", strict});
  CHECK(unmet.status == 1);
  CHECK_THAT(unmet.out, ContainsText("1 of 3 requirements not met"));
  CHECK(run_lashband({"train", strict, "--no-verdict"}).status == 0);
}

TEST_CASE("loops stand beside the meshes in backlash and carriers") {
  const json backlash = json::parse(run_lashband({"backlash", compound, "--format", "json"}).out);
  REQUIRE(backlash.at("loops").size() == 1);
  CHECK(backlash.at("loops") == train_of({}).at("loops"));
  const Run carriers = run_lashband({"carriers", compound});
  CHECK(widest_line(carriers.out) <= 80);
  CHECK_THAT(carriers.out, ContainsText("margin over all states"));
}
