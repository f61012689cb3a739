// What is told of the frequencies of a train: tables, JSON and CSV of results made by hand.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "catch.hpp"
#include "lashband/report/csv.hpp"
#include "lashband/report/json.hpp"
#include "lashband/report/text.hpp"
#include "made_train.hpp"
#include "rendered.hpp"
#include "report/line_words.hpp"
#include "report/terminal_table.hpp"

using namespace lashband;
using nlohmann::json;
using test::csv_rows;
using test::in_one_line;
using test::line_with;
using test::lines_of;

namespace {

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("frequencies: no table is wider than a terminal") {
  for (const design::FrequenciesResult& result :
       {test::full_frequencies(), test::bare_frequencies(), test::frequencies_over_orders()}) {
    for (const std::string& line : lines_of(report::text(result, {}))) {
      INFO(line);
      CHECK(report::columns_of(line) <= report::terminal_width);
    }
  }
}

TEST_CASE("frequencies: a line has its order and its frequency at each speed") {
  const std::string text = report::text(test::full_frequencies(), {});
  CHECK_THAT(in_one_line(text), ContainsText("speed: 1800 rpm (cold start), 900 rpm (running hot, "
                                             "gears lead the case)"));
  // 1800 rpm are 30 turns a second.
  CHECK_THAT(line_with(text, "2 f_z"), ContainsText("82      2460      1230"));
  CHECK_THAT(line_with(text, "f_z - 2 n crank A"), ContainsText("39      1170       585"));
  CHECK_THAT(line_with(text, "2 x inner race"), ContainsText("10.86     325.8     162.9"));
  CHECK_THAT(text, ContainsText("excitation gas to…"));
  const std::string bare = report::text(test::bare_frequencies(), {});
  CHECK_THAT(bare, ContainsText("no speed is given: orders alone"));
  CHECK_THAT(bare, ContainsText("no lines of different sources fall together within 2 %"));
  CHECK_FALSE(contains(bare, "Hz"));
}

TEST_CASE("frequencies: conditions that run at one speed share a column, and many are cut") {
  design::FrequenciesResult result = test::full_frequencies();
  result.speeds.push_back({"warm", test::made_rpm(900.0)});
  const std::string same = report::text(result, {});
  CHECK_THAT(line_with(same, "2 f_z"), EndsWith("2460      1230"));
  for (const double rpm : {300.0, 400.0}) {
    result.speeds.push_back({"at " + std::to_string(rpm), test::made_rpm(rpm)});
  }
  CHECK_THAT(report::text(result, {}), ContainsText("3 of 4 speeds shown; CSV and JSON have all"));
  report::View view;
  view.condition = "warm";
  CHECK_THAT(line_with(report::text(result, view), "2 f_z"), EndsWith("82      1230"));
}

TEST_CASE("frequencies: of many lines the first are shown") {
  design::FrequenciesResult result = test::bare_frequencies();
  result.lines.resize(1000, result.lines[1]);
  const std::string text = report::text(result, {});
  CHECK(lines_of(text).size() < 320);
  CHECK_THAT(text, ContainsText("300 of 1000 lines shown; CSV and JSON have all"));
}

TEST_CASE("frequencies: how the teeth meet and the phases of two meshes") {
  const std::string text = report::text(test::full_frequencies(), {});
  CHECK_THAT(in_one_line(text), ContainsText("A-B 41/38 1 38 41 41 0.0263158 41"));
  CHECK_THAT(in_one_line(text), ContainsText("fan mesh 45/18 9 2 5 - - -"));
  CHECK_THAT(in_one_line(text), ContainsText("gB A-B B-I 71.620 0.1875 idler"));
}

TEST_CASE("frequencies: a measured spectrum with its speed, its peaks and what explains them") {
  const std::string text = report::text(test::full_frequencies(), {});
  CHECK_THAT(in_one_line(text),
             ContainsText("measured spectrum bench.csv: speed 1800 rpm given, 1793.25 rpm by 7 of "
                          "its peaks (standard error 0.12 rpm); 2 peaks, 1 of them UNEXPLAINED"));
  const std::string known = line_with(text, "1225.5");
  CHECK_THAT(known, ContainsText("41.0042"));
  CHECK_THAT(known, ContainsText(" 6 %"));
  CHECK_THAT(known, EndsWith("0.12  mesh A-B, f_z"));
  CHECK_THAT(text, ContainsText("and 1 more"));
  CHECK_THAT(line_with(text, "1570.6"), EndsWith("UNEXPLAINED"));

  const std::string orders = report::text(test::frequencies_over_orders(), {});
  CHECK_THAT(in_one_line(orders), ContainsText("its orders are 1.001 times those of the train, "
                                               "standard error 0.0021, from 7 peaks"));
  CHECK_THAT(line_with(orders, "41.041"), ContainsText("0.0042  mesh A-B, f_z"));

  design::FrequenciesResult result = test::full_frequencies();
  result.measured->attribution.refined = false;
  result.measured->attribution.speed = result.measured->speed_given;
  CHECK_THAT(in_one_line(report::text(result, {})),
             ContainsText("speed 1800 rpm as given, not refined"));
  result.measured->attribution.peaks.clear();
  CHECK_THAT(in_one_line(report::text(result, {})), ContainsText("no peak stands out"));
}

TEST_CASE("frequencies: every kind of line has a word") {
  std::vector<std::string> kinds;
  for (const spectrum::Line& line : test::made_lines()) {
    kinds.emplace_back(report::kind_word(line.kind));
  }
  CHECK(kinds == std::vector<std::string>{"shaft", "mesh", "sideband", "mesh", "hunting_tooth",
                                          "assembly_phase", "cage", "rolling_element", "inner_race",
                                          "outer_race", "excitation"});
}

TEST_CASE("frequencies: JSON has every line, meeting, phase, coincidence and peak") {
  const json result = json::parse(report::json(test::full_frequencies(), {}));
  CHECK(result.at("analysis") == "frequencies");
  CHECK(result.at("speeds")[0] == json::parse(R"({ "condition": "cold start",
    "speed": { "value": 1800.0, "unit": "rpm" } })"));
  REQUIRE(result.at("lines").size() == 11);
  json sideband = result.at("lines")[2];
  constexpr double rounding = 1e-14;  // of a speed in rad/s
  CHECK_THAT(sideband.at("frequency").at("values")[0].get<double>(), WithinRel(1170.0, rounding));
  CHECK_THAT(sideband.at("frequency").at("values")[1].get<double>(), WithinRel(585.0, rounding));
  sideband.erase("frequency");
  CHECK(sideband == json::parse(R"({ "kind": "sideband", "source": "A-B",
    "harmonic": 1, "sideband": -2, "around": "crank A", "order": 39.0 })"));
  CHECK(result.at("meshes")[0].at("revolutions") == json::parse("[38, 41]"));
  CHECK_FALSE(result.at("meshes")[1].contains("mesh_order"));
  CHECK(result.at("phases")[0].at("phase") == 0.1875);
  CHECK(result.at("coincidences") == json::parse(R"({ "within": 0.02, "more": 4, "found": [{
    "line_1": { "kind": "mesh", "source": "A-B", "harmonic": 2, "order": 82.0 },
    "line_2": { "kind": "excitation", "source": "gas torque", "harmonic": 1, "order": 81.4 },
    "apart": 0.00732 }] })"));
  const json& measured = result.at("measured");
  CHECK(measured.at("speed").at("value") == 1793.25);
  CHECK(measured.at("unexplained") == 1);
  CHECK(measured.at("peaks")[0].at("frequency").at("value") == 1225.5);
  CHECK(measured.at("peaks")[0].at("candidates").size() == 4);
  CHECK(measured.at("peaks")[1].at("candidates").empty());

  const json orders = json::parse(report::json(test::frequencies_over_orders(), {})).at("measured");
  CHECK_FALSE(orders.contains("speed"));
  CHECK_THAT(orders.at("order_factor").get<double>(), WithinRel(1.001, rounding));
  CHECK(orders.at("peaks")[0].at("measured_order") == 41.041);
  CHECK_FALSE(orders.at("peaks")[0].contains("frequency"));
  CHECK_FALSE(orders.at("peaks")[0].at("candidates")[0].contains("error"));

  const json bare = json::parse(report::json(test::bare_frequencies(), {}));
  CHECK_FALSE(bare.at("lines")[0].contains("frequency"));
  CHECK_FALSE(bare.contains("measured"));
  report::View view;
  view.mesh = "fan mesh";
  CHECK(json::parse(report::json(test::full_frequencies(), view)).at("lines").size() == 6);
}

TEST_CASE("frequencies: CSV has a row a line and speed, or a peak and candidate") {
  design::FrequenciesResult result = test::full_frequencies();
  const auto peaks = csv_rows(report::csv(result, {}));
  REQUIRE(peaks.size() == 5);  // four candidates of the first, the second unexplained
  CHECK(peaks[1].at("peak") == "1");
  CHECK(peaks[1].at("candidate") == "2");
  CHECK(peaks[1].at("kind") == "assembly_phase");
  CHECK(peaks[4].at("frequency [Hz]") == "1570.6");
  CHECK(peaks[4].at("kind").empty());
  CHECK(csv_rows(report::csv(test::frequencies_over_orders(), {}))[0].at("measured_order") ==
        "41.041");

  result.measured.reset();
  const auto lines = csv_rows(report::csv(result, {}));
  REQUIRE(lines.size() == 22);
  CHECK(lines[5].at("condition") == "running hot, gears lead the case");
  CHECK(lines[5].at("kind") == "sideband");
  CHECK(lines[5].at("sideband") == "-2");
  CHECK(lines[5].at("speed [rpm]") == "900");
  constexpr double rounding = 1e-14;
  CHECK_THAT(std::stod(lines[5].at("frequency [Hz]")), WithinRel(585.0, rounding));
  const auto bare = csv_rows(report::csv(test::bare_frequencies(), {}));
  REQUIRE(bare.size() == 2);
  CHECK(bare[1].at("order") == "41");
  CHECK(bare[1].at("frequency [Hz]").empty());
}
