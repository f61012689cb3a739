#include "findings.hpp"

#include <cmath>
#include <limits>
#include <numbers>
#include <set>
#include <string>

#include "lashband/units/plain_number.hpp"
#include "laws.hpp"

namespace lashband::design {
namespace {

constexpr double per_degree = std::numbers::pi / 180.0;

std::string listed(const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& name : names) {
    text += (text.empty() ? "" : ", ");
    text += name;
  }
  return text;
}

// Worse is what is greater: an index, or a margin with its sign turned.
void add_row(RequirementRow row, double found, const std::string& state, double worse_above,
             std::optional<RequirementRow>& worst) {
  row.found = found;
  row.state = state;
  if (!worst || found * worse_above > worst->found * worse_above) {
    worst = std::move(row);
  }
}

void judge_meshes(const Design& design, double limit, TorsionResult& result) {
  for (std::size_t i = 0; i < result.meshes.size(); ++i) {
    std::optional<RequirementRow> worst;
    for (const TorsionCondition& condition : result.conditions) {
      if (!condition.speed_judged || condition.meshes.empty()) {
        continue;
      }
      const MeshVibration& mesh = condition.meshes[i];
      RequirementRow row;
      row.mesh = design.meshes[mesh.mesh].id;
      row.what = "greatest_rattle_index";
      row.kind = RequirementRow::Kind::ratio;
      row.limit = limit;
      row.basis = Basis::nominal;
      // An unloaded mesh parts with any excitation.
      const double found = mesh.rattle_index.value_or(
          mesh.least.value() < 0.0 ? std::numeric_limits<double>::infinity() : 0.0);
      add_row(std::move(row), found, condition.id, 1.0, worst);
    }
    if (worst) {
      worst->met = worst->found <= worst->limit;
      result.requirements.push_back(std::move(*worst));
    }
  }
}

void judge_margins(double limit, TorsionResult& result) {
  std::optional<RequirementRow> worst;
  for (const TorsionCondition& condition : result.conditions) {
    if (!condition.speed_judged) {
      continue;
    }
    for (const Crossing& crossing : condition.crossings) {
      const ExcitationLine& line = result.lines[crossing.line];
      RequirementRow row;
      row.mesh = line.id + ", order " + units::fixed_number(line.order, 2) + " at mode " +
                 std::to_string(crossing.mode);
      row.what = "least_resonance_margin";
      row.kind = RequirementRow::Kind::ratio;
      row.limit = limit;
      row.basis = Basis::nominal;
      add_row(std::move(row), std::abs(*crossing.margin), condition.id, -1.0, worst);
    }
  }
  if (worst) {
    worst->met = worst->found >= worst->limit;
    result.requirements.push_back(std::move(*worst));
  }
}

void add_elastomer_findings(const Design& design, const TorsionLayout& layout,
                            const TorsionCondition& condition, const ElastomerState& state,
                            TorsionResult& result) {
  const Elastomer& rubber = elastomer_of(design, layout.sources[state.element]);
  const std::string subject = "elastomer of " + layout.elements[state.element].id;
  const auto limit = shear_strain_limit_of(rubber);
  if (limit && state.shear_strain && *state.shear_strain > *limit) {
    result.warnings.push_back(
        {"elastomer_strain", "", subject, condition.id,
         "its shear strain reaches " + units::fixed_number(100.0 * *state.shear_strain, 1) +
             " %, above the limit of " + units::fixed_number(100.0 * *limit, 1) + " %"});
  }
  if (rubber.end_stop && state.greatest_twist > *rubber.end_stop) {
    result.warnings.push_back(
        {"elastomer_end_stop", "", subject, condition.id,
         "it twists by " + units::fixed_number(state.greatest_twist.value() / per_degree, 3) +
             " deg and meets its end stop at " +
             units::fixed_number(rubber.end_stop->value() / per_degree, 3) +
             " deg, which this linear model does not know"});
  }
}

}  // namespace

bool TorsionResult::all_requirements_met() const {
  for (const RequirementRow& row : requirements) {
    if (!row.met) {
      return false;
    }
  }
  return true;
}

void judge_torsion(const Design& design, TorsionResult& result) {
  const TorsionRequirements& require = design.torsion->require;
  if (require.greatest_rattle_index) {
    judge_meshes(design, *require.greatest_rattle_index, result);
  }
  if (require.least_resonance_margin) {
    judge_margins(*require.least_resonance_margin, result);
  }
}

void add_torsion_findings(const Design& design, const TorsionLayout& layout,
                          const TorsionCondition& condition, TorsionResult& result) {
  for (const MeshVibration& mesh : condition.meshes) {
    const std::string subject = "mesh " + design.meshes[mesh.mesh].id;
    if (mesh.unloaded && mesh.least.value() < 0.0) {
      result.warnings.push_back({"teeth_part", "", subject, condition.id,
                                 "it carries no mean force, so that its teeth part with any "
                                 "excitation"});
    } else if (mesh.rattle_index && *mesh.rattle_index > 1.0) {
      result.warnings.push_back(
          {"teeth_part", "", subject, condition.id,
           "its rattle index is " + units::fixed_number(*mesh.rattle_index, 2) +
               ": the teeth part, and what follows holds for teeth that could pull"});
    }
  }
  for (const ElastomerState& state : condition.elastomers) {
    add_elastomer_findings(design, layout, condition, state, result);
  }
}

void add_torsion_gaps(const Design& design, const TorsionLayout& layout, TorsionResult& result) {
  std::vector<std::string> shafts;
  for (const std::size_t shaft : layout.left_out) {
    shafts.push_back(design.shafts[shaft].id);
  }
  if (!shafts.empty()) {
    result.warnings.push_back({"untied", "", listed(shafts), "",
                               "no mesh joins them to " + result.reference +
                                   ", so that the torsional model leaves them out"});
  }
  std::set<std::size_t> with_body;
  for (const GearBody& body : design.torsion->gears) {
    with_body.insert(body.gear);
  }
  std::vector<std::string> gears;
  for (std::size_t g = 0; g < design.gears.size(); ++g) {
    if (layout.teeth[g] && !with_body.contains(g)) {
      gears.push_back(design.gears[g].id);
    }
  }
  if (!gears.empty()) {
    result.warnings.push_back({"not_considered", "", listed(gears), "",
                               "torsion.gears does not name them, so that they add no inertia"});
  }
}

}  // namespace lashband::design
