#include "study_charts.hpp"

#include <algorithm>
#include <utility>

#include "backlash_charts.hpp"
#include "budget_charts.hpp"
#include "carrier_charts.hpp"
#include "mesh_table.hpp"
#include "report/selection.hpp"

namespace lashband::report {
namespace {

// A page of a large train must stay one that can be read and sent.
constexpr std::size_t pairs_drawn = 6;
constexpr std::size_t loops_drawn = 6;

}  // namespace

const design::Budget* envelope_budget(const design::Study& study, std::size_t mesh) {
  const auto& budgets = study.budget.budgets;
  const std::string& id = study.design.meshes[mesh].id;
  const auto found = std::find_if(budgets.begin(), budgets.end(), [&id](const auto& budget) {
    return budget.mesh == id && is_envelope(budget);
  });
  return found == budgets.end() ? nullptr : &*found;
}

StudyCharts study_charts(const design::Study& study, const View& view, const Colours& colours) {
  const Measures measures(view.units);
  StudyCharts charts;
  for (std::size_t mesh = 0; mesh < study.design.meshes.size(); ++mesh) {
    if (!shows_mesh(view, study.design.meshes[mesh].id)) {
      continue;
    }
    MeshCharts one;
    one.mesh = mesh;
    one.states = mesh_table(study, mesh, measures);
    one.backlash = backlash_charts(study, mesh, one.states, measures, colours);
    one.centre = centre_charts(study, mesh, one.states, colours);
    one.teeth = tooth_charts(study, mesh, one.states, colours);
    const design::Budget* budget = envelope_budget(study, mesh);
    if (budget != nullptr && !budget->rows.empty()) {
      one.contributions = budget_table(*budget, mesh, measures);
      one.budget = budget_charts(*budget, mesh, *one.contributions, measures, colours);
    }
    charts.meshes.push_back(std::move(one));
  }
  DataTable joint = joint_table(study, measures);
  if (!joint.rows.empty()) {
    charts.joint = joint_charts(study, joint, colours);
    charts.joint_states = std::move(joint);
  }
  charts.histories = warmup_charts(study, view, colours);
  charts.lost_motion = lost_motion_charts(study, view, pairs_drawn, measures, colours);
  charts.loops = loop_charts(study, view, loops_drawn, measures, colours);
  charts.frequencies = frequency_charts(study.frequencies, view, colours);
  charts.torsion = torsion_charts(study, view, colours);
  return charts;
}

}  // namespace lashband::report
