// What the page and the charts say of the torsional model.
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"
#include "lashband/report/html.hpp"
#include "lashband/report/vega_lite.hpp"
#include "lashband/units/format.hpp"
#include "made_torsion.hpp"
#include "page_text.hpp"

using namespace lashband;
using nlohmann::json;
using test::rows_of;
using test::section_of;
using test::shown_text;
using test::start_tags;

namespace {

design::TorsionSettings made_settings() {
  design::TorsionSettings settings;
  settings.sweep = design::SpeedSweep{test::made_rpm(600.0), test::made_rpm(2400.0), 3};
  settings.require.greatest_rattle_index = 1.25;
  settings.require.least_resonance_margin = 0.15;
  return settings;
}

// A design of one carrier with results made by hand, so that nothing is read or run.
design::Study made_study(const std::optional<design::TorsionResult>& torsion) {
  design::Study study;
  study.design.carriers = {{"steel plate", thermal::PathCarrier{}}};
  design::CarrierRow row;
  row.in_use = true;
  row.result = test::bare_result();
  row.result.carrier = "steel plate";
  row.result.meshes.clear();
  study.carriers.rows = {row};
  if (torsion) {
    study.design.torsion = made_settings();
    study.torsion = torsion;
    // As the comparison of carriers has it.
    study.carriers.rows[0].result.requirements = torsion->requirements;
  }
  return study;
}

design::Study full_study() {
  return made_study(test::full_torsion());
}

std::string page_of(const design::Study& study, const report::View& view = {}) {
  report::ReportOptions options;
  options.view = view;
  options.input_name = "train.json";
  std::string page = report::html(study, options);
  (void)start_tags(page);
  return page;
}

std::string words_of(const std::string& page, const std::string& section) {
  return shown_text(section_of(page, section));
}

std::set<std::string> torsion_charts(const design::Study& study, const report::View& view = {}) {
  std::set<std::string> ids;
  for (const report::ChartName& name : report::chart_names(study, view)) {
    if (name.id.starts_with("torsion-")) {
      ids.insert(name.id);
    }
  }
  return ids;
}

json chart_of(const design::Study& study, const std::string& id, const report::View& view = {}) {
  const auto text = report::vega_lite(study, view, id);
  REQUIRE(text);
  return json::parse(*text);
}

std::string reading_of(const design::Study& study, const std::string& id) {
  return chart_of(study, id)["description"];
}

double number(const std::string& text) {
  return json::parse(text).get<double>();
}

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// Units and back: a few places of the double.
constexpr double rounding = 1e-12;

}  // namespace

TEST_CASE("torsion charts: one of each kind, and none of what is not there") {
  CHECK(torsion_charts(full_study()) ==
        std::set<std::string>{"torsion-speeds-1", "torsion-strain-1", "torsion-sensitivity-1",
                              "torsion-speeds-2", "torsion-strain-2", "torsion-speeds-3",
                              "torsion-strain-3", "torsion-rattle-1", "torsion-force-1",
                              "torsion-rattle-2", "torsion-force-2", "torsion-torques",
                              "torsion-elastomers"});
  CHECK(torsion_charts(made_study(std::nullopt)).empty());
  // Without sweep, excitation and derivatives.
  design::Study bare = made_study(test::bare_torsion());
  bare.design.torsion->sweep.reset();
  CHECK(torsion_charts(bare) == std::set<std::string>{"torsion-speeds-1", "torsion-strain-1"});
  CHECK_THAT(reading_of(bare, "torsion-speeds-1"),
             ContainsText("Nothing in the file excites the train"));
  // At rest without a sweep there is no speed to draw over.
  bare.torsion->conditions[0].speed = units::AngularVelocity();
  CHECK(torsion_charts(bare) == std::set<std::string>{"torsion-strain-1"});
  CHECK(torsion_charts(made_study(test::endless_torsion())).count("torsion-torques") == 0);
}

TEST_CASE("torsion charts: titles, axes with units and a description") {
  const design::Study study = full_study();
  for (const report::ChartName& name : report::chart_names(study, {})) {
    if (!name.id.starts_with("torsion-")) {
      continue;
    }
    INFO(name.id);
    const json spec = chart_of(study, name.id);
    CHECK_FALSE(spec["title"].get<std::string>().empty());
    CHECK_FALSE(spec["description"].get<std::string>().empty());
    CHECK(contains(spec.dump(), "\"tooltip\""));
    CHECK(contains(spec.dump(), "["));
  }
  CHECK_THAT(chart_of(study, "torsion-speeds-1").dump(), ContainsText("speed of crank A [rpm]"));
  CHECK_THAT(chart_of(study, "torsion-speeds-1").dump(), ContainsText("frequency [Hz]"));
  CHECK_THAT(chart_of(study, "torsion-force-1").dump(), ContainsText("dynamic force [N]"));
  CHECK_THAT(chart_of(study, "torsion-torques").dump(), ContainsText("dynamic torque [N m]"));
  CHECK_THAT(chart_of(study, "torsion-elastomers").dump(), ContainsText("temperature [°C]"));
}

TEST_CASE("interference diagram: natural frequencies, orders and where they meet") {
  const design::Study study = full_study();
  const design::TorsionCondition& condition = study.torsion->conditions[0];
  const auto rows = rows_of(page_of(study), "data-torsion-speeds-1");
  // Two modes that vibrate, three orders, two crossings within the sweep.
  REQUIRE(rows.size() == 7);
  CHECK(rows[0].at("kind") == "natural frequency");
  CHECK(number(rows[0].at("mode")) == 1.0);
  CHECK(number(rows[0].at("frequency")) == 61.75);
  CHECK(rows[0].at("strained") == "mesh A-B");
  CHECK(number(rows[1].at("frequency")) == 418.25);
  CHECK(rows[2].at("kind") == "order of a torque");
  CHECK(rows[2].at("excitation") == "torque compressor, order 2");
  CHECK(rows[3].at("excitation") == "mesh A-B, f_z");
  CHECK(rows[3].at("kind") == "order of a mesh");
  for (std::size_t i = 0; i < 2; ++i) {
    const design::Crossing& crossing = condition.crossings[i];
    const auto& row = rows[5 + i];
    CHECK(row.at("kind") == (i == 0 ? "crossing near the speed" : "crossing"));
    CHECK(number(row.at("order")) == study.torsion->lines[crossing.line].order);
    CHECK_THAT(number(row.at("speed")),
               WithinRel(units::value_in(crossing.speed, "rpm"), rounding));
    CHECK(row.at("margin") == (crossing.margin ? json(*crossing.margin).dump() : ""));
  }
  CHECK_THAT(reading_of(study, "torsion-speeds-1"),
             ContainsText("Between 600 and 2400 rpm there are 2 such points."));
  CHECK_THAT(reading_of(study, "torsion-speeds-1"),
             ContainsText("The nearest to the 1500 rpm of the condition: torque compressor, order "
                          "2 meets mode 1 (61.75 Hz) at 1482 rpm, at the condition's speed 1.2 % "
                          "above it; asked for are 15.0 % at least: NOT KEPT."));
  // The top of a sweep is not a speed of the condition: no rule, nothing judged.
  CHECK_THAT(reading_of(study, "torsion-speeds-2"),
             ContainsText("nearest to the top of the sweep"));
  CHECK(contains(chart_of(study, "torsion-speeds-1").dump(), "speed of the condition, 1500 rpm"));
  CHECK_FALSE(contains(chart_of(study, "torsion-speeds-2").dump(), "speed of the condition"));
  CHECK_THAT(reading_of(study, "torsion-speeds-3"),
             ContainsText("no excitation meets a natural frequency"));
}

TEST_CASE("interference diagram: what is nearer beyond the ends of the sweep is told") {
  design::Study study = full_study();
  design::TorsionCondition& condition = study.torsion->conditions[0];
  // The nearest of all lies at a speed that is not drawn.
  condition.crossings.insert(condition.crossings.begin(), condition.crossings.front());
  condition.crossings.front().mode = 2;
  condition.crossings.front().speed = test::made_rpm(2500.0);
  condition.crossings.front().margin = -0.01;
  CHECK_THAT(reading_of(study, "torsion-speeds-1"),
             ContainsText("at least: NOT KEPT. Nearer, beyond these speeds, torque compressor, "
                          "order 2 meets mode 2 (418.2 Hz) at 2500 rpm, at the condition's speed "
                          "1.0 % below it; asked for are 15.0 % at least: NOT KEPT."));
}

TEST_CASE("interference diagram: its range is the sweep's, or half to twice the speed") {
  design::Study study = full_study();
  const auto domain = [&study] {
    const json spec = chart_of(study, "torsion-speeds-1");
    return spec["layer"][0]["encoding"]["x"]["scale"]["domain"].get<std::vector<double>>();
  };
  CHECK_THAT(domain()[0], WithinRel(600.0, rounding));
  CHECK_THAT(domain()[1], WithinRel(2400.0, rounding));
  study.design.torsion->sweep.reset();
  CHECK_THAT(domain()[0], WithinRel(750.0, rounding));
  CHECK_THAT(domain()[1], WithinRel(3000.0, rounding));
}

TEST_CASE(
    "interference diagram: excitations of one order are one line, and of many some are drawn") {
  design::Study study = full_study();
  design::TorsionResult& result = *study.torsion;
  result.lines.push_back({"torque pump", 2.5, 2.5});
  result.conditions[0].crossings.push_back({3, 1, test::made_rpm(1482.0), 0.012146});
  const auto rows = rows_of(page_of(study), "data-torsion-speeds-1");
  REQUIRE(rows.size() == 7);
  CHECK(rows[5].at("excitation") == "torque compressor, order 2 and 1 more");
  for (int i = 1; i <= 60; ++i) {
    result.lines.push_back({"torque gas", 100.0 + i, 100.0 + i});
  }
  CHECK(rows_of(page_of(study), "data-torsion-speeds-1").size() == 2 + 20 + 2);
  CHECK_THAT(reading_of(study, "torsion-speeds-1"),
             ContainsText("Of 63 orders the 20 that come nearest are drawn."));
}

TEST_CASE("strain: shares of every element in every mode, and what moves its frequency") {
  const design::Study study = full_study();
  const design::TorsionResult& result = *study.torsion;
  const auto rows = rows_of(page_of(study), "data-torsion-modes-1");
  const std::size_t elements = result.elements.size();
  // The second mode has no derivatives, so that inertias have nothing to say there.
  REQUIRE(rows.size() == 2 * elements + result.inertias.size());
  const design::NaturalMode& mode = result.conditions[0].modes[1];
  double sum = 0.0;
  for (std::size_t e = 0; e < elements; ++e) {
    CHECK(number(rows[e].at("share")) == mode.strain_share[e]);
    CHECK(number(rows[e].at("sensitivity")) == mode.frequency_by_stiffness[e]);
    sum += number(rows[e].at("share"));
  }
  CHECK_THAT(sum, WithinRel(1.0, rounding));
  for (std::size_t i = 0; i < result.inertias.size(); ++i) {
    CHECK(number(rows[elements + i].at("sensitivity")) == mode.frequency_by_inertia[i]);
    CHECK(rows[elements + i].at("kind") == "inertia");
  }
  // -0.4375 is the greatest.
  CHECK(number(rows[elements].at("rank")) == 1.0);
  CHECK(rows.back().at("sensitivity").empty());
  CHECK_THAT(reading_of(study, "torsion-strain-1"),
             ContainsText("Most strained by mode 1 (61.75 Hz) is mesh A-B, 62 %"));
  CHECK_THAT(reading_of(study, "torsion-sensitivity-1"),
             ContainsText("What moves mode 1 (61.75 Hz) most is the inertia of pulley, by -0.44."));
}

TEST_CASE("sweep: rattle index and dynamic force of a mesh, and its own speed") {
  const design::Study study = full_study();
  const auto rows = rows_of(page_of(study), "data-torsion-mesh-1");
  const design::TorsionCondition& condition = study.torsion->conditions[0];
  // Three points and the condition's own speed, then three points of the one at no speed.
  REQUIRE(rows.size() == 7);
  for (std::size_t i = 0; i < 3; ++i) {
    const design::SweepPoint& point = condition.sweep[i];
    CHECK(rows[i].at("row") == "sweep");
    CHECK_THAT(number(rows[i].at("speed")),
               WithinRel(units::value_in(point.speed, "rpm"), rounding));
    CHECK(number(rows[i].at("rattle_index")) == *point.rattle_index[0]);
    CHECK(number(rows[i].at("least_force")) == point.least_force[0].value());
    CHECK(number(rows[i].at("dynamic_force")) == point.dynamic[2]);
  }
  CHECK(rows[3].at("row") == "condition");
  CHECK(number(rows[3].at("rattle_index")) == *condition.meshes[0].rattle_index);
  CHECK(number(rows[3].at("dynamic_force")) == 527.5);  // half of 1040 and 15
  CHECK_THAT(reading_of(study, "torsion-rattle-1"),
             ContainsText("The greatest is 1.03, at 1500 rpm (cold start). They part at cold "
                          "start at 1500 rpm; at running hot, gears lead the case at 1500 rpm. "
                          "Asked for is 1.25 at most."));
  CHECK_THAT(reading_of(study, "torsion-force-1"),
             ContainsText("The greatest is 527.5 N, at 1500 rpm (cold start); at the 1500 rpm of "
                          "cold start it is 527.5 N."));
  // Level lines at 1 and at what is asked for.
  std::set<double> levels;
  const json spec = chart_of(study, "torsion-rattle-1");
  for (const json& layer : spec["layer"]) {
    if (layer["mark"]["type"] == "rule") {
      levels.insert(layer["encoding"]["y"]["datum"].get<double>());
    }
  }
  CHECK(levels == std::set<double>{1.0, 1.25});
  // A mesh without a mean force has no index there.
  const auto unloaded = rows_of(page_of(study), "data-torsion-mesh-2");
  CHECK(unloaded[0].at("rattle_index").empty());
  CHECK(number(unloaded[2].at("rattle_index")) == 1.5);
}

TEST_CASE("sweep: a mesh that nowhere carries a mean force has a force and no index") {
  design::Study study = full_study();
  for (design::TorsionCondition& condition : study.torsion->conditions) {
    for (design::SweepPoint& point : condition.sweep) {
      point.rattle_index[1].reset();
    }
  }
  const std::set<std::string> ids = torsion_charts(study);
  CHECK(ids.count("torsion-rattle-2") == 0);
  CHECK(ids.count("torsion-force-2") == 1);
}

TEST_CASE("sweep: a resonance far above the rest is drawn on a logarithmic axis") {
  design::Study study = full_study();
  CHECK_FALSE(contains(chart_of(study, "torsion-force-1").dump(), "\"log\""));
  study.torsion->conditions[0].sweep[1].dynamic[2] = 1e5;
  CHECK_THAT(chart_of(study, "torsion-force-1").dump(),
             ContainsText("dynamic force [N], logarithmic"));
  // A drag without any torque at two speeds has no logarithm; the others have.
  study.torsion->conditions[0].sweep[1].dynamic[0] = 400.0;
  const json spec = chart_of(study, "torsion-torques");
  const auto scale_of = [&spec](std::size_t panel) {
    return spec["concat"][panel]["layer"][0]["encoding"]["y"]["scale"].value("type", "linear");
  };
  CHECK(scale_of(0) == "log");
  CHECK(scale_of(1) == "log");
  CHECK(scale_of(4) == "linear");
  CHECK_THAT(spec["description"].get<std::string>(),
             ContainsText("Torques that are nowhere zero are on logarithmic axes."));
}

TEST_CASE("sweep: of many points those are drawn that make the curve") {
  design::Study study = full_study();
  design::TorsionCondition& condition = study.torsion->conditions[0];
  const design::SweepPoint point = condition.sweep[0];
  condition.sweep.clear();
  for (int i = 0; i <= 5000; ++i) {
    condition.sweep.push_back(point);
    condition.sweep.back().speed = test::made_rpm(600.0 + 0.36 * i);
    condition.sweep.back().dynamic[2] = i == 2345 ? 999.0 : 100.0 + 0.01 * i;
  }
  const auto rows = rows_of(page_of(study), "data-torsion-mesh-1");
  CHECK(rows.size() < 420);
  CHECK(std::any_of(rows.begin(), rows.end(),
                    [](const auto& row) { return number(row.at("dynamic_force")) == 999.0; }));
}

TEST_CASE("sweep: torques of what is no mesh, the greatest first") {
  const design::Study study = full_study();
  const auto rows = rows_of(page_of(study), "data-torsion-torques");
  REQUIRE(rows.size() == 7);
  CHECK(number(rows[1].at("torque_1")) == 7.75);
  CHECK(number(rows[1].at("torque_2")) == 6.25);
  CHECK(number(rows[2].at("torque_6")) == 0.5);
  CHECK(rows[0].count("torque_3") == 0);          // a mesh
  CHECK(number(rows[3].at("torque_1")) == 7.75);  // half of 20.25 less 4.75
  const json spec = chart_of(study, "torsion-torques");
  REQUIRE(spec["concat"].size() == 5);
  CHECK(spec["concat"][0]["title"]["text"] == "shaft pulley - seat");
  CHECK(spec["concat"][4]["title"]["text"] == "drag seal");
  CHECK_THAT(reading_of(study, "torsion-torques"),
             ContainsText("The greatest: shaft pulley - seat 7.75 N m at 1500 rpm (cold start)"));
}

TEST_CASE("elastomers: temperature, stiffness and twist at every condition") {
  const design::Study study = full_study();
  const auto rows = rows_of(page_of(study), "data-torsion-elastomers");
  REQUIRE(rows.size() == 5);
  const design::ElastomerState& first = study.torsion->conditions[0].elastomers[0];
  CHECK(rows[0].at("elastomer") == "gB");
  CHECK(rows[0].at("condition") == "cold start");
  CHECK_THAT(number(rows[0].at("temperature")), WithinRel(86.25, rounding));
  CHECK(number(rows[0].at("stiffness")) == first.stiffness.value());
  CHECK(number(rows[0].at("greatest_twist")) == first.greatest_twist.value());
  CHECK(number(rows[0].at("mean_twist")) == first.mean_twist.value());
  CHECK(number(rows[0].at("shear_strain")) == 0.0425);
  CHECK(rows[1].at("shear_strain").empty());
  CHECK(rows[0].at("status") == "settled by its own heat");
  CHECK(rows[2].at("status") == "rising without end");
  const std::string reading = reading_of(study, "torsion-elastomers");
  CHECK_THAT(reading,
             ContainsText("The elastomer of gB is at 86.3 °C; its stiffness is 2500 N m/rad"));
  CHECK_THAT(reading, ContainsText("3 of 5 temperatures are not those of a steady state"));
}

TEST_CASE("numbers of torsion charts are in the units of the view") {
  report::View view;
  view.units = report::UnitSystem::inch;
  const design::Study study = full_study();
  const json torques = chart_of(study, "torsion-torques", view);
  CHECK_THAT(torques.dump(), ContainsText("dynamic torque [lbf ft]"));
  constexpr double newton_metres_in_pound_foot = 1.3558179483314004;  // exact
  CHECK_THAT(torques["data"]["values"][1]["torque_1"].get<double>(),
             WithinRel(7.75 / newton_metres_in_pound_foot, rounding));
  CHECK_THAT(chart_of(study, "torsion-force-1", view).dump(), ContainsText("dynamic force [lbf]"));
  CHECK_THAT(chart_of(study, "torsion-elastomers", view).dump(), ContainsText("temperature [°F]"));
  const std::string text = words_of(page_of(study, view), "torsion");
  CHECK_THAT(text, ContainsText("inertia [lb in2]"));
  CHECK_THAT(text, ContainsText("mesh stiffness [lbf/in]"));
}

TEST_CASE("the section tells the whole model") {
  const std::string text = words_of(page_of(full_study()), "torsion");
  for (const char* part :
       {"Torsional vibration",
        "A linear model",
        "lumped",
        "Confirm both by measurement",
        "crank A takes up what the mean torques leave",
        "2 turns of crank A",
        "no density at -60 degC",
        "Inertias of the model",
        "rim of gB",
        "0.0021",
        "Torques of shafts, elastomers and dampers at the speed of each condition",
        "drag seal",
        "Natural frequencies at each condition",
        "free motion",
        "418.25",
        "Where an excitation meets a natural frequency",
        "Meshes at the speed of each condition",
        "they part",
        "no mean force",
        "312.5",
        "Elastomers",
        "Wind-up",
        "What the case feels",
        "0.00598 kg m2 more on crank B",
        "Power",
        "2238.5",
        "top of the sweep",
        "Findings on vibration",
        "teeth_part, mesh A-B, cold start: the teeth part"}) {
    CHECK_THAT(text, ContainsText(part));
  }
}

TEST_CASE("the section leaves out what there is not") {
  const std::string none = page_of(made_study(std::nullopt));
  CHECK_FALSE(contains(none, "id=\"torsion\""));
  CHECK_FALSE(contains(none, "#torsion"));
  const std::string bare = words_of(page_of(made_study(test::bare_torsion())), "torsion");
  CHECK_THAT(bare, ContainsText("Nothing in the file excites the train"));
  for (const char* part : {"Elastomers", "Wind-up", "Torques of shafts", "Findings",
                           "could not be computed", "would be zero"}) {
    CHECK_FALSE(contains(bare, part));
  }
  // Where the full cycle is too long no greatest and least are told.
  const std::string endless = words_of(page_of(made_study(test::endless_torsion())), "torsion");
  CHECK_THAT(endless, ContainsText("not known"));
  CHECK_THAT(endless, ContainsText("a full cycle takes too long"));
  // A result without conditions still tells of its bodies.
  design::TorsionResult failed = test::full_torsion();
  failed.conditions.clear();
  CHECK_THAT(words_of(page_of(made_study(failed)), "torsion"), ContainsText("Inertias"));
}

TEST_CASE("a condition or mesh chosen leaves the others out of the section") {
  const design::Study study = full_study();
  report::View view;
  view.condition = "standing";
  CHECK(torsion_charts(study, view) == std::set<std::string>{"torsion-speeds-3", "torsion-strain-3",
                                                             "torsion-sensitivity-3",
                                                             "torsion-elastomers"});
  view = {};
  view.mesh = "B-I";
  const std::set<std::string> ids = torsion_charts(study, view);
  CHECK(ids.count("torsion-rattle-1") == 0);
  CHECK(ids.count("torsion-rattle-2") == 1);
}

TEST_CASE("the verdict counts what is asked of the torsional model") {
  const std::string page = page_of(full_study());
  const std::string text = words_of(page, "verdict");
  CHECK_THAT(text, ContainsText("greatest rattle index"));
  CHECK_THAT(text, ContainsText("torque compressor, order 2.50 at mode 1"));
  CHECK_THAT(text, ContainsText("this verdict is not complete"));
  CHECK_THAT(text, ContainsText("2 of 3 requirements are not met"));
  // No number stands for an index without end.
  CHECK_FALSE(contains(page, "value=\"null\""));
}

TEST_CASE("what is asked of the torsional model stands once in the verdict") {
  const auto verdict = words_of(page_of(full_study()), "verdict");
  const std::size_t first = verdict.find("least resonance margin");
  REQUIRE(first != std::string::npos);
  CHECK(verdict.find("least resonance margin", first + 1) == std::string::npos);
  CHECK_THAT(verdict, ContainsText("∞"));
}

TEST_CASE("carriers are compared by their greatest rattle index and least margin") {
  design::Study study = full_study();
  study.carriers.rows.push_back(study.carriers.rows[0]);
  study.carriers.rows[0].torsion = test::full_comparison().rows[0].torsion;
  study.carriers.rows[1].torsion = test::full_comparison().rows[1].torsion;
  study.carriers.rows[1].in_use = false;
  study.carriers.rows[1].result.carrier = "case alone";
  study.design.carriers.push_back(study.design.carriers[0]);
  study.design.carriers[1].id = "case alone";
  const std::string page = page_of(study);
  const std::string part = section_of(page, "carriers");
  const std::string text = shown_text(part);
  CHECK_THAT(text, ContainsText("steel plate (in use)1.029A-Bcold start0.012torque load"));
  CHECK_THAT(text, ContainsText("case alone∞a mesh of a long namecold start"));
  CHECK_THAT(part, ContainsText("value=\"1.029268\""));
  CHECK_THAT(text, ContainsText("vibration"));
  CHECK_FALSE(contains(page, "value=\"null\""));
  CHECK_FALSE(contains(page, "value=\"inf\""));

  study.carriers.rows[0].torsion.reset();
  study.carriers.rows[1].torsion.reset();
  CHECK_FALSE(contains(page_of(study), "Greatest rattle index and least resonance margin"));
}

TEST_CASE(
    "a comparison sets margins of unlike excitations side by side, and no number for no end") {
  const design::Study first = full_study();
  design::Study second = full_study();
  design::RequirementRow& margin = second.carriers.rows[0].result.requirements[2];
  margin.mesh = "torque belt, order 1.00 at mode 2";
  margin.found = 0.25;
  margin.met = true;
  report::ReportOptions options;
  options.input_name = "new.json";
  options.other.emplace(report::Comparison{second, "old.json", {}});
  const std::string page = report::html(first, options);
  const std::string text = words_of(page, "comparison");
  CHECK_THAT(text, ContainsText("all excitationsleast resonance margin0.012 (limit ≥ 0.150), NOT "
                                "MET; torque compressor, order 2.50 at mode 10.250 (limit ≥ "
                                "0.150), met; torque belt, order 1.00 at mode 2"));
  CHECK_THAT(text, ContainsText("B-Igreatest rattle index∞ (limit ≤ 1.250), NOT MET∞ (limit"));
  CHECK_FALSE(contains(text, "not asked for"));
  CHECK_FALSE(contains(page, "value=\"null\""));
}

TEST_CASE("charts of many conditions and meshes are bounded, and the page says so") {
  design::Study study = full_study();
  design::TorsionResult& result = *study.torsion;
  for (int i = 0; i < 5; ++i) {
    result.conditions.push_back(result.conditions[0]);
    result.conditions.back().id = "c" + std::to_string(i);
  }
  const std::set<std::string> ids = torsion_charts(study);
  CHECK(ids.count("torsion-speeds-4") == 1);
  CHECK(ids.count("torsion-speeds-5") == 0);
  CHECK_THAT(words_of(page_of(study), "torsion"),
             ContainsText("4 more conditions of the tables left out of the charts"));
}

TEST_CASE("hostile names in the torsional model are text in page and charts") {
  design::TorsionResult result = test::full_torsion();
  const std::string hostile =
      "</script><script>alert(1)</script> \"' ${x} | " + std::string(300, 'y');
  result.reference = result.driver = hostile;
  result.inertias[0].id = result.inertias[1].shaft = hostile;
  for (design::TorsionElement& element : result.elements) {
    element.id = hostile;
  }
  result.lines[0].id = result.conditions[0].id = hostile;
  result.conditions[0].wind_up[0].shaft = hostile;
  result.conditions[0].reaction.cancelling[0].shaft = hostile;
  result.warnings[0].subject = result.failures[0].subject = hostile;
  result.requirements[0].mesh = hostile;
  const design::Study study = made_study(result);
  const std::string page = page_of(study);
  std::size_t scripts = 0;
  for (const std::string& tag : start_tags(page)) {
    scripts += tag == "script" ? 1U : 0U;
  }
  CHECK(scripts == (report::charts_can_be_drawn() ? 1U : 0U));
  for (const std::string& id : torsion_charts(study)) {
    CHECK_NOTHROW(chart_of(study, id));
  }
}
