// What is told of the train as a whole: tables, JSON and CSV of results made by hand.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "catch.hpp"
#include "lashband/report/csv.hpp"
#include "lashband/report/json.hpp"
#include "lashband/report/text.hpp"
#include "made_train.hpp"
#include "rendered.hpp"
#include "report/angle_text.hpp"
#include "report/loop_text.hpp"
#include "report/number_text.hpp"
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

std::string number_of(units::Angle angle) {
  return report::number_text(angle.value());
}

void check_columns_only(const std::string& text) {
  for (const std::string& line : lines_of(text)) {
    INFO(line);
    CHECK(report::columns_of(line) <= report::terminal_width);
  }
}

}  // namespace

TEST_CASE("train: no table is wider than a terminal, in either system of units") {
  for (const auto units : {report::UnitSystem::metric, report::UnitSystem::inch}) {
    report::View view;
    view.units = units;
    check_columns_only(report::text(test::full_train(), view));
    check_columns_only(report::text(test::bare_train(), view));
    check_columns_only(report::text(test::with_loops(test::full_result()), view));
    check_columns_only(report::text(test::with_loops(test::full_comparison()), view));
  }
}

TEST_CASE("train: ratios are exact and decimal, with their sense, group by group") {
  const std::string text = report::text(test::full_train(), {});
  CHECK_THAT(text, ContainsText("shafts, speed over that of crank A"));
  CHECK_THAT(text, ContainsText("shafts, speed over that of fan"));
  const std::string second = line_with(text, "  crank B  ");
  CHECK_THAT(second, ContainsText(" -41/38 "));
  CHECK_THAT(second, ContainsText(" -1.0789474 "));
  CHECK_THAT(second, ContainsText("opposite"));
  CHECK_THAT(line_with(text, "  ring  "), ContainsText("held"));
  CHECK_THAT(in_one_line(text), ContainsText("planet arm arm: turns 2/7 (0.28571429) times as "
                                             "fast as crank A; ring is held"));
  // The second table of shafts has speeds.
  CHECK_THAT(text, ContainsText("speed in rpm"));
  CHECK_THAT(text, ContainsText("-1942.5       -971.25\n"));
  CHECK_THAT(text, ContainsText("  fan                              -          3000\n"));
  CHECK_FALSE(contains(report::text(test::bare_train(), {}), "speed in rpm"));
}

TEST_CASE("train: a ratio too long for its column is not cut in half") {
  design::TrainResult result = test::bare_train();
  result.shafts[1].ratio = train::ExactRatio("1234567890123456789/9876543210987654321");
  const std::string line = line_with(report::text(result, {}), "  crank B  ");
  CHECK_FALSE(contains(line, "123456789012345"));
  CHECK_THAT(line, ContainsText("see JSON"));
  CHECK(json::parse(report::json(result, {})).at("shafts")[1].at("ratio").at("exact") ==
        train::text_of(result.shafts[1].ratio));
}

TEST_CASE("train: each loop says how it closes and what is left until it binds") {
  const std::string text = report::text(test::full_train(), {});
  const std::string flat = in_one_line(text);
  CHECK_THAT(flat, ContainsText("loop A-B, B-I, I-A: crank A - A-B - crank B - B-I - idler - I-A "
                                "- crank A"));
  CHECK_THAT(flat, ContainsText("closed by the places of its shafts: 0.0123 pitches of A-B left "
                                "over as drawn; it can be assembled"));
  CHECK_THAT(flat, ContainsText("closed at assembly: a gear on idler is turned until it fits"));
  CHECK_THAT(flat, ContainsText("how it closes is not known"));
  // Nominal, worst case and RSS with the float in its middle, then with it taken up.
  CHECK_THAT(line_with(text, "↓ running hot"),
             ContainsText("-4.3   -24.3   -16.8    10.8    -9.3    -1.8         -"));
  CHECK_THAT(flat, ContainsText("the bore of idler alone may be 82.0 µm off its place until the "
                                "loop binds, at cold start"));

  design::TrainResult result = test::full_train();
  result.backlash.loops[0].can_be_assembled = false;
  CHECK_THAT(in_one_line(report::text(result, {})), ContainsText("it CANNOT be assembled"));
  result.backlash.loops[0].can_be_assembled.reset();
  CHECK_THAT(in_one_line(report::text(result, {})),
             ContainsText("whether it can be assembled cannot be told"));
}

TEST_CASE("train: lost motion state by state, and what each mesh adds") {
  const std::string text = report::text(test::full_train(), {});
  const std::string flat = in_one_line(text);
  CHECK_THAT(flat, ContainsText("lost motion of idler with crank A held: over A-B, B-I; other ways "
                                "join them too, the least of all counts"));
  CHECK_THAT(text, ContainsText("in arcmin"));
  CHECK_THAT(line_with(text.substr(text.find("lost motion of idler")), "↓ cold start"),
             ContainsText("10.25   5.75  15.75"));
  CHECK_THAT(text, ContainsText("a loop binds: they cannot turn"));
  CHECK_THAT(text, ContainsText("percentiles are sampled"));
  CHECK_THAT(flat, ContainsText("share of each mesh at soak 20 degC, nominal"));
  CHECK_THAT(flat, ContainsText("A-B 12.50 1.25 0.75"));
  CHECK_THAT(flat, ContainsText("lost motion of 17 pairs of shafts is left out"));
  CHECK_THAT(text, ContainsText("sampled: 65536 units, seed 7, AVX2"));
}

TEST_CASE("train: wind-up stands beside lost motion, and what both come to under torque") {
  const std::string text = report::text(test::full_train(), {});
  const std::string table = text.substr(text.find("  mean torques"));
  CHECK_THAT(line_with(table, "mean torques"),
             EndsWith("    lost motion, worst case  wind-up under torque, worst case"));
  CHECK_THAT(line_with(table, "in arcmin"),
             EndsWith("  nominal     min     max           nominal     min     max"));
  CHECK_THAT(line_with(table, "cold start"),
             EndsWith("    10.25    5.75   15.75     1.75    13.75    9.25   19.25"));
  // Where a loop binds they cannot turn, but the shafts wind up all the same.
  CHECK_THAT(line_with(table, "running hot"),
             EndsWith("        -       -       -     1.75        -       -       -"));
  CHECK_FALSE(contains(table.substr(0, table.find("share of each mesh")), "soak"));
  CHECK_THAT(in_one_line(text), ContainsText("under torque: as these reverse, twice the wind-up"));
  CHECK_FALSE(contains(report::text(test::bare_train(), {}), "wind-up"));
  CHECK_FALSE(contains(report::text(test::bare_train(), {}), "under torque"));
}

TEST_CASE("train: a wind-up far beyond the lost motion has a unit of its own") {
  design::TrainResult result = test::full_train();
  design::LostMotionState& at = result.lost_motion[0].states[0];
  at.wind_up = test::arcminutes(300.0);
  at.under_torque = test::full_motion(600.0 + 10.25);
  const std::string text = report::text(result, {});
  check_columns_only(text);
  CHECK_THAT(text.substr(text.find("  mean torques")), ContainsText("in deg"));
  CHECK_THAT(text, ContainsText("in arcmin"));
}

TEST_CASE("train: requirements of loops and lost motion have their names on a line of their own") {
  const std::string text = report::text(test::full_train(), {});
  const auto lines = lines_of(text);
  const auto name = std::find(lines.begin(), lines.end(), "  lost motion idler - crank A");
  REQUIRE(name != lines.end());
  CHECK_THAT(*(name + 1), ContainsText("greatest"));
  CHECK_THAT(*(name + 1), ContainsText("≤ 30.00 arcmin"));
  CHECK_THAT(*(name + 1), ContainsText(" 24.25 arcmin"));
  CHECK_THAT(*(name + 1), EndsWith("met"));
  const auto loop = std::find(lines.begin(), lines.end(), "  loop A-B, B-I, I-A");
  REQUIRE(loop != lines.end());
  CHECK_THAT(*(loop + 1), ContainsText("no binding"));
  CHECK_THAT(*(loop + 1), EndsWith("NOT MET"));
}

TEST_CASE("angles of a table are in one unit that fits the greatest") {
  const auto deg = [](double x) {
    constexpr double degree = 0.017453292519943295;
    return units::from_si<units::Angle>(x * degree);
  };
  CHECK(report::AngleScale(deg(1.5)).with_unit(deg(1.5)) == "1.5000 deg");
  CHECK(report::AngleScale(deg(361.0)).with_unit(deg(0.125)) == "0.13 deg");
  CHECK(report::AngleScale(deg(0.5)).with_unit(deg(0.5)) == "30.00 arcmin");
  CHECK(report::AngleScale(deg(0.1)).with_unit(deg(0.05)) == "3.000 arcmin");
  CHECK(report::AngleScale(deg(0.01)).with_unit(deg(0.01)) == "36.00 arcsec");
  CHECK(report::AngleScale(deg(0.0)).with_unit(deg(0.0)) == "0.000 arcmin");
  CHECK(report::AngleScale(deg(1e6)).with_unit(deg(1e6)) == "1000000 deg");
  CHECK(report::rounded_number(-41.0 / 38.0, 8) == "-1.0789474");
  CHECK(report::rounded_number(1800.0, 7) == "1800");
  CHECK(report::rounded_number(2.5e-7, 7) == "2.5e-07");
}

TEST_CASE("a long loop is named by its first meshes") {
  design::LoopResult loop;
  for (int i = 1; i <= 9; ++i) {
    loop.meshes.push_back("m" + std::to_string(i));
    loop.shafts.push_back("s" + std::to_string(i));
  }
  CHECK(report::loop_title(loop) == "loop m1, m2, m3, m4, m5, m6 and 3 more");
}

TEST_CASE("train: a mesh or a condition chosen is shown and the others are not") {
  report::View view;
  view.mesh = "B-R";
  view.condition = "cold start";
  const std::string text = report::text(test::full_train(), view);
  CHECK_FALSE(contains(text, "lost motion of idler"));
  CHECK_FALSE(contains(text, "crank B - B-I"));
  CHECK(contains(text, "no binding"));  // judged all the same
  const json some = json::parse(report::json(test::full_train(), view));
  CHECK(some.at("meshes").size() == 1);
  CHECK(some.at("loops").empty());
  CHECK(some.at("lost_motion").empty());
  CHECK(some.at("shafts")[0].at("speeds").size() == 1);
  CHECK(some.at("requirements").size() == 2);
}

TEST_CASE("train: JSON has every number of the result") {
  const json result = json::parse(report::json(test::full_train(), {}));
  CHECK(result.at("analysis") == "train");
  CHECK(result.at("planet_arm") == json::parse(R"({ "id": "arm", "held": "ring",
    "ratio": { "exact": "2/7", "value": 0.2857142857142857 } })"));
  const json& shaft = result.at("shafts")[1];
  CHECK(shaft.at("ratio").at("exact") == "-41/38");
  CHECK(shaft.at("speeds")[1] == json::parse(R"({ "condition": "running hot, gears lead the case",
    "speed": { "value": -971.25, "unit": "rpm" } })"));
  CHECK(result.at("shafts")[3].at("speeds").size() == 1);
  CHECK(result.at("meshes")[1] == json::parse(R"({ "id": "B-R", "gears": ["gB", "gR"],
    "shafts": ["crank B", "ring"], "teeth": [38, 120], "internal": true, "on_a_loop": false })"));
  const json& loop = result.at("loops")[0];
  CHECK(loop.at("closed_by") == "places");
  CHECK(loop.at("offset") == 0.0123);
  CHECK(loop.at("states")[0] == json::parse(R"({ "condition": "cold start",
    "margin": { "nominal": 0.0315, "worst_low": 0.0115, "rss_low": 0.019, "unit": "mm" },
    "margin_float_taken_up":
      { "nominal": 0.0465, "worst_low": 0.0265, "rss_low": 0.034, "unit": "mm" },
    "bore_reserve": { "shaft": "idler", "by": { "value": 0.082, "unit": "mm" } } })"));
  CHECK(loop.at("least").at("condition") == "running hot, gears lead the case");
  CHECK_FALSE(result.at("loops")[2].contains("least"));
  const json& motion = result.at("lost_motion")[0];
  CHECK_FALSE(motion.at("states")[1].contains("total"));
  CHECK(motion.at("states")[0].at("total").at("unit") == "rad");
  CHECK_THAT(motion.at("greatest").at("total").at("nominal").get<double>(),
             WithinRel(20.75 * 3.14159265358979323846 / 10800.0, 1e-15));
  CHECK(motion.at("shares").size() == 2);
  CHECK(motion.at("states")[0].at("wind_up").at("value") == test::arcminutes(1.75).value());
  CHECK(motion.at("states")[0].at("under_torque").at("nominal") ==
        test::full_motion(13.75).nominal.value());
  CHECK_FALSE(motion.at("states")[1].contains("under_torque"));
  CHECK_FALSE(motion.at("states")[2].contains("wind_up"));
  CHECK(result.at("lost_motion_left_out") == 17);
  CHECK(result.at("requirements")[1].at("limit").at("unit") == "rad");
  CHECK_FALSE(json::parse(report::json(test::bare_train(), {})).contains("lost_motion_left_out"));
}

TEST_CASE("train: a row of CSV is about a shaft, mesh, loop, lost motion or share") {
  const auto rows = csv_rows(report::csv(test::full_train(), {}));
  const auto of = [&rows](const std::string& what) {
    std::vector<test::Row> some;
    std::copy_if(rows.begin(), rows.end(), std::back_inserter(some),
                 [&what](const test::Row& row) { return row.at("row") == what; });
    return some;
  };
  CHECK(of("shaft").size() == 7);  // three at two speeds, the fan at one
  CHECK(of("shaft")[2].at("ratio_exact") == "-41/38");
  CHECK(of("shaft")[2].at("speed [rpm]") == "-1942.5");
  REQUIRE(of("mesh").size() == 2);
  CHECK(of("mesh")[1].at("teeth_2") == "120");
  CHECK(of("mesh")[1].at("margin_nominal [mm]").empty());
  const auto loops = of("loop");
  REQUIRE(loops.size() == 7);  // three states of two loops, and one that has none
  CHECK(loops[1].at("id") == "A-B, B-I, I-A");
  CHECK(loops[1].at("margin_float_taken_up_rss_low [mm]") == "-0.00175");
  CHECK(loops[0].at("bore_of") == "idler");
  CHECK(loops[6].at("closed_by") == "unknown");
  REQUIRE(of("lost_motion").size() == 3);
  CHECK(of("lost_motion")[1].at("lost_motion_nominal [rad]").empty());
  CHECK_FALSE(of("lost_motion")[0].at("lost_motion_greatest_p99.865 [rad]").empty());
  CHECK_FALSE(of("lost_motion")[0].at("lost_motion_backlash_alone_worst_low [rad]").empty());
  CHECK(of("lost_motion")[0].at("wind_up [rad]") == number_of(test::arcminutes(1.75)));
  CHECK(of("lost_motion")[0].at("lost_motion_under_torque_worst_high [rad]") ==
        number_of(test::full_motion(13.75).high));
  CHECK_FALSE(of("lost_motion")[1].at("wind_up [rad]").empty());
  CHECK(of("lost_motion")[1].at("lost_motion_under_torque_nominal [rad]").empty());
  CHECK(of("lost_motion")[2].at("wind_up [rad]").empty());
  CHECK(of("shaft")[0].at("lost_motion_under_torque_greatest_p99.865 [rad]").empty());
  REQUIRE(of("share").size() == 2);
  CHECK(of("share")[0].at("wind_up [rad]").empty());
  CHECK(of("share")[0].at("condition") == "soak 20 degC");
  CHECK_FALSE(of("share")[0].at("from_float [rad]").empty());
  CHECK(csv_rows(report::csv(test::bare_train(), {})).size() == 2 + 1 + 3);
}

TEST_CASE("loops stand in the tables of backlash and carriers, where there are any") {
  const std::string backlash = report::text(test::with_loops(test::full_result()), {});
  CHECK_THAT(in_one_line(backlash),
             ContainsText("loop A-B, B-I, I-A: least margin -16.8 µm at running hot, gears lead "
                          "the case, with all float taken up -1.8 µm at running hot, gears lead "
                          "the case; root sum square"));
  CHECK_FALSE(contains(report::text(test::full_result(), {}), "loop"));
  const std::string carriers = report::text(test::with_loops(test::full_comparison()), {});
  CHECK_THAT(carriers, ContainsText("loop A-B, B-I, I-A: margin over all states, root sum square"));
  CHECK_THAT(line_with(carriers, "-16.8"), ContainsText("* floating steel plate"));
  CHECK_THAT(in_one_line(carriers), ContainsText("loop A-B, B-I, I-A: -1.8 µm against 0.0 µm"));
  CHECK_FALSE(contains(report::text(test::full_comparison(), {}), "loop"));
}

TEST_CASE("loops stand in JSON and CSV of backlash and carriers, where there are any") {
  const json backlash = json::parse(report::json(test::with_loops(test::full_result()), {}));
  CHECK(backlash.at("loops").size() == 3);
  CHECK_FALSE(json::parse(report::json(test::full_result(), {})).contains("loops"));
  const json row =
      json::parse(report::json(test::with_loops(test::full_comparison()), {})).at("rows")[0];
  CHECK(row.at("loops")[0].at("least").at("margin").at("rss_low") == -0.01675);

  const auto rows = csv_rows(report::csv(test::with_loops(test::full_result()), {}));
  CHECK(rows[1].at("loop") == "A-B, B-I, I-A");
  CHECK(rows[1].at("loop_margin_float_taken_up_rss_low [mm]") == "-0.00175");
  CHECK(rows[3].at("loop").empty());  // the other mesh is on none
  CHECK_FALSE(contains(report::csv(test::full_result(), {}), "loop"));
  const auto compared = csv_rows(report::csv(test::with_loops(test::full_comparison()), {}));
  CHECK(compared[0].at("least_loop_condition") == "running hot, gears lead the case");
  CHECK_FALSE(contains(report::csv(test::full_comparison(), {}), "loop"));
}

TEST_CASE("train: a sweep and a history are thinned as in other tables") {
  design::TrainResult result = test::full_train();
  result.backlash = test::with_history(result.backlash, "start up", 60);
  for (std::size_t i = 3; i < result.backlash.states.size(); ++i) {
    design::LoopState at = result.backlash.loops[0].states[0];
    at.state = i;
    result.backlash.loops[0].states.push_back(at);
    design::LostMotionState motion = result.lost_motion[0].states[0];
    motion.state = i;
    result.lost_motion[0].states.push_back(motion);
  }
  const std::string text = report::text(result, {});
  check_columns_only(text);
  CHECK_THAT(text, ContainsText("history start up: 8 of 60 moments shown; CSV and JSON have all"));
  CHECK(lines_of(text).size() < 130);
}
