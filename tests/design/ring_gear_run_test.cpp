// A gear in a ring gear through whole runs.
#include <cmath>

#include "catch.hpp"
#include "lashband/design/run.hpp"
#include "lashband/geometry/backlash.hpp"
#include "lashband/geometry/centre_distance.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "made_designs.hpp"

using namespace lashband;
using namespace lashband::design;
using namespace lashband::design::test;
using units::celsius;
using units::from_si;
using units::Length;

namespace {

constexpr double rounding = 1e-13;  // m

// A planet of 24 teeth in a ring of 72, both toleranced, in a case of its own material.
Design planet_in_ring(double alpha_case) {
  Design design = empty_design(alpha_case);
  add_shaft(design, "planet", at(48.0, 0.0));
  add_shaft(design, "ring", at(0.0, 0.0));
  add_gear(design, "p", 0, teeth(24, 2.0, 12.0), between(-0.05, -0.03));
  add_gear(design, "r", 1, teeth(72, 2.0, 12.0, true), between(-0.06, -0.02));
  const Length a = geometry::reference_centre_distance(design.gears[0].body, design.gears[1].body);
  design.shafts[0].at = geometry::Point{a, Length()};
  add_mesh(design, "p-r", 0, 1, a);
  design.meshes[0].centre_distance_deviation = between(-0.012, 0.012);
  return design;
}

}  // namespace

TEST_CASE("a ring gear in its case loses backlash where an external pair gains it") {
  // Hot, an aluminium arm outgrows steel gears: it pushes the planet outwards into the ring.
  Design design = planet_in_ring(23e-6);
  design.conditions = {condition("cold", -40, -40), condition("hot", 100, 100)};
  const BacklashResult result = backlash(design, 0, {});
  REQUIRE(result.failures.empty());
  const auto& states = result.meshes[0].states;
  CHECK(states[0].gap.j_wt.nominal > states[1].gap.j_wt.nominal);
  CHECK(states[0].a < states[1].a);
  CHECK(states[0].a.value() > 0.0);
  CHECK(states[1].gap.phi_2.nominal.value() > 0.0);
  // By the geometry of the pair as it stands: gears and distance each grown by its own strain.
  for (std::size_t i = 0; i < 2; ++i) {
    const double dT = i == 0 ? -60.0 : 80.0;
    const auto body = [&](std::size_t gear, double E_sn) {
      return design.gears[gear].body.with_thickness_allowance(mm(E_sn)).grown(11.5e-6 * dT);
    };
    const auto gap = [&](double E_1, double E_2, double deviation) {
      const geometry::GearPair pair(
          body(0, E_1), body(1, E_2),
          (design.meshes[0].centre_distance + mm(deviation)) * (1.0 + 23e-6 * dT));
      return geometry::same_tooth_gap(pair).value();
    };
    CHECK_THAT(states[i].gap.j_bt.nominal.value(), WithinAbs(gap(-0.04, -0.04, 0.0), rounding));
    // The least has thick teeth and the axes far apart.
    CHECK_THAT(states[i].gap.j_bt.low.value(), WithinAbs(gap(-0.03, -0.02, 0.012), rounding));
    CHECK_THAT(states[i].gap.j_bt.high.value(), WithinAbs(gap(-0.05, -0.06, -0.012), rounding));
  }
}

TEST_CASE("of one material and temperature a ring gear keeps its angular backlash") {
  Design design = planet_in_ring(11.5e-6);
  design.soak = Soak{celsius(-60), celsius(140), 9};
  const BacklashResult result = backlash(design, 0, {});
  for (const MeshState& state : result.meshes[0].states) {
    CHECK_THAT(state.gap.phi_1.low.value(),
               WithinAbs(result.meshes[0].states[0].gap.phi_1.low.value(), rounding / 0.02));
  }
}

TEST_CASE("with a ring gear distribution and samples agree, float and uncertain growth included") {
  Design design = planet_in_ring(23e-6);
  design.conditions = {condition("hot", 100, 80)};
  design.meshes[0].require.least_backlash = mm(0.015);
  for (Gear& gear : design.gears) {
    gear.run_out = tolerance::magnitude_up_to(mm(0.020));
    gear.pitch_deviation = tolerance::magnitude_up_to(mm(0.006));
    gear.helix_deviation = tolerance::symmetrical(mm(0.010));
  }
  design.expansion_groups = {{"all", {"steel"}, 0.05, tolerance::Shape::normal()}};
  Bearing bearing;
  bearing.id = "planet bearing";
  bearing.clearance = between(0.008, 0.022);
  design.shafts[0].bearings = {bearing};
  const BacklashResult exact = backlash(design, 0, {});
  REQUIRE(exact.failures.empty());
  // A correlation too small to matter makes the percentiles sampled ones.
  Design sampled_design = design;
  sampled_design.correlations = {{"F_r p", "F_r r", 1e-6}};
  RunOptions options;
  options.samples = std::uint64_t{1} << 20U;
  options.seed = 7;
  const BacklashResult sampled = backlash(sampled_design, 0, options);
  REQUIRE(sampled.meshes[0].percentiles_sampled);
  const BacklashBands& one = exact.meshes[0].states.at(0).gap;
  const BacklashBands& two = sampled.meshes[0].states.at(0).gap;
  // Standard errors of 2^20 samples: of the 0.135 percentile some 2.5 % of a standard deviation of
  // about 12 um over sqrt(1) ... 0.035 um; five of them. Of the median 0.015 um.
  CHECK_THAT(one.j_wt.least->low.value(), WithinAbs(two.j_wt.least->low.value(), 0.18e-6));
  CHECK_THAT(one.j_wt.least->mid.value(), WithinAbs(two.j_wt.least->mid.value(), 0.08e-6));
  CHECK_THAT(one.j_wt.greatest->high.value(), WithinAbs(two.j_wt.greatest->high.value(), 0.18e-6));
  CHECK_THAT(one.j_bind.least->low.value(), WithinAbs(two.j_bind.least->low.value(), 0.18e-6));
  const double p = exact.meshes[0].states[0].failure.below_least.value_or(0.0);
  CHECK_THAT(p, WithinAbs(sampled.meshes[0].states[0].failure.below_least.value_or(1.0),
                          5.0 * std::sqrt(p / 1048576.0) + 1e-9));
  // Float pushes the planet outwards for the least gap, run-out lifts it: both ends are apart.
  CHECK(one.j_bind.nominal > one.j_bt.nominal);
}
