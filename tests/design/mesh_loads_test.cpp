// What the mean forces of the torsional model open: backlash under load, and lost motion with
// wind-up.
#include <cmath>

#include "catch.hpp"
#include "design/torsion/mesh_loads.hpp"
#include "lashband/design/train.hpp"
#include "lashband/elastomer/bonded_ring.hpp"
#include "made_torsion.hpp"

using namespace lashband;
using namespace lashband::design;
using namespace lashband::design::test;
using units::from_si;

namespace {

constexpr double rounding = 1e-11;
constexpr double load = 20.0;  // N m on the last shaft

// Gear 1 at the left of an idler, gear 3 where it is put; all alike, 1 drives.
Design with_idler(geometry::Point third) {
  Design design = empty_design(11.5e-6);
  add_shaft(design, "1", at(-90.1, 0.0));
  add_shaft(design, "2", at(0.0, 0.0));
  add_shaft(design, "3", third);
  for (std::size_t i = 0; i < 3; ++i) {
    add_gear(design, "g" + std::to_string(i + 1), i, teeth(30, 3.0), between(-0.06, -0.04));
  }
  add_mesh(design, "1-2", 0, 1, mm(90.1));
  add_mesh(design, "2-3", 1, 2, mm(90.1));
  design.conditions = {condition("running", 20, 20)};
  design.conditions[0].speeds = {{0, rad_per_s(100.0)}};
  design.torsion.emplace();
  for (std::size_t i = 0; i < 3; ++i) {
    add_station(design, std::to_string(i + 1), i, 0.01, {i});
  }
  add_stiffness(design, 0, 2e8, 0.0);
  add_stiffness(design, 1, 2e8, 0.0);
  design.torsion->torques = {torque("load", 2, -load, 1.0, 0.0)};
  return design;
}

std::vector<std::optional<LoadedStance>> stances_of(const Design& design) {
  return loaded_stances(design, 0, 0, backlash(design, 0, {}), {});
}

const MeshState& first_state(const BacklashResult& result, std::size_t mesh) {
  return result.meshes.at(mesh).states.at(0);
}

Design loaded_twin() {
  Design design = Twin::design();
  design.torsion->torques = {torque("load", 1, -load, 1.0, 0.0)};
  return design;
}

}  // namespace

TEST_CASE("an idler leans where the teeth on both sides push it") {
  // By hand, with F_t = F cos alpha_wt and F_r = F sin alpha_wt. Turning against the clock, as
  // gear 1 does against it, the idler is pushed up or down at the left and braked at gear 3.
  const double alpha = std::acos(90.0 * std::cos(pi / 9.0) / 90.1);
  const double shaft_share = std::sin(alpha);
  SECTION("in line: both radial forces cancel and the idler moves across both meshes") {
    const auto stances = stances_of(with_idler(at(90.1, 0.0)));
    REQUIRE(stances.size() == 2);
    CHECK_THAT(stances[0]->share_1, WithinRel(shaft_share, rounding));
    CHECK_THAT(stances[0]->share_2, WithinAbs(0.0, rounding));
    CHECK_THAT(stances[1]->share_1, WithinAbs(0.0, rounding));
    CHECK_THAT(stances[1]->share_2, WithinRel(shaft_share, rounding));
    CHECK_THAT(std::abs(stances[0]->force), WithinRel(load / Twin::base_radius(), rounding));
    CHECK_THAT(stances[0]->deflection, WithinRel(load / Twin::base_radius() / 2e8, rounding));
  }
  SECTION("at a right angle to one side it leaves both meshes, to the other it enters both") {
    // Gear 1 turns against the clock, the idler with it: at its left it is pushed up.
    // Gear 3 above: at the top the idler moves right and is pushed left and down. Sum along
    // (F_r - F_t, F_t - F_r): into mesh 1-2 and into mesh 2-3.
    const auto above = stances_of(with_idler(at(0.0, 90.1)));
    CHECK_THAT(above[0]->share_2, WithinRel(-std::sqrt(0.5), rounding));
    CHECK_THAT(above[1]->share_1, WithinRel(-std::sqrt(0.5), rounding));
    // Below: at the bottom it moves left and is pushed right and up. Sum along
    // (F_r + F_t, F_t + F_r): out of both.
    const auto below = stances_of(with_idler(at(0.0, -90.1)));
    CHECK_THAT(below[0]->share_2, WithinRel(std::sqrt(0.5), rounding));
    CHECK_THAT(below[1]->share_1, WithinRel(std::sqrt(0.5), rounding));
  }
  SECTION("turning the other way changes the sides") {
    Design design = with_idler(at(0.0, 90.1));
    design.torsion->torques[0].mean = newton_metres(load);  // now 3 drives and 1 brakes
    const auto stances = stances_of(design);
    CHECK_THAT(stances[0]->share_2, WithinRel(std::sqrt(0.5), rounding));
    CHECK_THAT(stances[1]->share_1, WithinRel(std::sqrt(0.5), rounding));
  }
  SECTION("without places each mesh has its own line of action") {
    Design design = with_idler(at(0.0, 90.1));
    for (Shaft& shaft : design.shafts) {
      shaft.at.reset();
    }
    for (const auto& stance : stances_of(design)) {
      CHECK_THAT(stance->share_1, WithinRel(shaft_share, 1e-9));
      CHECK_THAT(stance->share_2, WithinRel(shaft_share, 1e-9));
    }
  }
}

TEST_CASE("teeth that bend open the other flank by force over stiffness") {
  const BacklashResult result = backlash(loaded_twin(), 0, {});
  REQUIRE(result.failures.empty());
  const MeshState& state = first_state(result, 0);
  REQUIRE(state.load);
  REQUIRE(state.j_wt_loaded);
  const double bent = load / Twin::base_radius() / Twin::stiffness;
  CHECK_THAT(state.load->tooth_deflection.value(), WithinRel(bent, rounding));
  CHECK_THAT(state.load->force.value(), WithinRel(load / Twin::base_radius(), rounding));
  CHECK(state.load->shafts.value() == 0.0);
  CHECK(state.load->separation.value() == 0.0);
  CHECK(state.load->ring.value() == 0.0);
  // j_bt = j_wt cos alpha_wt.
  const double more = bent / std::cos(state.alpha_wt.value());
  const auto& unloaded = state.gap.j_wt;
  CHECK_THAT((state.j_wt_loaded->nominal - unloaded.nominal).value(), WithinRel(more, 1e-8));
  CHECK_THAT((state.j_wt_loaded->low - unloaded.low).value(), WithinRel(more, 1e-3));
  CHECK_THAT((state.j_wt_loaded->high - unloaded.high).value(), WithinRel(more, 1e-3));
}

TEST_CASE("the force of the torsional model opens a mesh as one given with the condition") {
  Design design = loaded_twin();
  design.meshes[0].separation.emplace();
  design.meshes[0].separation->per_force =
      from_si<decltype(design.meshes[0].separation->per_force)::value_type>(2e-8);
  const BacklashResult of_model = backlash(design, 0, {});
  const MeshState& state = first_state(of_model, 0);
  REQUIRE(state.load);
  const double force = load / Twin::base_radius();
  CHECK_THAT(state.load->separation.value(), WithinRel(2e-8 * force, rounding));
  // The same without a torsional model, at the same force, and teeth that do not bend.
  Design given = design;
  given.torsion.reset();
  given.conditions[0].mesh_force = {from_si<units::Force>(force)};
  const BacklashResult of_file = backlash(given, 0, {});
  const MeshState& other = first_state(of_file, 0);
  REQUIRE(other.j_wt_loaded);
  CHECK_FALSE(other.load);
  const double bent = force / Twin::stiffness / std::cos(state.alpha_wt.value());
  CHECK_THAT((state.j_wt_loaded->nominal - other.j_wt_loaded->nominal).value(),
             WithinRel(bent, 1e-3));
}

TEST_CASE("a soft rim moves along its tooth force and opens the mesh by its radial part") {
  Design design = loaded_twin();
  GearBody body;
  body.gear = 1;
  body.build = kg_m2(0.002);
  body.elastomer.emplace();
  body.elastomer->ring = Elastomer::Ring{mm(40.0), mm(70.0), mm(20.0)};
  body.elastomer->shear_modulus = from_si<units::Pressure>(1.2e6);
  body.elastomer->loss_factor = 0.1;
  design.torsion->gears = {body};
  const BacklashResult result = backlash(design, 0, {});
  const MeshState& state = first_state(result, 0);
  REQUIRE(state.load);
  const auto stiffness =
      elastomer::radial_stiffness({mm(40.0), mm(70.0), mm(20.0)}, from_si<units::Pressure>(1.2e6));
  const double radial = load / Twin::base_radius() * std::sin(state.alpha_wt.value());
  const double middle = 0.5 * (radial / stiffness.low.value() + radial / stiffness.high.value());
  CHECK_THAT(state.load->ring.value(), WithinRel(middle, 1e-9));
  CHECK(state.j_wt_loaded->nominal > state.gap.j_wt.nominal);
}

TEST_CASE("a condition without a speed has no load") {
  Design design = loaded_twin();
  design.conditions[0].speeds.clear();
  const BacklashResult result = backlash(design, 0, {});
  CHECK(result.failures.empty());
  CHECK_FALSE(first_state(result, 0).load);
}

TEST_CASE("lost motion under torque is that of the gaps and twice the wind-up") {
  Design design = loaded_twin();
  design.train.lost_motion = {{.of = 1, .held = 0}};
  const TrainResult result = train_of(design, 0, {});
  REQUIRE(result.failures.empty());
  const LostMotionState& state = result.lost_motion.at(0).states.at(0);
  REQUIRE(state.wind_up);
  REQUIRE(state.under_torque);
  const double r = Twin::base_radius();
  CHECK_THAT(state.wind_up->value(), WithinRel(load / (Twin::stiffness * r * r), rounding));
  CHECK_THAT((state.under_torque->nominal - state.total->nominal).value(),
             WithinRel(2.0 * state.wind_up->value(), 1e-9));
  CHECK_THAT((state.under_torque->low - state.total->low).value(),
             WithinRel(2.0 * state.wind_up->value(), 1e-9));
}
