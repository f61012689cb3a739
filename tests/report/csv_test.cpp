#include "lashband/report/csv.hpp"

#include <algorithm>
#include <map>
#include <vector>

#include "catch.hpp"
#include "made_results.hpp"

using namespace lashband;
using units::from_si;
using units::Length;

namespace {

design::BacklashResult one_state(const std::string& mesh) {
  design::BacklashResult result;
  result.zones = {"gears"};
  result.states = {{"cold", "cold", 0, thermal::TemperatureState({units::celsius(-40.0)})}};
  result.carrier_states.push_back({0, {}});
  design::MeshResult one;
  one.id = mesh;
  design::MeshState state;
  state.a = from_si<Length>(0.106608);
  state.eps_alpha = 1.6;
  state.gap.j_wt.nominal = from_si<Length>(1e-4);
  state.gap.j_wt.low = from_si<Length>(5e-5);
  state.gap.j_wt.high = from_si<Length>(2e-4);
  one.states.push_back(state);
  result.meshes.push_back(one);
  return result;
}

using Row = std::map<std::string, std::string>;

// The rows of a table without quoted fields, by the names of their columns.
std::vector<Row> rows_of(const std::string& text) {
  std::vector<std::vector<std::string>> lines(1, std::vector<std::string>(1));
  for (const char c : text) {
    if (c == ',') {
      lines.back().emplace_back();
    } else if (c == '\n') {
      lines.emplace_back(1);
    } else if (c != '\r') {
      lines.back().back() += c;
    }
  }
  lines.pop_back();
  std::vector<Row> rows;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    REQUIRE(lines[i].size() == lines[0].size());
    for (std::size_t k = 0; k < lines[i].size(); ++k) {
      if (k == 0) {
        rows.emplace_back();
      }
      CHECK(rows.back().emplace(lines[0][k], lines[i][k]).second);  // no name twice
    }
  }
  return rows;
}

}  // namespace

TEST_CASE("fields are quoted where RFC 4180 asks for it") {
  CHECK_THAT(report::csv(one_state("A, \"B\""), {}),
             ContainsText("\r\n\"A, \"\"B\"\"\",cold,,-40,"));
  CHECK_THAT(report::csv(one_state("plain"), {}), ContainsText("\r\nplain,cold,,-40,106.608,"));
}

TEST_CASE("what was not computed is blank") {
  const std::string text = report::csv(one_state("m"), {});
  // joint_force, squeeze_left and stretch_left follow base_pitch_mismatch.
  CHECK_THAT(text, ContainsText("base_pitch_mismatch [mm],joint_force [N],squeeze_left [mm]"));
  CHECK_THAT(text, ContainsText(",0,,,,0.1,0.05,0.2,"));
}

TEST_CASE("inches are exact multiples") {
  report::View view;
  view.units = report::UnitSystem::inch;
  const std::string text = report::csv(one_state("m"), view);
  CHECK_THAT(text, ContainsText("temperature gears [degF]"));
  CHECK_THAT(text, ContainsText("m,cold,,-40,4.19716535433"));  // 106.608 mm / 25.4
}

TEST_CASE("a carrier of the comparison is one row a mesh") {
  design::CarriersResult result;
  design::CarrierRow row;
  row.in_use = true;
  row.result = one_state("m");
  row.result.carrier = "plate";
  row.result.meshes[0].least = 0;
  row.result.meshes[0].greatest = 0;
  row.joint.force_low = from_si<units::Force>(-1500.0);
  row.joint.force_high = from_si<units::Force>(0.0);
  result.rows.push_back(row);
  const Row only = rows_of(report::csv(result, {})).at(0);
  CHECK(only.at("carrier") == "plate");
  CHECK(only.at("in_use") == "true");
  CHECK(only.at("mesh") == "m");
  CHECK(only.at("least_condition") == "cold");
  CHECK(only.at("least_j_wt_worst_low [mm]") == "0.05");
  CHECK(only.at("greatest_j_wt_worst_high [mm]") == "0.2");
  CHECK(only.at("swing [mm]") == "0");
  CHECK(only.at("joint_force_low [N]") == "-1500");
  CHECK(only.at("joint_force_high [N]") == "0");
  CHECK(only.at("squeeze_left [mm]").empty());
  CHECK(only.at("p_bind").empty());
  CHECK(only.at("p_below_least_anywhere").empty());
  CHECK(only.at("met") == "true");
}

TEST_CASE("a state has its bands, percentiles and probabilities in columns named after them") {
  design::BacklashResult result = test::full_result();
  result.states[1].id = "running hot";
  const auto rows = rows_of(report::csv(result, {}));
  REQUIRE(rows.size() == 6);
  const Row& cold = rows[0];
  // full_band(82.9) of made_results.hpp, in mm.
  CHECK(cold.at("j_wt_worst_low [mm]") == "0.04265");
  CHECK(cold.at("j_wt_rss_low [mm]") == "0.0524");
  CHECK(cold.at("j_wt_rss_high [mm]") == "0.1134");
  CHECK(cold.at("j_wt_least_p0.135 [mm]") == "0.054775");
  CHECK(cold.at("j_wt_least_p50 [mm]") == "0.0809");
  CHECK(cold.at("j_wt_greatest_p50 [mm]") == "0.0849");
  CHECK(cold.at("j_wt_greatest_p99.865 [mm]") == "0.1114");
  CHECK(cold.at("phi_1_greatest_p99.865 [rad]") == "0.00156");
  CHECK(cold.at("j_bind_p0.135 [mm]") == "0.0519");
  CHECK(cold.at("j_bind_p50 [mm]") == "0.0794");
  CHECK(cold.at("p_bind") == "2.34e-08");
  CHECK(cold.at("p_below_least") == "0.00125");
  CHECK(cold.at("p_above_greatest") == "0.9999");
  CHECK(cold.at("float_1_worst_high [mm]") == "0.019");
  CHECK(cold.at("j_wt_loaded_nominal [mm]") == "0.0909");
  CHECK(cold.at("tilt [rad]") == "0.00025");
  CHECK(cold.at("tilt_over_face [mm]") == "0.0045");
  CHECK(cold.at("cycle_resolved") == "true");
  CHECK(rows[1].at("p_bind") == "0");

  const Row bare = rows_of(report::csv(
                               [] {
                                 design::BacklashResult none = test::bare_result();
                                 none.states[1].id = "running hot";
                                 return none;
                               }(),
                               {}))
                       .at(0);
  CHECK(bare.size() == cold.size());
  for (const char* name :
       {"j_wt_rss_low [mm]", "j_wt_least_p0.135 [mm]", "phi_2_greatest_p50 [rad]", "p_bind",
        "j_bind_p50 [mm]", "p_below_least", "float_2_nominal [mm]", "tilt [rad]"}) {
    INFO(name);
    CHECK(bare.at(name).empty());
  }
}

TEST_CASE("a carrier's row says where a fault is most likely and how likely it is anywhere") {
  design::CarriersResult result = test::full_comparison();
  for (design::CarrierRow& row : result.rows) {
    row.result.carrier = row.in_use ? "plate" : "case";
    row.result.states[1].id = "running hot";
  }
  const auto rows = rows_of(report::csv(result, {}));
  REQUIRE(rows.size() == 4);
  CHECK(rows[0].at("p_bind") == "2.34e-08");
  CHECK(rows[0].at("p_bind_condition") == "cold start");
  CHECK(rows[0].at("p_bind_anywhere") == "3.1e-08");
  CHECK(rows[0].at("p_bind_anywhere_standard_error") == "1.2e-08");
  CHECK(rows[0].at("met") == "false");
  CHECK(rows[2].at("p_below_least") == "0.00125");
  CHECK(rows[2].at("p_below_least_anywhere").empty());
}

TEST_CASE("a state with a mean force has what it does in the last columns, others have blanks") {
  design::BacklashResult result = test::full_result();
  result.states[1].id = "running hot";
  const std::string text = report::csv(result, {});
  CHECK_THAT(text,
             ContainsText("tilt_over_face [mm],load_force [N],load_shafts [mm],load_separation "
                          "[mm],load_ring [mm],load_tooth_deflection [mm]\r\n"));
  const auto rows = rows_of(text);
  CHECK(rows[0].at("load_force [N]") == "512.25");
  CHECK(rows[0].at("load_shafts [mm]") == "0.00225");
  CHECK(rows[0].at("load_separation [mm]") == "5e-04");
  CHECK(rows[0].at("load_ring [mm]") == "-0.00175");
  CHECK(rows[0].at("load_tooth_deflection [mm]") == "0.006125");
  CHECK(rows[2].at("condition") == "soak 20 degC");
  CHECK(rows[2].at("load_force [N]").empty());
  CHECK(rows[2].at("load_tooth_deflection [mm]").empty());
  report::View inch;
  inch.units = report::UnitSystem::inch;
  CHECK_FALSE(rows_of(report::csv(result, inch))[1].at("load_force [lbf]").empty());
}

TEST_CASE(
    "a carrier's row has the worst of the torsional model, without a number where it has no end") {
  design::CarriersResult result = test::full_comparison();
  for (design::CarrierRow& row : result.rows) {
    row.result.carrier = "plate";
    row.result.states[1].id = "running hot";
  }
  const auto rows = rows_of(report::csv(result, {}));
  REQUIRE(rows.size() == 4);
  CHECK(rows[1].at("greatest_rattle_index") == "1.029268");
  CHECK(rows[1].at("rattle_mesh") == "A-B");
  CHECK(rows[1].at("rattle_condition") == "cold start");
  CHECK(rows[1].at("rattle_unloaded") == "false");
  CHECK(rows[1].at("least_resonance_margin") == "0.012146");
  CHECK(rows[1].at("margin_excitation") == "torque load");
  CHECK(rows[1].at("margin_condition") == "cold start");
  CHECK(rows[2].at("greatest_rattle_index").empty());
  CHECK(rows[2].at("rattle_mesh") == "a mesh of a long name");
  CHECK(rows[2].at("rattle_unloaded") == "true");
  CHECK(rows[2].at("least_resonance_margin").empty());
  result.rows[0].torsion.reset();
  const Row without = rows_of(report::csv(result, {}))[0];
  for (const char* name :
       {"greatest_rattle_index", "rattle_mesh", "rattle_condition", "rattle_unloaded",
        "least_resonance_margin", "margin_excitation", "margin_condition"}) {
    CHECK(without.at(name).empty());
  }
}

TEST_CASE("a budget is one row a mesh, state and contributor") {
  design::BudgetResult result = test::full_budget();
  result.backlash.states[1].id = "running hot";
  for (design::Budget& budget : result.budgets) {
    budget.state = budget.state.substr(0, budget.state.find(','));  // fields without quotes
  }
  const auto rows = rows_of(report::csv(result, {}));
  REQUIRE(rows.size() == 8);
  CHECK(rows[0].at("condition") == "envelope");
  CHECK(rows[0].at("contributor") == "E_sn gA");
  CHECK(rows[0].at("what") == "tooth thickness of gA");
  CHECK(rows[0].at("tolerance") == "-110 um .. -70 um");
  CHECK(rows[0].at("range [mm]") == "0.0435");
  CHECK(rows[0].at("share") == "0.625");
  CHECK(rows[0].at("gain_worst_case [mm]") == "0.02175");
  CHECK(rows[0].at("gain_percentile [mm]") == "0.01225");
  CHECK(rows[0].at("temperature [mm]") == "0.021");
  CHECK(rows[0].at("j_wt_worst_high [mm]") == "0.14075");
  CHECK(rows[3].at("condition") == "cold start");
  report::View view;
  view.condition = "soak";
  const auto soak = rows_of(report::csv(result, view));
  REQUIRE(soak.size() == 2);
  CHECK(soak[0].at("condition") == "soak 20 degC");
  view.condition.reset();
  view.mesh = "B-C";
  CHECK(rows_of(report::csv(result, view)).empty());
  CHECK(rows_of(report::csv(test::bare_budget(), {})).empty());
}

TEST_CASE("a moment has its history and its time, any other state no time") {
  design::BacklashResult result = test::with_history(test::bare_result(), "cold start up", 3);
  result.states[1].id = "running hot";
  const auto rows = rows_of(report::csv(result, {}));
  REQUIRE(rows.size() == 6);
  CHECK(rows[0].at("condition") == "cold start");
  CHECK(rows[0].at("time [s]").empty());
  CHECK(rows[4].at("condition") == "cold start up");
  CHECK(rows[4].at("time [s]") == "15.25");

  report::View view;
  view.condition = "cold start up";
  CHECK(rows_of(report::csv(result, view)).size() == 3);
  view.condition = "cold start up at 15.25 s";
  CHECK(rows_of(report::csv(result, view)).size() == 1);

  design::CarriersResult carriers;
  design::CarrierRow row;
  row.result = result;
  carriers.rows.push_back(row);
  const Row only = rows_of(report::csv(carriers, {})).at(0);
  CHECK(only.at("least_condition") == "cold start up");
  CHECK(only.at("least_time [s]") == "15.25");
  CHECK(only.at("greatest_condition") == "running hot");
  CHECK(only.at("greatest_time [s]").empty());
  CHECK(only.at("p_bind_condition") == "cold start up");
  CHECK(only.at("p_bind_time [s]") == "0");
}

TEST_CASE("the budget of a moment has its time") {
  design::BudgetResult result = test::full_budget();
  result.backlash = test::with_history(result.backlash, "cold start up", 3);
  result.budgets.resize(2);
  result.budgets[1].state = "cold start up at 15.25 s";
  const auto rows = rows_of(report::csv(result, {}));
  CHECK(rows[0].at("condition") == "envelope");
  CHECK(rows[0].at("time [s]").empty());
  CHECK(rows[2].at("condition") == "cold start up");
  CHECK(rows[2].at("time [s]") == "15.25");
}

TEST_CASE("the train over time: a row a history, mesh and moment, with the network's places") {
  design::WarmupResult result = test::full_warmup();
  const auto rows = rows_of(report::csv(result, {}));
  REQUIRE(rows.size() == 41 + 2 * 3);
  const Row& first = rows[0];
  CHECK(first.at("history") == "measured start");
  CHECK(first.at("mesh") == "A-B");
  CHECK(first.at("time [s]") == "0");
  CHECK(first.at("temperature gears [degC]") == "-40");
  CHECK(first.at("body gears and oil [degC]").empty());
  CHECK(first.at("j_wt_worst_low [mm]") == "0.05");
  CHECK(rows[40].at("time [s]") == "600");
  const Row& network = rows[42];
  CHECK(network.at("time [s]") == "140.25");
  CHECK(network.at("body gears and oil [degC]") == "-30");
  CHECK(network.at("boundary ambient [degC]") == "-25");
  CHECK(network.at("joint_force [N]") == "-1500");

  report::View view;
  view.units = report::UnitSystem::inch;
  view.condition = "measured start";
  const auto inch = rows_of(report::csv(result, view));
  REQUIRE(inch.size() == 41);
  CHECK(inch[0].at("temperature gears [degF]") == "-40");
  CHECK(inch[40].at("time [s]") == "600");
  view.condition.reset();
  view.mesh = "a mesh of a long name";
  CHECK(rows_of(report::csv(result, view)).size() == 3);
}
