// The program as a user meets it: exit status, what goes where, what is refused.
#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "catch.hpp"
#include "program.hpp"

using namespace lashband::test;
using nlohmann::json;

namespace {

const Folder folder_of_compressor;
const std::string compressor =
    folder_of_compressor.file("train.json", train_without_histories()).string();
const std::string antenna = "examples/polar_antenna/train.json";

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("without arguments the program says what it is for and that a command is needed") {
  const Run run = run_lashband({});
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK_THAT(run.err, ContainsText("backlash of a gear train"));
  CHECK_THAT(run.err, ContainsText("lashband --help"));
}

TEST_CASE("help names every command, the exit statuses and the cautions, 80 columns wide") {
  const Run run = run_lashband({"--help"});
  CHECK(run.status == 0);
  CHECK(run.err.empty());
  for (const char* word :
       {"backlash", "carriers", "budget", "warmup", "train", "frequencies", "torsion", "report",
        "example", "schema", "materials", "Exit status", "not a proof of safety",
        "can seize and break", "need guarding", "licensed practice"}) {
    CHECK_THAT(run.out, ContainsText(word));
  }
  for (const std::vector<std::string>& command : {std::vector<std::string>{"--help"},
                                                  {"backlash", "--help"},
                                                  {"carriers", "--help"},
                                                  {"budget", "--help"},
                                                  {"warmup", "--help"},
                                                  {"train", "--help"},
                                                  {"frequencies", "--help"},
                                                  {"torsion", "--help"},
                                                  {"report", "--help"},
                                                  {"example", "--help"},
                                                  {"schema", "--help"},
                                                  {"materials", "--help"},
                                                  {"materials", "show", "--help"},
                                                  {"materials", "check", "--help"}}) {
    const Run help = run_lashband(command);
    INFO(help.out);
    CHECK(help.status == 0);
    CHECK(widest_line(help.out) <= 80);
  }
}

TEST_CASE("the version goes to standard output") {
  const Run run = run_lashband({"--version"});
  CHECK(run.status == 0);
  CHECK(run.out.substr(0, 9) == "lashband ");
  CHECK(run.err.empty());
}

TEST_CASE("a misspelt command or option gets the nearest one suggested") {
  const Run command = run_lashband({"baklash", compressor});
  CHECK(command.status == 2);
  CHECK_THAT(command.err, ContainsText("no command \"baklash\"; did you mean \"backlash\"?"));
  const Run option = run_lashband({"backlash", compressor, "--fromat", "json"});
  CHECK(option.status == 2);
  CHECK_THAT(option.err, ContainsText("no option --fromat"));
  CHECK_THAT(option.err, ContainsText("did you mean --format?"));
  const Run word = run_lashband({"backlash", compressor, "--format", "yaml"});
  CHECK(word.status == 2);
  CHECK_THAT(word.err, ContainsText("yaml"));
  const Run missing = run_lashband({"backlash"});
  CHECK(missing.status == 2);
  CHECK_THAT(missing.err, ContainsText("FILE"));
}

TEST_CASE("numbers of samples, threads and seeds are checked") {
  struct Case {
    const char* option;
    const char* text;
  };
  for (const Case& wrong :
       {Case{"--samples", "-5"}, Case{"--samples", "0"}, Case{"--samples", "1.5"},
        Case{"--samples", "1e13"}, Case{"--samples", "many"}, Case{"--samples", "nan"},
        Case{"--samples", "0x10"}, Case{"--samples", ""}, Case{"--threads", "0"},
        Case{"--threads", "-1"}, Case{"--threads", "1025"}, Case{"--seed", "-1"},
        Case{"--seed", "18446744073709551616"}, Case{"--seed", "0.5"}}) {
    for (const char* command : {"backlash", "carriers", "budget"}) {
      const Run run = run_lashband({command, compressor, wrong.option, wrong.text});
      INFO(wrong.option << ' ' << wrong.text);
      CHECK(run.status == 2);
      CHECK(run.out.empty());
      CHECK_THAT(run.err, ContainsText(std::string(wrong.option) + ": \"" + wrong.text +
                                       "\" is not a whole number from "));
    }
  }
  const Run unknown = run_lashband({"backlash", compressor, "--sample", "5"});
  CHECK(unknown.status == 2);
  CHECK_THAT(unknown.err, ContainsText("did you mean --samples?"));
  const Run missing = run_lashband({"backlash", compressor, "--samples"});
  CHECK(missing.status == 2);
  CHECK_THAT(missing.err, ContainsText("--samples"));
}

TEST_CASE("samples depend on their seed and number, not on the threads") {
  const auto sampled = [](const std::string& samples, const std::string& threads) {
    const Run run = run_lashband({"backlash", compressor, "--format", "json", "--samples", samples,
                                  "--seed", "18446744073709551615", "--threads", threads});
    CHECK(run.status == 0);
    CHECK(run.err.empty());  // no bar where it is no terminal
    return json::parse(run.out);
  };
  const json result = sampled("20000", "1");
  CHECK(result.at("sampling").at("samples") == 20000);
  CHECK(result.at("sampling").at("seed") == 18446744073709551615U);
  for (const json& mesh : result.at("meshes")) {
    CHECK(mesh.at("anywhere").contains("bind"));
  }
  CHECK(sampled("2e4", "2") == result);
}

TEST_CASE("Ctrl-C ends a sampling with 130, and nothing is written") {
  const Folder folder;
  const std::string file = (folder.path() / "result.json").string();
  const Run run = run_lashband({"backlash", compressor, "--samples", "1e12", "-o", file}, "",
                               "timeout --preserve-status --kill-after=60 --signal=INT 1 ");
  CHECK(run.status == 130);
  CHECK(run.out.empty());
  CHECK(fs::is_empty(folder.path()));
}

TEST_CASE("the budget is that of the states shown, the verdict that of all", "[slow]") {
  const json whole = json::parse(run_lashband({"budget", compressor, "--format", "json"}).out);
  CHECK(whole.at("analysis") == "budget");
  const json backlash = json::parse(run_lashband({"backlash", compressor, "--format", "json"}).out);
  CHECK(whole.at("requirements") == backlash.at("requirements"));
  // For each mesh the envelope and every state.
  REQUIRE(whole.at("budgets").size() == 2 * (1 + 21));
  CHECK(whole.at("budgets")[0].at("condition") == "envelope");
  for (const json& budget : whole.at("budgets")) {
    double shares = 0.0;
    double last = 1.0;
    for (const json& row : budget.at("rows")) {
      const double share = row.at("share");
      CHECK(share <= last);  // the greatest first
      last = share;
      shares += share;
    }
    INFO(budget.at("condition"));
    constexpr double rounding_of_a_sum = 1e-9;
    CHECK_THAT(shares, WithinAbs(1.0, rounding_of_a_sum));
  }
  const json one = json::parse(run_lashband({"budget", compressor, "--format", "json", "--mesh",
                                             "A-B", "--condition", "cold start"})
                                   .out);
  REQUIRE(one.at("budgets").size() == 1);
  CHECK(one.at("budgets")[0].at("condition") == "cold start");

  const Run table = run_lashband({"budget", compressor});
  CHECK(table.status == 0);
  CHECK_THAT(table.out, ContainsText("over all states"));
  CHECK_FALSE(contains(table.out, "at cold start\n"));
  CHECK_THAT(run_lashband({"budget", compressor, "--condition", "cold start"}).out,
             ContainsText("at cold start\n"));
  CHECK(run_lashband({"budget", compressor, "--carrier", "bores in the case"}).status == 1);
}

TEST_CASE("a file that is not there is an input error") {
  const Run run = run_lashband({"backlash", "no/such/train.json"});
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK_THAT(run.err, ContainsText("no/such/train.json"));
}

TEST_CASE("the exit status is the verdict of the carrier analysed") {
  CHECK(run_lashband({"backlash", compressor}).status == 0);
  CHECK(run_lashband({"carriers", compressor}).status == 0);
  CHECK(run_lashband({"backlash", compressor, "--carrier", "bores in the case"}).status == 1);
  CHECK(run_lashband({"carriers", compressor, "--carrier", "bores in the case"}).status == 1);
  CHECK(run_lashband({"backlash", compressor, "--carrier", "bores in the case", "--no-verdict"})
            .status == 0);
}

TEST_CASE("an id that the file does not have gets the nearest one suggested") {
  const Run carrier = run_lashband({"backlash", compressor, "--carrier", "floating stel plate"});
  CHECK(carrier.status == 2);
  CHECK_THAT(carrier.err, ContainsText("did you mean \"floating steel plate\"?"));
  const Run mesh = run_lashband({"backlash", compressor, "--mesh", "B-C"});
  CHECK(mesh.status == 2);
  CHECK_THAT(mesh.err, ContainsText("\"0-A\", \"A-B\""));
  const Run condition = run_lashband({"backlash", compressor, "--condition", "hot"});
  CHECK(condition.status == 2);
  CHECK_THAT(condition.err, ContainsText("\"soak\""));
}

TEST_CASE("filters change what is shown, never what is judged") {
  const json whole = json::parse(run_lashband({"backlash", compressor, "--format", "json"}).out);
  const json part = json::parse(run_lashband({"backlash", compressor, "--format", "json", "--mesh",
                                              "A-B", "--condition", "soak"})
                                    .out);
  CHECK(part.at("requirements") == whole.at("requirements"));
  REQUIRE(part.at("meshes").size() == 1);
  CHECK(part.at("meshes")[0].at("id") == "A-B");
  CHECK(part.at("meshes")[0].at("states").size() == 17);
  CHECK(whole.at("meshes")[1].at("states").size() == 21);
  CHECK(part.at("meshes")[0].at("least") == whole.at("meshes")[1].at("least"));
  const Run one = run_lashband({"backlash", compressor, "--condition", "soak -30 degC"});
  CHECK(one.status == 0);
  CHECK_THAT(one.out, ContainsText("soak -30 degC"));
  CHECK_FALSE(contains(one.out, "soak -20 degC"));
  const Run soak = run_lashband({"backlash", compressor, "--condition", "soak"});
  CHECK_THAT(soak.out, ContainsText("soak -30 degC"));
  CHECK_THAT(soak.out, ContainsText("soak 110 degC"));
}

TEST_CASE("standard input is read as the file -") {
  const Run piped = run_lashband({"backlash", "-", "--format", "json"}, "< " + compressor);
  const Run direct = run_lashband({"backlash", compressor, "--format", "json"});
  CHECK(piped.status == 0);
  CHECK(piped.out == direct.out);
  const Run bad = run_lashband({"backlash", "-"}, "< README.md");
  CHECK(bad.status == 2);
  CHECK_THAT(bad.err, ContainsText("<stdin>"));
}

TEST_CASE("the option -o writes the whole result and refuses to replace a file unasked") {
  const Folder folder;
  const std::string file = (folder.path() / "result.json").string();
  const Run first = run_lashband({"backlash", antenna, "--format", "json", "-o", file});
  CHECK(first.status == 0);
  CHECK(first.out.empty());
  CHECK(text_of(file) == run_lashband({"backlash", antenna, "--format", "json"}).out);
  CHECK_THAT(first.err, ContainsText("wrote "));

  const Run again = run_lashband({"backlash", antenna, "-o", file});
  CHECK(again.status == 2);
  CHECK_THAT(again.err, ContainsText("exists already; --force replaces it"));
  const Run forced = run_lashband({"backlash", antenna, "-o", file, "--force", "--quiet"});
  CHECK(forced.status == 0);
  CHECK(forced.err.empty());
  CHECK(text_of(file) == run_lashband({"backlash", antenna}).out);

  SECTION("also when a requirement is not met") {
    const std::string other = (folder.path() / "other.txt").string();
    CHECK(
        run_lashband({"backlash", antenna, "--carrier", "aluminium housing", "-o", other}).status ==
        1);
    CHECK_THAT(text_of(other), ContainsText("NOT MET"));
  }
  SECTION("nothing is left behind where it cannot be written") {
    CHECK(run_lashband({"backlash", antenna, "-o", (folder.path() / "no" / "x").string()}).status ==
          3);
    CHECK(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()) == 1);
  }
  SECTION("nothing is written from a bad input") {
    const std::string bad = folder.file("bad.json", "{ \"lashband\": 1 }").string();
    const std::string other = (folder.path() / "other.txt").string();
    CHECK(run_lashband({"backlash", bad, "-o", other}).status == 2);
    CHECK_FALSE(fs::exists(other));
  }
  SECTION("a symbolic link is followed") {
    fs::create_symlink(file, folder.path() / "link");
    CHECK(run_lashband({"carriers", antenna, "-o", (folder.path() / "link").string(), "--force"})
              .status == 0);
    CHECK(fs::is_symlink(folder.path() / "link"));
    CHECK_THAT(text_of(file), ContainsText("swing"));
  }
}

TEST_CASE("a full device is an output error") {
  CHECK(run_lashband({"backlash", compressor}, "> /dev/full").status == 3);
  CHECK(run_lashband({"backlash", compressor, "-o", "/dev/full", "--force"}).status == 3);
}

TEST_CASE("results in a pipe have no colours") {
  CHECK_FALSE(contains(run_lashband({"backlash", compressor}).out, "\x1b"));
}

TEST_CASE("the tables of all examples fit 80 columns in either system of units", "[slow]") {
  for (const char* name : {"rail_compressor", "polar_antenna", "four_screw_pump"}) {
    const std::string file = std::string("examples/") + name + "/train.json";
    for (const char* units : {"metric", "inch"}) {
      for (const char* command : {"backlash", "carriers", "budget"}) {
        const Run run = run_lashband({command, file, "--units", units});
        INFO(run.out);
        CHECK(run.status == 0);
        CHECK(widest_line(run.out) <= 80);
      }
    }
  }
}

TEST_CASE("CSV has one row a mesh and state, with units in its heads") {
  const Run run = run_lashband({"backlash", compressor, "--format", "csv"});
  const auto lines = lines_of(run.out);
  REQUIRE(lines.size() == 1 + 2 * 21);
  for (const std::string& line : lines) {
    CHECK(line.back() == '\r');
  }
  CHECK_THAT(lines[0], ContainsText("mesh,condition,time [s],temperature gears [degC]"));
  CHECK_THAT(lines[0], ContainsText("j_wt_nominal [mm],j_wt_worst_low [mm],j_wt_worst_high [mm]"));
  const auto fields = [](const std::string& line) {
    return std::count(line.begin(), line.end(), ',');
  };
  CHECK(fields(lines[0]) == fields(lines[1]));
  CHECK(fields(lines[0]) == fields(lines.back()));
  const Run inch = run_lashband({"backlash", compressor, "--format", "csv", "--units", "inch"});
  CHECK_THAT(lines_of(inch.out)[0], ContainsText("j_wt_nominal [in]"));
  CHECK_THAT(lines_of(inch.out)[0], ContainsText("temperature gears [degF]"));
}

TEST_CASE("JSON has round numbers where the file has them, and every number reads back exactly") {
  const Run run = run_lashband({"backlash", compressor, "--format", "json"});
  const json result = json::parse(run.out);
  CHECK(result.at("analysis") == "backlash");
  const json& states = result.at("meshes")[1].at("states");
  CHECK(states[0].at("condition") == "cold soak");
  CHECK(states[0].at("temperatures").at("gears").at("value") == -40.0);
  for (const json& state : states) {
    if (state.at("condition") == "soak 20 degC") {
      // At the reference temperature the drawing holds.
      CHECK(state.at("a").at("value") == 106.608);
    }
  }
  CHECK(json::parse(result.dump()) == result);
}

TEST_CASE("an example is listed, written and works where it was written") {
  const Run list = run_lashband({"example"});
  CHECK(list.status == 0);
  CHECK(widest_line(list.out) <= 80);
  for (const char* name : {"rail_compressor", "polar_antenna", "four_screw_pump"}) {
    CHECK_THAT(list.out, ContainsText(name));
    const Folder folder;
    const fs::path target = folder.path() / "copy";
    const Run written = run_lashband({"example", name, target.string()});
    CHECK(written.status == 0);
    CHECK(text_of(target / "train.json") ==
          text_of(fs::path(LASHBAND_SOURCE_DIR) / "examples" / name / "train.json"));
    CHECK(run_lashband({"backlash", (target / "train.json").string()}).status == 0);
    const Run again = run_lashband({"example", name, target.string()});
    CHECK(again.status == 2);
    CHECK_THAT(again.err, ContainsText("exists already"));
    CHECK(run_lashband({"example", name, target.string(), "--force"}).status == 0);
  }
  const Run unknown = run_lashband({"example", "rail_compresor"});
  CHECK(unknown.status == 2);
  CHECK_THAT(unknown.err, ContainsText("did you mean \"rail_compressor\"?"));
}

TEST_CASE("the schemas are JSON and name themselves") {
  CHECK(json::parse(run_lashband({"schema"}).out).at("$id") == "urn:lashband:input:1");
  CHECK(json::parse(run_lashband({"schema", "input"}).out).at("$id") == "urn:lashband:input:1");
  CHECK(json::parse(run_lashband({"schema", "results"}).out).at("$id") == "urn:lashband:results:1");
  CHECK(run_lashband({"schema", "report"}).status == 2);
}

TEST_CASE("every material shipped can be shown, 80 columns wide") {
  std::size_t shown = 0;
  for (const auto& entry : fs::directory_iterator(fs::path(LASHBAND_SOURCE_DIR) / "materials")) {
    if (entry.path().extension() != ".json") {
      continue;
    }
    const std::string id = json::parse(text_of(entry.path())).at("id");
    const Run run = run_lashband({"materials", "show", id});
    INFO(run.out);
    CHECK(run.status == 0);
    CHECK(widest_line(run.out) <= 80);
    ++shown;
  }
  CHECK(shown >= 25);
}

TEST_CASE("materials are listed by family, shown with their sources, and checked") {
  const Run all = run_lashband({"materials"});
  CHECK(all.status == 0);
  CHECK(widest_line(all.out) <= 80);
  CHECK(lines_of(all.out).size() >= 25);
  const Run some = run_lashband({"materials", "--family", "cast_aluminium"});
  CHECK_THAT(some.out, ContainsText("EN AC-43500"));
  CHECK_FALSE(contains(some.out, "16MnCr5"));
  const Run none = run_lashband({"materials", "--family", "wood"});
  CHECK(none.status == 2);
  CHECK_THAT(none.err, ContainsText("cast_aluminium"));

  const Run shown = run_lashband({"materials", "show", "16MnCr5"});
  CHECK(shown.status == 0);
  CHECK(widest_line(shown.out) <= 80);
  CHECK_THAT(shown.out, ContainsText("source: "));
  CHECK_THAT(shown.out, ContainsText("confidence: "));
  const Run unknown = run_lashband({"materials", "show", "16MnCr6"});
  CHECK(unknown.status == 2);
  CHECK_THAT(unknown.err, ContainsText("did you mean \"16MnCr5\"?"));

  const Folder folder;
  const std::string record =
      "{ \"id\": \"own steel\", \"family\": \"steel\", \"range\": [\"-40 degC\", \"120 degC\"],\n"
      "  \"elongation\": { \"mean_coefficient\": \"11e-6 1/K\" },\n"
      "  \"sources\": { \"all\": \"invented\" } }\n";
  const std::string good = folder.file("own_steel.json", record).string();
  CHECK(run_lashband({"materials", "check", good}).status == 0);
  const Run with_folder = run_lashband({"materials", "--materials", folder.path().string()});
  CHECK_THAT(with_folder.out, ContainsText("own steel"));
  const std::string bad = folder.file("bad.json", "{ \"id\": 5 }").string();
  const Run checked = run_lashband({"materials", "check", bad});
  CHECK(checked.status == 2);
  CHECK_THAT(checked.err, ContainsText("bad.json:1:"));
}

TEST_CASE("a temperature beyond a material's range is refused, or extrapolated with a warning") {
  const Folder folder;
  std::string text = text_of(compressor);
  const std::string from = "\"cold soak\", \"zones\": { \"all\": \"-40 degC\" }";
  text.replace(text.find(from), from.size(), "\"cold soak\", \"zones\": { \"all\": \"-70 degC\" }");
  const std::string file = folder.file("train.json", text).string();
  const Run refused = run_lashband({"backlash", file});
  CHECK(refused.status == 2);
  CHECK_THAT(refused.err, ContainsText("EN AC-43500"));
  CHECK_THAT(refused.err, ContainsText("-60"));
  const Run allowed = run_lashband({"backlash", file, "--extrapolate"});
  CHECK(allowed.status == 0);
  CHECK_THAT(allowed.out, ContainsText("EN AC-43500"));
}

TEST_CASE("text that would steer a terminal is refused, and told harmless") {
  const Folder folder;
  std::string text = text_of(compressor);
  const std::string from = "\"id\": \"cold soak\"";
  text.replace(text.find(from), from.size(), "\"id\": \"\\u001b[31mred\\u202e\"");
  const Run run = run_lashband({"backlash", folder.file("train.json", text).string()});
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK_FALSE(contains(run.err, "\x1b"));
  CHECK_FALSE(contains(run.err, "\xE2\x80\xAE"));
  CHECK_THAT(run.err, ContainsText("\\u001b[31mred\\u202e"));
}

TEST_CASE("the order of a sweep and of the conditions does not matter") {
  // A friction joint has memory, so its band could depend on order; it must not.
  const Folder folder;
  const std::string text = text_of(compressor);
  std::string turned = text;
  const std::size_t first = turned.find("{ \"id\": \"cold soak\"");
  const std::size_t first_end = turned.find("},", first) + 2;
  const std::string cold = turned.substr(first, first_end - first);
  turned.erase(first, first_end - first);
  const std::size_t last = turned.find("      \"id\": \"running hot\"");
  const std::size_t last_end = turned.find("    }\n", last) + 5;
  turned.insert(last_end, ",\n    " + cold.substr(0, cold.size() - 1));
  const std::string file = folder.file("train.json", turned).string();
  for (const char* carrier : {"bolted steel plate", "floating steel plate"}) {
    const auto states = [&](const std::string& input) {
      const json result = json::parse(
          run_lashband({"backlash", input, "--carrier", carrier, "--format", "json"}).out);
      std::set<std::string> all;
      for (const json& state : result.at("meshes")[0].at("states")) {
        all.insert(state.dump());
      }
      return all;
    };
    CHECK(states(compressor).size() == 21);
    CHECK(states(compressor) == states(file));
  }
}

TEST_CASE("report writes a page, and the exit status is the verdict's") {
  const Folder folder;
  const fs::path page = folder.path() / "report.html";
  const Run run = run_lashband({"report", antenna, "-o", page.string()});
  INFO(run.err);
  CHECK(run.status == run_lashband({"backlash", antenna}).status);
  CHECK(run.out.empty());
  CHECK_THAT(run.err, ContainsText("wrote " + page.string()));
  const std::string text = text_of(page);
  CHECK(text.substr(0, 15) == "<!DOCTYPE html>");
  CHECK_THAT(text, ContainsText("lashband report " + antenna + " -o " + page.string()));
  CHECK(run_lashband({"report", antenna, "-o", page.string()}).status == 2);
  CHECK(text_of(page) == text);
  CHECK(run_lashband({"report", antenna}).out.substr(0, 15) == "<!DOCTYPE html>");
}

TEST_CASE("report reads standard input, and tells the command as a shell takes it") {
  const Run bad = run_lashband({"report", "-"}, "< /dev/null");
  CHECK(bad.status == 2);
  CHECK_THAT(bad.err, ContainsText("<stdin>"));
  const std::string mesh = json::parse(text_of(LASHBAND_SOURCE_DIR "/" + antenna), nullptr, true,
                                       true)["meshes"][0]["id"];
  const Run good = run_lashband({"report", "-", "--quiet", "--mesh", mesh}, "< " + antenna);
  CHECK_THAT(good.out, ContainsText("<code>lashband report - --quiet --mesh "));
  CHECK_THAT(good.out, ContainsText("&lt;stdin&gt;"));
}

TEST_CASE("a single chart comes as Vega-Lite, by the names that an unknown one lists") {
  const Run list = run_lashband({"report", antenna, "--format", "vega-lite", "--chart", "list"});
  CHECK(list.status == 2);
  CHECK(list.out.empty());
  CHECK_THAT(list.err, ContainsText("conditions-1"));
  const Run chart =
      run_lashband({"report", antenna, "--format", "vega-lite", "--chart", "conditions-1"});
  const json spec = json::parse(chart.out);
  CHECK_THAT(spec["$schema"].get<std::string>(), ContainsText("vega-lite/v6"));
  CHECK(!spec["data"]["values"].empty());
}

TEST_CASE("every chart comes in one object, each as it comes alone, in the order of the list",
          "[slow]") {
  using nlohmann::ordered_json;
  const auto charts = [](const std::string& id, const std::vector<std::string>& more = {}) {
    // Of one mesh: each chart alone takes a whole run.
    std::vector<std::string> arguments = {"report",   antenna,     "--mesh",  "first stage",
                                          "--format", "vega-lite", "--chart", id};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return run_lashband(arguments);
  };
  const Run run = charts("all");
  const ordered_json all = ordered_json::parse(run.out);
  CHECK(run.status == run_lashband({"backlash", antenna}).status);

  std::vector<std::string> listed;
  for (const std::string& line : lines_of(charts("list").err)) {
    if (line.substr(0, 2) == "  ") {
      listed.push_back(line.substr(2, line.find(' ', 2) - 2));
    }
  }
  REQUIRE(listed.size() > 1);
  std::vector<std::string> handed_out;
  for (const auto& [id, chart] : all.items()) {
    handed_out.push_back(id);
    INFO(id);
    // As text, which tells the order of the keys too.
    CHECK(chart.dump() == ordered_json::parse(charts(id).out).dump());
  }
  CHECK(handed_out == listed);

  const Folder folder;
  const fs::path file = folder.path() / "charts.json";
  const Run written = charts("all", {"-o", file.string()});
  CHECK(written.out.empty());
  CHECK(text_of(file) == run.out);
}

TEST_CASE("options of the report that do not go together are refused before anything is computed") {
  for (const auto& [arguments, word] :
       std::vector<std::pair<std::vector<std::string>, std::string>>{
           {{"--chart", "soak-1"}, "vega-lite"},
           {{"--format", "vega-lite"}, "--chart ID"},
           {{"--format", "vega-lite", "--chart", "soak-1", "--stamp"}, "--stamp"},
           {{"--format", "json"}, "html"},
           {{"--condition", "cold"}, "--condition"},
           {{"--compare", "no_such_file.json"}, "no_such_file.json"}}) {
    std::vector<std::string> all = {"report", antenna};
    all.insert(all.end(), arguments.begin(), arguments.end());
    const Run run = run_lashband(all);
    INFO(word);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK_THAT(run.err, ContainsText(word));
  }
}

TEST_CASE("report sets a second file beside the first") {
  const Folder folder;
  std::string text = text_of(LASHBAND_SOURCE_DIR "/" + antenna);
  const json input = json::parse(text, nullptr, true, true);
  const std::string title = json(input["title"]).dump();
  text.replace(text.find(title), title.size(), "\"An older state (invented)\"");
  const fs::path other = folder.file("older.json", text);
  const Run run = run_lashband({"report", antenna, "--compare", other.string(), "--stamp"});
  INFO(run.err);
  CHECK(run.status != 2);
  CHECK_THAT(run.out, ContainsText("Beside "));
  CHECK_THAT(run.out, ContainsText("An older state (invented)"));
  CHECK_THAT(run.out, ContainsText("UTC"));
}
