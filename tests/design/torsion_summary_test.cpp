// The worst of a torsional analysis, from results made by hand.
#include "design/torsion/summary.hpp"

#include <cmath>
#include <optional>
#include <vector>

#include "catch.hpp"

using namespace lashband;

namespace {

design::Design made_design() {
  design::Design design;
  design.meshes.resize(2);
  design.meshes[0].id = "A-B";
  design.meshes[1].id = "B-C";
  return design;
}

design::MeshVibration loaded(std::size_t mesh, double index) {
  design::MeshVibration vibration;
  vibration.mesh = mesh;
  vibration.mean = units::from_si<units::Force>(100.0);
  vibration.least = units::from_si<units::Force>(100.0 * (1.0 - index));
  vibration.rattle_index = index;
  return vibration;
}

// Without a mean force.
design::MeshVibration unloaded(std::size_t mesh, double least) {
  design::MeshVibration vibration;
  vibration.mesh = mesh;
  vibration.least = units::from_si<units::Force>(least);
  vibration.unloaded = true;
  return vibration;
}

design::TorsionCondition judged(const char* id, const std::vector<design::MeshVibration>& meshes) {
  design::TorsionCondition condition;
  condition.id = id;
  condition.speed_judged = true;
  condition.meshes = meshes;
  return condition;
}

design::Crossing crossing(std::size_t line, double margin) {
  design::Crossing one;
  one.line = line;
  one.margin = margin;
  return one;
}

}  // namespace

TEST_CASE("torsion summary: the greatest index, with mesh and condition") {
  design::TorsionResult torsion;
  torsion.conditions = {judged("slow", {loaded(0, 0.25), loaded(1, 0.5)}),
                        judged("fast", {loaded(0, 1.75), loaded(1, 0.75)})};
  const design::TorsionSummary summary = design::torsion_summary(made_design(), torsion);
  REQUIRE(summary.greatest_rattle_index);
  CHECK(*summary.greatest_rattle_index == 1.75);
  CHECK(summary.mesh == "A-B");
  CHECK(summary.rattle_condition == "fast");
  CHECK_FALSE(summary.least_margin);
}

TEST_CASE("torsion summary: a mesh without a mean force that is shaken parts, whatever others do") {
  design::TorsionResult torsion;
  torsion.conditions = {judged("slow", {loaded(0, 9.0), unloaded(1, -0.5)}),
                        judged("fast", {loaded(0, 12.0), unloaded(1, -3.0)})};
  const design::TorsionSummary summary = design::torsion_summary(made_design(), torsion);
  REQUIRE(summary.greatest_rattle_index);
  CHECK(std::isinf(*summary.greatest_rattle_index));
  CHECK(summary.mesh == "B-C");
  CHECK(summary.rattle_condition == "slow");
}

TEST_CASE("torsion summary: a mesh that nothing loads or shakes has no index") {
  design::TorsionResult torsion;
  torsion.conditions = {judged("slow", {loaded(0, 0.25), unloaded(1, 0.0)})};
  CHECK(design::torsion_summary(made_design(), torsion).mesh == "A-B");
  torsion.conditions = {judged("slow", {unloaded(1, 0.0)})};
  CHECK_FALSE(design::torsion_summary(made_design(), torsion).greatest_rattle_index);
}

TEST_CASE("torsion summary: the least margin to either side, and conditions with a speed alone") {
  design::TorsionResult torsion;
  torsion.lines.resize(2);
  torsion.lines[0].id = "torque load";
  torsion.lines[1].id = "mesh A-B";
  torsion.conditions = {judged("slow", {}), judged("fast", {}), judged("swept", {loaded(0, 5.0)})};
  torsion.conditions[0].crossings = {crossing(0, 0.2), crossing(1, 0.4)};
  torsion.conditions[1].crossings = {crossing(1, -0.1), crossing(0, 0.3)};
  torsion.conditions[2].crossings = {crossing(0, 0.01)};
  torsion.conditions[2].speed_judged = false;
  const design::TorsionSummary summary = design::torsion_summary(made_design(), torsion);
  REQUIRE(summary.least_margin);
  CHECK(*summary.least_margin == 0.1);
  CHECK(summary.excitation == "mesh A-B");
  CHECK(summary.margin_condition == "fast");
  CHECK_FALSE(summary.greatest_rattle_index);
}
