#include "summary.hpp"

#include <cmath>
#include <limits>

namespace lashband::design {
namespace {

// Infinite where a mesh carries no mean force and is shaken: its teeth part.
std::optional<double> index_of(const MeshVibration& mesh) {
  return mesh.unloaded && mesh.least.value() < 0.0
             ? std::optional(std::numeric_limits<double>::infinity())
             : mesh.rattle_index;
}

void take_meshes(const Design& design, const TorsionCondition& condition, TorsionSummary& summary) {
  for (const MeshVibration& mesh : condition.meshes) {
    const std::optional<double> index = index_of(mesh);
    if (index && (!summary.greatest_rattle_index || *index > *summary.greatest_rattle_index)) {
      summary.greatest_rattle_index = index;
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
