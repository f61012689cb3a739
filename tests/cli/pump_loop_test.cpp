// The loop of the four-screw example: what its README says of it is what the program finds, and the
// amount agrees with a closed form.
#include <cmath>
#include <nlohmann/json.hpp>

#include "catch.hpp"
#include "program.hpp"

using namespace lashband::test;
using nlohmann::json;

namespace {

// IT7 of 80 to 120 mm, ISO 286-1 (as h7 of a table for bars, seen): 35 um.
constexpr double it7_in_mm = 0.035;

json pump(const std::string& carrier) {
  return json::parse(run_lashband({"backlash", "examples/four_screw_pump/train.json", "--format",
                                   "json", "--no-verdict", "--carrier", carrier})
                         .out);
}

json state_of(const json& list, const std::string& condition) {
  for (const json& state : list) {
    if (state.at("condition") == condition) {
      return state;
    }
  }
  throw std::runtime_error("no state " + condition);
}

}  // namespace

TEST_CASE(
    "in frost the pump's loop binds in its case while no mesh does, for one bore within IT7") {
  const json result = pump("bores in the case");
  for (const std::string condition : {"winter start", "soak -30 degC"}) {
    for (const json& mesh : result.at("meshes")) {
      const json state = state_of(mesh.at("states"), condition);
      CHECK(state.at("j_bind").at("worst_case")[0].get<double>() > 0.0);
    }
    const json loop = state_of(result.at("loops")[0].at("states"), condition);
    CHECK(loop.at("margin_float_taken_up").at("worst_low").get<double>() < 0.0);
    CHECK(loop.at("margin").at("nominal").get<double>() > 0.0);
    const double reserve = loop.at("bore_reserve").at("by").at("value").get<double>();
    CHECK(reserve < it7_in_mm);
    // A bore of a square off by d along its diagonal, first order: the four gaps lose
    // sqrt(2) d sin alpha_wt together and the offsets change by sqrt(2) d cos alpha_wt, against
    // four half gaps: d = sqrt(2) j_bt / (sin alpha_wt + cos alpha_wt).
    const json mesh = state_of(result.at("meshes")[0].at("states"), condition);
    const double j_bt = mesh.at("j_bt").at("nominal").get<double>();
    const double alpha = mesh.at("alpha_wt").at("value").get<double>() * std::acos(-1.0) / 180.0;
    CHECK_THAT(reserve,
               WithinRel(std::sqrt(2.0) * j_bt / (std::sin(alpha) + std::cos(alpha)), 2e-3));
  }
  CHECK(result.at("loops")[0].at("meshes").size() == 4);
  bool told = false;
  for (const json& row : result.at("requirements")) {
    told = told || (row.at("what") == "no_loop_binding" && !row.at("met").get<bool>() &&
                    row.at("mesh") == "loop 4-1, 1-2, 2-3, 3-4");
  }
  CHECK(told);
}

TEST_CASE("on the steel plate the pump's loop is free at every state") {
  const json result = pump("dowelled steel plate");
  REQUIRE_FALSE(result.at("loops")[0].at("states").empty());
  for (const json& state : result.at("loops")[0].at("states")) {
    CHECK(state.at("margin_float_taken_up").at("worst_low").get<double>() > 0.0);
  }
  for (const json& row : result.at("requirements")) {
    CHECK(row.at("met").get<bool>());
  }
}

TEST_CASE("the README of the pump has the figures of the program") {
  const std::string page =
      text_of(fs::path(LASHBAND_SOURCE_DIR) / "examples" / "four_screw_pump" / "README.md");
  const json result = pump("bores in the case");
  const json mesh = state_of(result.at("meshes")[0].at("states"), "winter start");
  const json loop = state_of(result.at("loops")[0].at("states"), "winter start");
  const auto whole_um = [](double mm) { return std::to_string(std::lround(1000.0 * mm)); };
  const double kept = mesh.at("j_wt").at("worst_case")[0].get<double>();
  CHECK(page.find("keeps " + whole_um(kept) + " µm of backlash") != std::string::npos);
  const double low = loop.at("margin_float_taken_up").at("worst_low").get<double>();
  CHECK(page.find("the loop is " + whole_um(-low) + " µm short") != std::string::npos);
  const double reserve = loop.at("bore_reserve").at("by").at("value").get<double>();
  CHECK(page.find(whole_um(reserve) + " µm off is enough") != std::string::npos);
}
