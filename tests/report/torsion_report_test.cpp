// What is told of the torsional model: tables, JSON and CSV of results made by hand.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "catch.hpp"
#include "lashband/report/csv.hpp"
#include "lashband/report/json.hpp"
#include "lashband/report/text.hpp"
#include "made_torsion.hpp"
#include "rendered.hpp"
#include "report/requirement_text.hpp"
#include "report/terminal_table.hpp"
#include "report/torsion_words.hpp"

using namespace lashband;
using nlohmann::json;
using test::csv_rows;
using test::in_one_line;
using test::line_with;
using test::lines_of;
using test::Row;

namespace {

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

void check_columns(const std::string& text) {
  for (const std::string& line : lines_of(text)) {
    INFO(line);
    CHECK(report::columns_of(line) <= report::terminal_width);
    CHECK((line.empty() || line.back() != ' '));
  }
}

// The text of one condition, up to the next one.
std::string part_of(const std::string& text, const std::string& condition) {
  const std::size_t begin = text.find("condition " + condition + ":");
  REQUIRE(begin != std::string::npos);
  return text.substr(begin, text.find("\ncondition ", begin) - begin);
}

json parsed(const design::TorsionResult& result, const report::View& view = {}) {
  return json::parse(report::json(result, view));
}

bool has_null(const json& value) {
  return value.is_null() || ((value.is_array() || value.is_object()) &&
                             std::any_of(value.begin(), value.end(), has_null));
}

}  // namespace

TEST_CASE("torsion: no table is wider than a terminal, in either system of units") {
  for (const auto units : {report::UnitSystem::metric, report::UnitSystem::inch}) {
    report::View view;
    view.units = units;
    check_columns(report::text(test::full_torsion(), view));
    check_columns(report::text(test::bare_torsion(), view));
    check_columns(report::text(test::endless_torsion(), view));
    // Long names are cut, and so is nothing else.
    design::TorsionResult result = test::full_torsion();
    const std::string name(60, 'n');
    for (design::TorsionElement& element : result.elements) {
      element.id = name;
    }
    for (design::TorsionInertia& inertia : result.inertias) {
      inertia.id = name;
    }
    result.lines[0].id = name;
    check_columns(report::text(result, view));
  }
}

TEST_CASE("torsion: requirements come first, a margin with its excitation on a line of its own") {
  const std::string text = report::text(test::full_torsion(), {});
  const std::size_t verdict = text.find("requirements, judged on: nominal");
  REQUIRE(verdict != std::string::npos);
  CHECK(verdict < text.find("condition cold start:"));
  CHECK_THAT(in_one_line(text),
             ContainsText("A-B greatest rattle index ≤ 1.250 1.029 cold start met"));
  // No mean force: no index is great enough.
  CHECK_THAT(in_one_line(text),
             ContainsText("B-I greatest rattle index ≤ 1.250 ∞ cold start NOT MET"));
  const auto lines = lines_of(text);
  const auto name =
      std::find(lines.begin(), lines.end(), "  torque compressor, order 2.50 at mode 1");
  REQUIRE(name != lines.end());
  CHECK_THAT(in_one_line(*(name + 1)),
             ContainsText("least resonance margin ≥ 0.150 0.012 cold start NOT MET"));
  CHECK_THAT(text, ContainsText("2 of 3 requirements not met"));
  CHECK(report::requirement_line(test::full_torsion().requirements[2], {}) ==
        "torque compressor, order 2.50 at mode 1 least resonance margin: 0.012 against 0.150, "
        "cold start");
}

TEST_CASE("torsion: the model and the speed of each condition are named") {
  const std::string text = in_one_line(report::text(test::full_torsion(), {}));
  CHECK_THAT(text, ContainsText("torsional model: 5 inertias and 7 parts between them; speeds and "
                                "orders are those of crank A; crank A takes up what the mean "
                                "torques leave; everything repeats after 2 turns of crank A"));
  CHECK_THAT(text, ContainsText("condition cold start: 1500 rpm of crank A; crank A takes up 14.25 "
                                "N m"));
  CHECK_THAT(text, ContainsText("condition running hot, gears lead the case: 2400 rpm of crank A, "
                                "the top of the sweep, where nothing is judged"));
  CHECK_THAT(text, ContainsText("condition standing: without a speed, natural frequencies alone"));
  CHECK_THAT(text, ContainsText("not computed: torsional model at soak start: no density"));
  CHECK_THAT(text, ContainsText("teeth_part, mesh A-B, cold start: the teeth part"));
  CHECK_THAT(in_one_line(report::text(test::bare_torsion(), {})),
             ContainsText("1 part between them; speeds and orders are those of crank A; crank B "
                          "takes up what the mean torques leave; nothing shakes the train"));
}

TEST_CASE("torsion: forces of meshes with their rattle index, torques of other parts") {
  const std::string text = part_of(report::text(test::full_torsion(), {}), "cold start");
  CHECK_THAT(text, ContainsText("force on the base tangent in N\n"));
  CHECK_THAT(in_one_line(line_with(text, "  A-B  ")),
             ContainsText("A-B 512.5 -15 1040 1.029 312.5"));
  CHECK_THAT(in_one_line(line_with(text, "  B-I  ")), ContainsText("B-I 0 -31.5 30.5 unloaded"));
  CHECK_THAT(in_one_line(line_with(text, "  shaft pulley - seat")),
             ContainsText("12.5 4.75 20.25 90000"));
  CHECK_THAT(in_one_line(line_with(text, "  drag seal")), EndsWith("- -0.125 0.125 -"));

  report::View inch;
  inch.units = report::UnitSystem::inch;
  const std::string inches = part_of(report::text(test::full_torsion(), inch), "cold start");
  // 512.5 N / 4.4482216152605 N, 3.125e8 N/m in lbf/in, 12.5 N m / 1.3558179483 N m.
  CHECK_THAT(in_one_line(line_with(inches, "  A-B  ")), ContainsText("A-B 115.21"));
  CHECK_THAT(in_one_line(line_with(inches, "  A-B  ")), EndsWith(" 1.7844e+06"));
  CHECK_THAT(in_one_line(line_with(inches, "  shaft pulley - seat")), ContainsText(" 9.2195 "));
  CHECK_THAT(inches, ContainsText("torque in lbf ft"));
  CHECK_THAT(in_one_line(inches), ContainsText("takes up 10.51 lbf ft"));
  CHECK_THAT(in_one_line(line_with(inches, "  gB ")), ContainsText("gB 187.3 settled"));
  CHECK_THAT(in_one_line(inches), ContainsText("J = 25.543 lb in2"));
}

TEST_CASE("torsion: natural frequencies, what they strain and what meets them") {
  const std::string text = part_of(report::text(test::full_torsion(), {}), "cold start");
  CHECK_THAT(in_one_line(line_with(text, "   61.75")),
             ContainsText("1 61.75 0.0213 2 mesh A-B 62.5 %"));
  CHECK_THAT(in_one_line(line_with(text, "  418.25")), ContainsText("2 418.25 - 0 mesh A-B"));
  CHECK_FALSE(contains(text, "\n     0  "));  // the free motion of the train
  CHECK_THAT(in_one_line(line_with(text, "torque compressor  ")),
             ContainsText("1 torque compressor 2.5 1482 +1.2 %"));
  CHECK_THAT(in_one_line(line_with(text, " 612.073 ")),
             ContainsText("2 mesh A-B 41 612.073 +145.1 %"));
  CHECK_THAT(in_one_line(line_with(text, "torque belt")), EndsWith("1 3705 -"));

  // The nearest ten, with a count of the rest.
  design::TorsionResult many = test::full_torsion();
  std::vector<design::Crossing>& crossings = many.conditions[0].crossings;
  for (std::size_t mode = 3; crossings.size() < 14; ++mode) {
    crossings.push_back(crossings[0]);
    crossings.back().mode = mode;
  }
  // Two lines of one torque and order, a piston's inertia and its gas, are one row.
  many.lines.push_back(many.lines[0]);
  crossings.push_back(crossings[0]);
  crossings.back().line = 3;
  CHECK_THAT(report::text(many, {}), ContainsText("10 of 14 crossings shown; JSON has all"));

  design::TorsionResult stiff = test::bare_torsion();
  stiff.conditions[0].modes = {test::free_mode()};
  CHECK_THAT(report::text(stiff, {}), ContainsText("no natural frequency"));
}

TEST_CASE("torsion: an order chosen shows its crossings alone") {
  report::View view;
  view.order = 41.02;  // as near as somebody would type it
  const std::string text = report::text(test::full_torsion(), view);
  CHECK_FALSE(contains(text, "torque belt"));
  CHECK_THAT(part_of(text, "cold start"), ContainsText(" 612.073 "));
  const json condition = parsed(test::full_torsion(), view).at("conditions")[0];
  REQUIRE(condition.at("crossings").size() == 1);
  CHECK(condition.at("crossings")[0].at("excitation") == 1);
  view.order = 42.0;
  CHECK_THAT(in_one_line(report::text(test::full_torsion(), view)),
             ContainsText("no excitation of order 42 meets a natural frequency"));
}

TEST_CASE("torsion: elastomers tell where their temperature comes from") {
  const std::string text = report::text(test::full_torsion(), {});
  const std::string cold = part_of(text, "cold start");
  CHECK_THAT(cold, ContainsText("twist in arcmin"));
  // 0.0034 rad are 11.688 minutes of arc, 0.0059 rad 20.283.
  CHECK_THAT(in_one_line(line_with(cold, "  gB ")),
             ContainsText("gB 86.3 settled 2500 0.163 -11.69 20.28 4.2 3.75"));
  CHECK_THAT(in_one_line(line_with(cold, "  tuned  ")), ContainsText("41.5 of its zone"));
  CHECK_THAT(in_one_line(line_with(cold, "  tuned  ")), ContainsText("20.28 - 3.75"));
  const std::string hot = part_of(text, "running hot, gears lead the case");
  CHECK_THAT(hot, ContainsText("RUNS AWAY"));
  CHECK_THAT(hot, ContainsText("ABOVE RANGE"));
  const std::string still = part_of(text, "standing");
  CHECK_THAT(in_one_line(line_with(still, "  gB ")), ContainsText("NOT FOUND 2500 - - - - -"));
}

TEST_CASE("torsion: wind-up, case reaction and powers") {
  const std::string text = part_of(report::text(test::full_torsion(), {}), "cold start");
  const std::string flat = in_one_line(text);
  // 0.0061 rad are 20.970 minutes of arc, 0.0019 rad 6.532.
  CHECK_THAT(flat, ContainsText("crank B crank A 20.97 ± 6.53"));
  CHECK_THAT(flat, ContainsText("J = 0.007475 kg m2; that of the greatest shaft 0.0166 kg m2"));
  CHECK_THAT(flat, ContainsText("vibration: ± 6.5 N m on the case"));
  CHECK_THAT(flat, ContainsText("J becomes 0 with another 0.00598 kg m2 on crank B"));
  CHECK_THAT(flat, ContainsText("mean torques 2238.5 2100.2 138.25 vibration 9.125 9.0625"));
}

TEST_CASE("torsion: the two strongest knobs of each frequency and of each index") {
  const std::string text = part_of(report::text(test::full_torsion(), {}), "cold start");
  CHECK_THAT(in_one_line(line_with(text, "1, 61.75 Hz")),
             EndsWith("1, 61.75 Hz J pulley -0.438 k mesh A-B +0.312"));
  CHECK_THAT(line_with(text, "2, 418.2 Hz"), EndsWith("-"));
  const std::string index = text.substr(text.find("rattle indices most"));
  CHECK_THAT(in_one_line(line_with(index, "  A-B  ")),
             EndsWith("A-B J pulley -0.750 k elastomer of gB -0.500"));
  // Nothing moves a force that is not there.
  CHECK_FALSE(contains(index.substr(0, index.find("sweep of")), "  B-I "));
}

TEST_CASE("torsion: of a sweep the greatest of each mesh") {
  const std::string text = part_of(report::text(test::full_torsion(), {}), "cold start");
  const std::string sweep = text.substr(text.find("sweep of"));
  CHECK_THAT(in_one_line(sweep), StartsWith("sweep of 3 speeds from 600 to 2400 rpm"));
  CHECK_THAT(in_one_line(line_with(sweep, "  A-B  ")), ContainsText("1.029 1500 527.5 1500"));
  CHECK_THAT(in_one_line(line_with(sweep, "  B-I  ")), ContainsText("1.500 2400 44.75 2400"));
  CHECK_FALSE(contains(report::text(test::bare_torsion(), {}), "sweep"));
}

TEST_CASE("torsion: without a full cycle nothing is greatest or least") {
  const std::string text = part_of(report::text(test::endless_torsion(), {}), "cold start");
  CHECK_THAT(in_one_line(line_with(text, "  A-B  ")), ContainsText("A-B 512.5 - - - 312.5"));
  CHECK_THAT(in_one_line(text), ContainsText("crank B crank A 20.97 -"));
  CHECK_FALSE(contains(text, "vibration: ±"));
  const json condition = parsed(test::endless_torsion()).at("conditions")[0];
  CHECK_FALSE(condition.contains("meshes"));
  CHECK_FALSE(condition.contains("sweep"));
  CHECK(condition.at("elements")[2].contains("mean"));
  CHECK_FALSE(condition.at("elements")[2].contains("least"));
  CHECK(condition.at("wind_up")[0].at("against") == "crank A");
  CHECK_FALSE(condition.at("wind_up")[0].contains("phase_error"));
  CHECK_FALSE(condition.at("elastomers")[0].contains("greatest_twist"));
  CHECK_FALSE(condition.at("elastomers")[0].contains("shear_strain"));
  CHECK_FALSE(condition.at("reaction").contains("vibration"));
  const auto rows = csv_rows(report::csv(test::endless_torsion(), {}));
  CHECK(rows.size() == 14);
  CHECK(rows[2].at("mean_force [N]") == "512.5");
  CHECK(rows[2].at("dynamic_force [N]").empty());
  CHECK(rows[2].at("least_force [N]").empty());
}

TEST_CASE("torsion: a mesh or a condition chosen is shown and the others are not") {
  report::View view;
  view.mesh = "B-I";
  view.condition = "cold start";
  const std::string text = report::text(test::full_torsion(), view);
  CHECK_FALSE(contains(text, "condition standing"));
  CHECK_FALSE(contains(text.substr(text.find("condition cold start")), "\n  A-B "));
  CHECK_THAT(text, ContainsText("2 of 3 requirements not met"));  // judged all the same
  const json some = parsed(test::full_torsion(), view);
  REQUIRE(some.at("conditions").size() == 1);
  const json& condition = some.at("conditions")[0];
  REQUIRE(condition.at("meshes").size() == 1);
  CHECK(condition.at("meshes")[0].at("mesh") == "B-I");
  CHECK(condition.at("elements").size() == 6);
  CHECK(condition.at("sweep").at("elements").size() == 6);
  CHECK(some.at("elements").size() == 7);  // what others count in
  CHECK(some.at("requirements").size() == 3);
  for (const Row& row : csv_rows(report::csv(test::full_torsion(), view))) {
    CHECK(row.at("condition") == "cold start");
    CHECK((row.at("kind") != "mesh" || row.at("element") == "B-I"));
  }
}

TEST_CASE("torsion: JSON has every number of the result") {
  const json result = parsed(test::full_torsion());
  CHECK(result.at("analysis") == "torsion");
  CHECK(result.at("inertias")[3] == json::parse(R"({ "kind": "rim", "id": "rim of gB",
    "shaft": "crank B", "ratio": -1.25, "inertia": { "value": 0.0021, "unit": "kg m2" } })"));
  CHECK(result.at("elements")[0] ==
        json::parse(R"({ "kind": "segment", "id": "pulley - seat", "inertias": [0, 1] })"));
  CHECK(result.at("elements")[6].at("inertias") == json::parse("[2]"));
  CHECK(result.at("excitations")[0] == json::parse(R"({ "id": "torque compressor", "order": 2.5,
    "order_of_source": 2.0 })"));
  CHECK(result.at("revolutions_per_cycle") == 2.0);
  const json& condition = result.at("conditions")[0];
  CHECK(condition.at("speed") == json::parse(R"({ "value": 1500.0, "unit": "rpm" })"));
  CHECK(condition.at("speed_judged") == true);
  CHECK(condition.at("balance") == json::parse(R"({ "value": 14.25, "unit": "N m" })"));
  CHECK(condition.at("elements")[2] == json::parse(R"({ "element": 2,
    "stiffness": { "value": 312500000.0, "unit": "N/m" }, "mean": { "value": 512.5, "unit": "N" },
    "greatest": { "value": 1040.0, "unit": "N" }, "least": { "value": -15.0, "unit": "N" } })"));
  CHECK(condition.at("elements")[0].at("stiffness").at("unit") == "N m/rad");
  CHECK_FALSE(condition.at("elements")[6].contains("stiffness"));
  CHECK_FALSE(condition.at("elements")[6].contains("mean"));
  const json& mode = condition.at("modes")[1];
  CHECK(mode.at("frequency") == json::parse(R"({ "value": 61.75, "unit": "Hz" })"));
  CHECK(mode.at("damped").at("value") == 62.0);
  CHECK(mode.at("nodes") == json::parse("[0, 2]"));
  CHECK(mode.at("frequency_by_inertia")[0] == -0.4375);
  CHECK_FALSE(condition.at("modes")[0].contains("strain_share"));
  CHECK_FALSE(condition.at("modes")[2].contains("frequency_by_stiffness"));
  CHECK(condition.at("crossings")[0] == json::parse(R"({ "excitation": 0, "mode": 1,
    "speed": { "value": 1482.0, "unit": "rpm" }, "margin": 0.012146 })"));
  CHECK_FALSE(condition.at("crossings")[2].contains("margin"));
  CHECK(condition.at("meshes")[0].at("rattle_index") == 1.029268);
  CHECK(condition.at("meshes")[1] == json::parse(R"({ "mesh": "B-I",
    "mean": { "value": 0.0, "unit": "N" }, "least": { "value": -31.5, "unit": "N" },
    "unloaded": true })"));
  CHECK(condition.at("elastomers")[0].at("temperature_is") == "settled");
  CHECK(condition.at("elastomers")[0].at("heat_per_cycle") ==
        json::parse(R"({ "value": 0.3, "unit": "J" })"));
  CHECK_FALSE(condition.at("elastomers")[1].contains("shear_strain"));
  CHECK(condition.at("reaction").at("cancelling")[0].at("inertia").at("value") == 0.00598);
  CHECK(condition.at("power").at("vibration_out") ==
        json::parse(R"({ "value": 9.0625, "unit": "W" })"));
  const json& sweep = condition.at("sweep");
  CHECK(sweep.at("speeds").at("values") == json::parse("[600.0, 1500.0, 2400.0]"));
  CHECK(sweep.at("elements")[2].at("dynamic") ==
        json::parse(R"({ "values": [110.5, 527.5, 205.5], "unit": "N" })"));
  CHECK(sweep.at("meshes")[1].at("rattle_index") ==
        json::parse(R"({ "speeds": [2], "values": [1.5] })"));
  CHECK(sweep.at("meshes")[0].at("least_force").at("values") ==
        json::parse("[402.0, -15.0, 307.5]"));
  CHECK(result.at("requirements")[0].at("found") == 1.029268);
  CHECK(result.at("failures").size() == 1);
  CHECK(result.at("warnings").size() == 1);
}

TEST_CASE("torsion: JSON leaves out what was not computed, and has no null") {
  for (const auto& result : {test::full_torsion(), test::bare_torsion(), test::endless_torsion()}) {
    CHECK_FALSE(has_null(parsed(result)));
  }
  const json full = parsed(test::full_torsion());
  // No mean force and teeth that part: no index is found, and the requirement is not met.
  CHECK_FALSE(full.at("requirements")[1].contains("found"));
  CHECK(full.at("requirements")[1].at("met") == false);
  const json& still = full.at("conditions")[2];
  for (const char* key :
       {"speed", "speed_judged", "balance", "crossings", "meshes", "wind_up", "power", "sweep"}) {
    INFO(key);
    CHECK_FALSE(still.contains(key));
  }
  CHECK(still.at("modes").size() == 2);
  CHECK(still.at("elements")[0].size() == 2);
  CHECK(still.at("elastomers")[0].size() == 4);
  const json bare = parsed(test::bare_torsion());
  CHECK_FALSE(bare.contains("revolutions_per_cycle"));
  CHECK_FALSE(bare.contains("failures"));
  CHECK(bare.at("conditions")[0].at("crossings").empty());
}

TEST_CASE("torsion: CSV has a row a condition, speed and element") {
  const std::string text = report::csv(test::full_torsion(), {});
  CHECK_THAT(text, StartsWith("row,condition,speed [rpm],element,kind,mean_force [N],"
                              "mean_torque [N m],dynamic_force [N],dynamic_torque [N m],"
                              "rattle_index,least_force [N]\r\n"));
  const auto rows = csv_rows(text);
  // Seven elements at two speeds of their own and at three of each sweep; nothing at rest.
  REQUIRE(rows.size() == 7 * 2 * (1 + 3));
  CHECK(rows[2] == Row{{"row", "condition"},
                       {"condition", "cold start"},
                       {"speed [rpm]", "1500"},
                       {"element", "A-B"},
                       {"kind", "mesh"},
                       {"mean_force [N]", "512.5"},
                       {"mean_torque [N m]", ""},
                       {"dynamic_force [N]", "527.5"},
                       {"dynamic_torque [N m]", ""},
                       {"rattle_index", "1.029268"},
                       {"least_force [N]", "-15"}});
  CHECK(rows[3].at("rattle_index").empty());
  CHECK(rows[6].at("mean_torque [N m]").empty());  // a drag
  CHECK(rows[6].at("dynamic_torque [N m]") == "0.125");
  CHECK(rows[7] == Row{{"row", "sweep"},
                       {"condition", "cold start"},
                       {"speed [rpm]", "600"},
                       {"element", "pulley - seat"},
                       {"kind", "segment"},
                       {"mean_force [N]", ""},
                       {"mean_torque [N m]", ""},
                       {"dynamic_force [N]", ""},
                       {"dynamic_torque [N m]", "1"},
                       {"rattle_index", ""},
                       {"least_force [N]", ""}});
  CHECK(rows[28].at("condition") == "running hot, gears lead the case");  // quoted: a comma
  report::View inch;
  inch.units = report::UnitSystem::inch;
  const auto inches = csv_rows(report::csv(test::full_torsion(), inch));
  constexpr double rounding = 1e-14;
  CHECK_THAT(std::stod(inches[2].at("mean_force [lbf]")),
             WithinRel(512.5 / 4.4482216152605, rounding));
  CHECK_THAT(std::stod(inches[0].at("mean_torque [lbf ft]")),
             WithinRel(12.5 / (4.4482216152605 * 0.3048), rounding));
}

TEST_CASE("torsion: every kind has its word") {
  using Element = design::TorsionElement;
  using Inertia = design::TorsionInertia;
  std::vector<std::string> words;
  for (const Element& element : test::made_elements()) {
    words.push_back(report::element_words(element));
  }
  CHECK(words == std::vector<std::string>{"shaft pulley - seat", "elastomer of gB", "mesh A-B",
                                          "mesh B-I", "elastomer of tuned", "damper tuned",
                                          "drag seal"});
  CHECK(report::inertia_words(test::made_inertias()[4]) == "wheel of tuned");
  CHECK(std::string(report::kind_word(Inertia::Kind::station)) == "station");
  CHECK(std::string(report::kind_word(Inertia::Kind::damper)) == "damper");
}
