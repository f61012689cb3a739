#include "torsion_summary.hpp"

#include <cmath>

namespace lashband::design {
namespace {

void take_meshes(const Design& design, const TorsionCondition& condition, TorsionSummary& summary) {
  for (const MeshVibration& mesh : condition.meshes) {
    if (mesh.rattle_index &&
        (!summary.greatest_rattle_index || *mesh.rattle_index > *summary.greatest_rattle_index)) {
      summary.greatest_rattle_index = mesh.rattle_index;
      summary.mesh = design.meshes[mesh.mesh].id;
      summary.rattle_condition = condition.id;
    }
  }
}

// The first of the crossings is the nearest.
void take_margin(const TorsionResult& torsion, const TorsionCondition& condition,
                 TorsionSummary& summary) {
  if (condition.crossings.empty()) {
    return;
  }
  const Crossing& nearest = condition.crossings.front();
  const double margin = std::abs(*nearest.margin);
  if (!summary.least_margin || margin < *summary.least_margin) {
    summary.least_margin = margin;
    summary.excitation = torsion.lines[nearest.line].id;
    summary.margin_condition = condition.id;
  }
}

}  // namespace

TorsionSummary torsion_summary(const Design& design, const TorsionResult& torsion) {
  TorsionSummary summary;
  for (const TorsionCondition& condition : torsion.conditions) {
    if (condition.speed_judged) {
      take_meshes(design, condition, summary);
      take_margin(torsion, condition, summary);
    }
  }
  return summary;
}

}  // namespace lashband::design
