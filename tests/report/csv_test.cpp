#include "lashband/report/csv.hpp"

#include "catch.hpp"

using namespace lashband;
using units::from_si;
using units::Length;

namespace {

design::BacklashResult one_state(const std::string& mesh) {
  design::BacklashResult result;
  result.zones = {"gears"};
  result.states = {{"cold", "cold", thermal::TemperatureState({units::celsius(-40.0)})}};
  result.carrier_states.push_back({0, {}});
  design::MeshResult one;
  one.id = mesh;
  design::MeshState state;
  state.a = from_si<Length>(0.106608);
  state.eps_alpha = 1.6;
  state.gap.j_wt = {from_si<Length>(1e-4), from_si<Length>(5e-5), from_si<Length>(2e-4)};
  one.states.push_back(state);
  result.meshes.push_back(one);
  return result;
}

}  // namespace

TEST_CASE("fields are quoted where RFC 4180 asks for it") {
  CHECK_THAT(report::csv(one_state("A, \"B\""), {}),
             ContainsText("\r\n\"A, \"\"B\"\"\",cold,-40,"));
  CHECK_THAT(report::csv(one_state("plain"), {}), ContainsText("\r\nplain,cold,-40,106.608,"));
}

TEST_CASE("what was not computed is blank") {
  const std::string text = report::csv(one_state("m"), {});
  // joint_force, squeeze_left and stretch_left follow base_pitch_mismatch; j_r is three fields.
  CHECK_THAT(text, ContainsText("base_pitch_mismatch [mm],joint_force [N],squeeze_left [mm]"));
  CHECK_THAT(text, ContainsText(",0,,,,0.1,0.05,0.2,"));
}

TEST_CASE("inches are exact multiples") {
  report::View view;
  view.units = report::UnitSystem::inch;
  const std::string text = report::csv(one_state("m"), view);
  CHECK_THAT(text, ContainsText("temperature gears [degF]"));
  CHECK_THAT(text, ContainsText("m,cold,-40,4.19716535433"));  // 106.608 mm / 25.4
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
  CHECK_THAT(
      report::csv(result, {}),
      ContainsText("\r\nplate,true,m,cold,0.1,0.05,0.2,cold,0.1,0.05,0.2,0,-1500,0,,,true\r\n"));
}
