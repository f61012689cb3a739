// That the shape is the schema's is checked in tests/schema, with a validator; here the values.
#include "lashband/report/json.hpp"

#include <nlohmann/json.hpp>

#include "catch.hpp"
#include "made_results.hpp"

using namespace lashband;
using nlohmann::json;

namespace {

template <class Result>
json parsed(const Result& result, const report::View& view = {}) {
  return json::parse(report::json(result, view));
}

}  // namespace

TEST_CASE("a band has its root sum square and percentiles under their names") {
  const json state = parsed(test::full_result()).at("meshes")[0].at("states")[0];
  // full_band(82.9) of made_results.hpp, in mm.
  CHECK(state.at("j_wt") == json::parse(R"({ "nominal": 0.0829, "worst_case": [0.04265, 0.12365],
          "rss": [0.0524, 0.1134], "percentiles": {
            "least": { "0.135": 0.054775, "50": 0.0809, "99.865": 0.1029 },
            "greatest": { "0.135": 0.0629, "50": 0.0849, "99.865": 0.1114 } }, "unit": "mm" })"));
  CHECK(state.at("j_bind") == json::parse(R"({ "nominal": 0.0799, "worst_case": [0.0399, 0.1199],
          "rss": [0.0499, 0.1099],
          "percentiles": { "0.135": 0.0519, "50": 0.0794, "99.865": 0.1069 },
          "probability_negative": 2.34e-08, "unit": "mm" })"));
  CHECK(state.at("probabilities") ==
        json::parse(R"({ "bind": 2.34e-08, "below_least": 0.00125, "above_greatest": 0.9999 })"));
  CHECK(state.at("phi_1").at("percentiles").at("greatest").at("50") == 1.2e-3);
  CHECK(state.at("float_1").at("worst_case") == json::parse("[0.005, 0.019]"));
  CHECK(state.at("float_2").at("nominal") == 0.013);
  CHECK(state.at("j_wt_loaded").at("nominal") == 0.0909);
  CHECK(state.at("tilt") == json::parse(R"({ "value": 0.00025, "unit": "rad" })"));
  CHECK(state.at("tilt_over_face") == json::parse(R"({ "value": 0.0045, "unit": "mm" })"));
}

TEST_CASE("a mesh says what of it was sampled, and which rings are loose") {
  const json result = parsed(test::full_result());
  CHECK(result.at("sampling") ==
        json::parse(R"({ "seed": 7, "samples": 1000000, "instruction_set": "AVX2" })"));
  const json& mesh = result.at("meshes")[0];
  CHECK_FALSE(mesh.contains("percentiles_sampled"));
  CHECK(result.at("meshes")[1].at("percentiles_sampled") == true);
  CHECK(mesh.at("anywhere").at("bind") ==
        json::parse(R"({ "value": 3.1e-08, "standard_error": 1.2e-08 })"));
  CHECK(mesh.at("anywhere").at("above_greatest").at("value") == 0.0);
  CHECK(mesh.at("loose_rings") == json::parse(R"([
    { "bearing": "crank A bearing 1", "ring": "outer",
      "by": { "value": 0.00625, "unit": "mm" }, "condition": "running hot, gears lead the case" },
    { "bearing": "crank B bearing 2", "ring": "inner",
      "by": { "value": 0.00075, "unit": "mm" }, "condition": "cold start" } ])"));
  CHECK(result.at("requirements")[1].at("basis") == "percentile");
  CHECK(result.at("requirements")[2].at("basis") == "rss");
}

TEST_CASE("what was not worked out is left out") {
  const json result = parsed(test::bare_result());
  CHECK_FALSE(result.contains("sampling"));
  const json& mesh = result.at("meshes")[0];
  for (const char* name : {"anywhere", "percentiles_sampled", "loose_rings"}) {
    CHECK_FALSE(mesh.contains(name));
  }
  const json& state = mesh.at("states")[0];
  for (const char* name :
       {"probabilities", "float_1", "float_2", "j_wt_loaded", "tilt", "tilt_over_face", "j_r"}) {
    CHECK_FALSE(state.contains(name));
  }
  for (const char* name : {"rss", "percentiles", "probability_negative"}) {
    CHECK_FALSE(state.at("j_wt").contains(name));
    CHECK_FALSE(state.at("j_bind").contains(name));
  }
}

TEST_CASE("a carrier's mesh says where each fault is most likely") {
  const json result = parsed(test::full_comparison());
  CHECK(result.at("sampling").at("seed") == 7);
  const json& mesh = result.at("rows")[0].at("meshes")[0];
  CHECK(mesh.at("most_likely").at("bind") ==
        json::parse(R"({ "probability": 2.34e-08, "condition": "cold start" })"));
  CHECK(mesh.at("anywhere").at("below_least").at("value") == 2.5e-3);
  CHECK_FALSE(result.at("rows")[1].at("meshes")[0].contains("anywhere"));
  CHECK_FALSE(
      parsed(test::bare_comparison()).at("rows")[0].at("meshes")[0].contains("most_likely"));
}

TEST_CASE("a state has what its mean force does, where it has one") {
  const json states = parsed(test::full_result()).at("meshes")[0].at("states");
  CHECK(states[0].at("load") == json::parse(R"({
      "force": { "value": 512.25, "unit": "N" },
      "shafts": { "value": 0.00225, "unit": "mm" },
      "separation": { "value": 0.0005, "unit": "mm" },
      "ring": { "value": -0.00175, "unit": "mm" },
      "tooth_deflection": { "value": 0.006125, "unit": "mm" } })"));
  CHECK(states[2].contains("j_wt_loaded"));
  CHECK_FALSE(states[2].contains("load"));
}

TEST_CASE("a carrier has the worst of the torsional model, and no number for what has no end") {
  const json result = parsed(test::full_comparison());
  CHECK(result.at("rows")[0].at("torsion") == json::parse(R"({
      "greatest_rattle_index": { "value": 1.029268, "mesh": "A-B", "condition": "cold start",
                                 "unloaded": false },
      "least_resonance_margin": { "value": 0.012146, "excitation": "torque load",
                                  "condition": "cold start" } })"));
  CHECK(result.at("rows")[1].at("torsion") == json::parse(R"({
      "greatest_rattle_index": { "mesh": "a mesh of a long name", "condition": "cold start",
                                 "unloaded": true } })"));
  const json& requirements = result.at("rows")[0].at("requirements");
  REQUIRE(requirements.size() == 7);
  CHECK(requirements[4].at("found") == 1.029268);
  CHECK_FALSE(requirements[5].contains("found"));
  CHECK(requirements[5].at("met") == false);
  CHECK(requirements[6].at("what") == "least_resonance_margin");
  CHECK(report::json(test::full_comparison(), {}).find("null") == std::string::npos);
  CHECK_FALSE(parsed(test::bare_comparison()).at("rows")[0].contains("torsion"));
}

TEST_CASE("a budget has the band, temperature and every contributor") {
  const json result = parsed(test::full_budget());
  CHECK(result.at("analysis") == "budget");
  REQUIRE(result.at("budgets").size() == 4);
  const json& envelope = result.at("budgets")[0];
  CHECK(envelope.at("condition") == "envelope");
  CHECK(envelope.at("least_at") == "cold start");
  CHECK(envelope.at("greatest_at") == "running hot, gears lead the case");
  CHECK(envelope.at("temperature").at("value") == 0.021);
  CHECK(envelope.at("j_wt").at("worst_case") == json::parse("[0.05975, 0.14075]"));
  CHECK(envelope.at("rows")[0] == json::parse(R"({ "contributor": "E_sn gA",
    "what": "tooth thickness of gA", "tolerance": "-110 um .. -70 um",
    "range": { "value": 0.0435, "unit": "mm" }, "share": 0.625,
    "gain_worst_case": { "value": 0.02175, "unit": "mm" },
    "gain_percentile": { "value": 0.01225, "unit": "mm" } })"));
  CHECK_FALSE(result.at("budgets")[1].contains("least_at"));
  CHECK(result.at("requirements").size() == 4);

  report::View view;
  view.condition = "cold start";
  const json one = parsed(test::full_budget(), view);
  REQUIRE(one.at("budgets").size() == 1);
  CHECK(one.at("budgets")[0].at("condition") == "cold start");
  CHECK(one.at("requirements") == result.at("requirements"));
  view.condition.reset();
  view.mesh = "B-C";
  CHECK(parsed(test::full_budget(), view).at("budgets").empty());
}

TEST_CASE("a moment is named by its history and has its time beside it, wherever it is named") {
  const std::string moment = "cold start up at 30.25 s";
  const json time = json::parse(R"({ "value": 30.25, "unit": "s" })");
  design::BacklashResult result = test::with_history(test::full_result(), "cold start up", 5);
  result.requirements[0].state = moment;
  result.warnings[0].state = moment;
  result.failures[0].state = moment;
  result.meshes[0].loose_rings[0].state = moment;
  const json backlash = parsed(result);
  const json& mesh = backlash.at("meshes")[0];
  const auto is_moment = [&time](const json& named) {
    INFO(named.dump());
    CHECK(named.at("condition") == "cold start up");
    CHECK(named.at("time") == time);
  };
  is_moment(mesh.at("states")[5]);
  is_moment(mesh.at("least"));
  is_moment(backlash.at("requirements")[0]);
  is_moment(backlash.at("warnings")[0]);
  is_moment(backlash.at("failures")[0]);
  is_moment(mesh.at("loose_rings")[0]);
  // Any other state has none.
  CHECK_FALSE(mesh.at("states")[0].contains("time"));
  CHECK_FALSE(mesh.at("greatest").contains("time"));
  CHECK_FALSE(backlash.at("requirements")[1].contains("time"));

  design::CarriersResult carriers = test::full_comparison();
  carriers.rows[0].result = result;
  carriers.warnings[0].state = moment;
  is_moment(parsed(carriers).at("rows")[0].at("meshes")[0].at("least"));
  is_moment(parsed(carriers).at("warnings")[0]);

  design::BudgetResult budget = test::full_budget();
  budget.backlash = result;
  budget.budgets[0].least_at = moment;
  budget.budgets[1].state = moment;
  const json budgets = parsed(budget).at("budgets");
  CHECK(budgets[0].at("least_at") == "cold start up");
  CHECK(budgets[0].at("least_at_time") == time);
  CHECK_FALSE(budgets[0].contains("greatest_at_time"));
  is_moment(budgets[1]);
}

TEST_CASE("a history has its times, meshes, requirements over time and heat") {
  const json result = parsed(test::full_warmup());
  CHECK(result.at("analysis") == "warmup");
  REQUIRE(result.at("histories").size() == 2);
  const json& record = result.at("histories")[0];
  CHECK(record.at("source") == "record");
  CHECK(record.at("file") == "start.csv");
  CHECK(record.at("end") == json::parse(R"({ "value": 600.0, "unit": "s" })"));
  CHECK(record.at("times").at("values").size() == 41);
  CHECK(record.at("meshes")[0].at("states").size() == 41);
  CHECK(record.at("meshes")[0].at("states")[1].at("time").at("value") == 15.0);
  CHECK_FALSE(record.contains("places"));
  CHECK_FALSE(record.contains("heat"));
  const json& asked = record.at("requirements")[0];
  CHECK(asked.at("found").at("value") == 0.01);
  CHECK(asked.at("time").at("value") == 300.0);
  CHECK_FALSE(asked.contains("condition"));
  CHECK(asked.at("violated") == json::parse(R"([{ "from": { "value": 200.0, "unit": "s" },
                          "to": { "value": 400.0, "unit": "s" } }])"));
  CHECK(asked.at("holds_from").at("value") == 400.0);

  const json& network = result.at("histories")[1];
  CHECK(network.at("source") == "network");
  CHECK_FALSE(network.contains("file"));
  CHECK(network.at("cycles") == 3);
  CHECK(network.at("periodic") == true);
  CHECK(network.at("places")[1] == json::parse(R"({ "id": "ambient", "kind": "boundary",
    "temperature": { "values": [-35.0, -25.0, -14.5], "unit": "degC" } })"));
  CHECK(network.at("heat").at("rows")[3] == json::parse(R"({ "kind": "boundary", "id": "ambient",
    "heat": { "value": -47600.0, "unit": "J" } })"));
  CHECK(network.at("heat").at("residual").at("value") == 2.5e-7);

  // The rows of all histories, as every analysis has them.
  REQUIRE(result.at("requirements").size() == 5);
  CHECK(result.at("requirements")[0].at("condition") == "measured start");
  CHECK(result.at("requirements")[0].at("time").at("value") == 300.0);
  CHECK(result.at("sampling").at("seed") == 7);

  report::View view;
  view.condition = "measured start";
  view.mesh = "no such mesh";
  const json some = parsed(test::full_warmup(), view);
  REQUIRE(some.at("histories").size() == 1);
  CHECK(some.at("histories")[0].at("meshes").empty());
  CHECK(some.at("requirements").size() == 5);
}
