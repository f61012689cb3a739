#include "design/judgement.hpp"

#include "catch.hpp"
#include "lashband/design/run.hpp"

using namespace lashband;
using namespace lashband::design;

namespace {

units::Length um(double value) {
  return units::from_si<units::Length>(1e-6 * value);
}

// A mesh at three states; backlash in micrometres.
MeshState state(std::size_t index, double low, double nominal, double high) {
  MeshState result;
  result.state = index;
  result.gap.j_wt = {um(nominal), um(low), um(high)};
  result.gap.j_bn = {um(0.9 * nominal), um(0.9 * low), um(0.9 * high)};
  result.gap.j_bind = {um(0.8 * nominal), um(0.8 * low), um(0.8 * high)};
  result.c_1 = um(700.0);
  result.c_2 = um(650.0);
  result.tip_clearance_low = um(600.0);
  result.eps_alpha = 1.6;
  result.eps_alpha_low = 1.5;
  return result;
}

MeshResult mesh_with_states() {
  MeshResult mesh;
  mesh.id = "m";
  mesh.states = {state(0, 40, 80, 120), state(1, 20, 90, 150), state(2, 30, 70, 160)};
  return mesh;
}

std::vector<State> names() {
  const thermal::TemperatureState nowhere({});
  return {{"s0", "s0", 0, nowhere}, {"s1", "s1", 1, nowhere}, {"s2", "s2", 2, nowhere}};
}

std::vector<RequirementRow> rows_for(const MeshRequirements& require) {
  std::vector<RequirementRow> rows;
  judge(mesh_with_states(), require, names(), rows);
  return rows;
}

constexpr double rounding = 1e-18;  // m

}  // namespace

TEST_CASE("the extremes are those of the basis, the swing is that of the nominal") {
  MeshResult mesh = mesh_with_states();
  find_extremes(mesh);
  CHECK(mesh.least == 1U);
  CHECK(mesh.greatest == 2U);
  CHECK_THAT(mesh.swing.value(), WithinAbs(20e-6, rounding));
  mesh = mesh_with_states();
  mesh.basis = Basis::nominal;
  find_extremes(mesh);
  CHECK(mesh.least == 2U);
  CHECK(mesh.greatest == 1U);
}

TEST_CASE("binding is judged without being asked for") {
  const auto rows = rows_for({});
  REQUIRE(rows.size() == 1);
  CHECK(rows[0].what == "no_binding");
  CHECK(rows[0].met);
  CHECK(rows[0].state == "s1");
  CHECK_THAT(rows[0].found, WithinAbs(16e-6, rounding));
}

TEST_CASE("every requirement is judged at its worst state") {
  MeshRequirements require;
  require.least_backlash = um(20.0);
  require.greatest_backlash = um(159.0);
  require.least_normal_backlash = um(18.5);
  require.greatest_normal_backlash = um(150.0);
  require.least_tip_clearance = um(610.0);
  require.least_contact_ratio = 1.5;
  const auto rows = rows_for(require);
  REQUIRE(rows.size() == 7);
  const auto check = [&](std::size_t i, const std::string& what, double found, bool met,
                         const std::string& where) {
    INFO(what);
    CHECK(rows[i].what == what);
    CHECK_THAT(rows[i].found, WithinAbs(found, rounding));
    CHECK(rows[i].met == met);
    CHECK(rows[i].state == where);
  };
  check(0, "least_backlash", 20e-6, true, "s1");  // exactly at the limit is met
  check(1, "greatest_backlash", 160e-6, false, "s2");
  check(2, "least_normal_backlash", 18e-6, false, "s1");
  check(3, "greatest_normal_backlash", 144e-6, true, "s2");
  check(4, "least_tip_clearance", 600e-6, false, "s0");
  check(5, "least_contact_ratio", 1.5, true, "s0");
  CHECK(rows[5].kind == RequirementRow::Kind::ratio);
  check(6, "no_binding", 16e-6, true, "s1");
}

TEST_CASE("on the nominal basis the mid values are judged") {
  MeshRequirements require;
  require.basis = Basis::nominal;
  require.least_backlash = um(60.0);
  require.least_tip_clearance = um(640.0);
  require.least_contact_ratio = 1.55;
  for (const RequirementRow& row : rows_for(require)) {
    INFO(row.what);
    CHECK(row.met);
    CHECK(row.basis == Basis::nominal);
  }
}

TEST_CASE("a running gap is added to what is asked for at least, and asks by itself alone") {
  MeshRequirements require;
  require.minimum_running_gap = um(5.0);
  require.least_backlash = um(16.0);
  require.least_normal_backlash = um(10.0);
  auto rows = rows_for(require);
  REQUIRE(rows.size() == 3);
  CHECK_THAT(rows[0].limit, WithinAbs(21e-6, rounding));
  CHECK_FALSE(rows[0].met);
  CHECK_THAT(rows[1].limit, WithinAbs(15e-6, rounding));
  CHECK(rows[1].met);

  MeshRequirements alone;
  alone.minimum_running_gap = um(25.0);
  rows = rows_for(alone);
  REQUIRE(rows.size() == 2);
  CHECK(rows[0].what == "least_backlash");
  CHECK_THAT(rows[0].limit, WithinAbs(25e-6, rounding));
  CHECK_FALSE(rows[0].met);
}

TEST_CASE("a mesh without a state has no verdict to give") {
  MeshResult empty;
  empty.id = "m";
  std::vector<RequirementRow> rows;
  find_extremes(empty);
  judge(empty, {}, names(), rows);
  CHECK(rows.empty());
  CHECK_FALSE(empty.least.has_value());
}
