// Backlash over time as a user meets it.
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "catch.hpp"
#include "program.hpp"

using namespace lashband::test;
using nlohmann::json;

namespace {

const std::string cold_start = "measured start";

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// The first example with a record in which the gears are warm before the case, invented.
std::string train_with_record(const Folder& folder) {
  std::ostringstream record;
  record << "time [s],gears [degC],plate [degC],case [degC]\n";
  for (int time = 0; time <= 3600; time += 60) {
    const double share = time / 600.0;
    record << time << ',' << -40.0 + 150.0 * (1.0 - std::exp(-share)) << ','
           << -40.0 + 140.0 * (1.0 - std::exp(-0.3 * share)) << ','
           << -40.0 + 130.0 * (1.0 - std::exp(-0.2 * share)) << '\n';
  }
  (void)folder.file("start.csv", record.str());
  std::string text = train_without_histories();
  text.insert(
      text.find(R"(  "conditions")"),
      R"(  "histories": [{ "id": "measured start", "file": "start.csv", "interval": "60 s" }],)"
      "\n");
  return folder.file("train.json", text).string();
}

}  // namespace

TEST_CASE("warmup: tables and plots, 80 columns wide, and the verdict of the histories") {
  const Folder folder;
  const std::string file = train_with_record(folder);
  const Run run = run_lashband({"warmup", file, "--mesh", "A-B"});
  INFO(run.out << run.err);
  CHECK(run.status == 0);
  CHECK(run.err.empty());
  CHECK(widest_line(run.out) <= 80);
  CHECK_FALSE(contains(run.out, "\x1b"));
  CHECK_THAT(run.out, ContainsText("history measured start: record start.csv, 1 h"));
  CHECK_THAT(run.out, ContainsText("temperatures in degC"));
  CHECK_THAT(run.out, ContainsText("holds throughout"));
  CHECK_THAT(run.out, ContainsText("all 8 requirements met over the history"));

  const Run inch = run_lashband({"warmup", file, "--units", "inch", "--ascii", "--carrier",
                                 "bores in the case", "--mesh", "A-B"});
  CHECK(inch.status == 1);
  CHECK(widest_line(inch.out) <= 80);
  CHECK_THAT(inch.out, ContainsText("temperatures in degF"));
  CHECK_THAT(inch.out, ContainsText("NOT MET"));
  CHECK_THAT(inch.out, ContainsText("violated from "));
  CHECK_FALSE(contains(inch.out, "┤"));
  CHECK(run_lashband({"warmup", file, "--carrier", "bores in the case", "--no-verdict"}).status ==
        0);
}

TEST_CASE("warmup: JSON and CSV have every moment, and say the same") {
  const Folder folder;
  const std::string file = train_with_record(folder);
  const json result = json::parse(run_lashband({"warmup", file, "--format", "json"}).out);
  CHECK(result.at("analysis") == "warmup");
  const json& history = result.at("histories").at(0);
  CHECK(history.at("id") == cold_start);
  CHECK(history.at("file") == "start.csv");
  const std::size_t moments = history.at("times").at("values").size();
  CHECK(moments >= 61);
  REQUIRE(history.at("meshes").size() == 2);
  for (const json& mesh : history.at("meshes")) {
    CHECK(mesh.at("states").size() == moments);
  }
  // What a requirement found is that of the state at that time.
  for (const json& requirement : history.at("requirements")) {
    if (requirement.at("what") != "least_backlash") {
      continue;
    }
    for (const json& mesh : history.at("meshes")) {
      for (const json& state : mesh.at("states")) {
        const double low = state.at("j_wt").at("percentiles").at("least").at("0.135");
        if (mesh.at("id") == requirement.at("mesh")) {
          CHECK(low >= requirement.at("found").at("value").get<double>());
          CHECK((state.at("time") != requirement.at("time") ||
                 low == requirement.at("found").at("value").get<double>()));
        }
      }
    }
  }

  const Run csv = run_lashband({"warmup", file, "--format", "csv", "--mesh", "A-B"});
  const auto lines = lines_of(csv.out);
  CHECK(lines.size() == 1 + moments);
  CHECK_THAT(lines[0], StartsWith("history,mesh,time [s],temperature gears [degC],"));
  CHECK_THAT(lines[1], StartsWith("measured start,A-B,0,-40,-40,-40,106.5"));
}

TEST_CASE("moments of a history are states of every other analysis") {
  const Folder folder;
  const std::string file = train_with_record(folder);
  const Run table = run_lashband({"backlash", file, "--mesh", "A-B"});
  CHECK(widest_line(table.out) <= 80);
  CHECK_THAT(table.out, ContainsText("moments shown; lashband warmup shows"));
  const json all = json::parse(run_lashband({"backlash", file, "--format", "json"}).out);
  const json some = json::parse(
      run_lashband({"backlash", file, "--format", "json", "--condition", cold_start}).out);
  const json& states = some.at("meshes")[0].at("states");
  REQUIRE(states.size() > 5);
  CHECK(states.size() + 21 == all.at("meshes")[0].at("states").size());
  double last = -1.0;
  for (const json& state : states) {
    CHECK(state.at("condition") == cold_start);
    CHECK(state.at("time").at("value").get<double>() > last);
    last = state.at("time").at("value");
  }
  CHECK(last == 3600.0);

  const Run carriers = run_lashband({"carriers", file});
  CHECK(carriers.status == 0);
  CHECK(widest_line(carriers.out) <= 80);

  // Of a history's moments its extremes have a budget.
  const json budgets = json::parse(run_lashband({"budget", file, "--mesh", "A-B", "--condition",
                                                 cold_start, "--format", "json"})
                                       .out)
                           .at("budgets");
  REQUIRE(budgets.size() == 2);
  const std::string moment = cold_start + " at " + budgets[0].at("time").at("value").dump();
  const Run budget = run_lashband(
      {"budget", file, "--condition", moment.substr(0, moment.find(".0")) + " s", "--mesh", "A-B"});
  CHECK(budget.status == 0);
  CHECK_THAT(budget.out, ContainsText("at " + cold_start + " at "));
  const Run other =
      run_lashband({"budget", file, "--condition", cold_start + " at 60 s", "--mesh", "A-B"});
  CHECK(other.status == 2);
  CHECK_THAT(other.err, ContainsText("none of the moments"));
}

TEST_CASE("warmup tells what a file without histories lacks") {
  const Folder folder;
  const std::string file = folder.file("train.json", train_without_histories()).string();
  const Run run = run_lashband({"warmup", file});
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK_THAT(run.err, ContainsText("needs the key \"histories\""));
  CHECK_THAT(run.err, ContainsText("docs/warm-up.md"));
}

TEST_CASE("a history or a moment that is not there is refused") {
  const Folder folder;
  const std::string file = train_with_record(folder);
  const Run misspelt = run_lashband({"warmup", file, "--condition", "mesured start"});
  CHECK(misspelt.status == 2);
  CHECK_THAT(misspelt.err, ContainsText("did you mean \"measured start\"?"));
  const Run condition = run_lashband({"warmup", file, "--condition", "cold soak"});
  CHECK(condition.status == 2);
  CHECK_THAT(condition.err, ContainsText("the file has no history \"cold soak\""));
  const Run moment = run_lashband({"backlash", file, "--condition", cold_start + " at 0.125 s"});
  CHECK(moment.status == 2);
  CHECK(moment.out.empty());
  CHECK_THAT(moment.err, ContainsText("none of the moments"));
}
