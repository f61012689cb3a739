#include "torsion_charts.hpp"

#include <utility>

#include "elastomer_chart.hpp"
#include "interference_chart.hpp"
#include "report/selection.hpp"
#include "report/torsion_words.hpp"
#include "report/train_selection.hpp"
#include "torsion_mode_charts.hpp"
#include "torsion_sweep_charts.hpp"

namespace lashband::report {
namespace {

// A page of a large train must stay one that can be read and sent; more lines in one plot are not
// told apart.
constexpr std::size_t conditions_drawn = 4;
constexpr std::size_t meshes_drawn = 8;
constexpr std::size_t torques_drawn = 6;

}  // namespace

std::vector<const DrawnTable*> TorsionCharts::all() const {
  std::vector<const DrawnTable*> tables;
  const auto add = [&tables](const std::optional<DrawnTable>& one) {
    if (one) {
      tables.push_back(&*one);
    }
  };
  for (std::size_t i = 0; i < conditions.size(); ++i) {
    add(speeds[i]);
    add(modes[i]);
  }
  for (const DrawnTable& mesh : meshes) {
    tables.push_back(&mesh);
  }
  add(torques);
  add(elastomers);
  return tables;
}

TorsionCharts torsion_charts(const design::Study& study, const View& view, const Colours& colours) {
  TorsionCharts charts;
  if (!study.torsion) {
    return charts;
  }
  const design::TorsionResult& result = *study.torsion;
  const Measures measures(view.units);
  for (std::size_t i = 0; i < result.conditions.size(); ++i) {
    if (!shows_condition(view, result.conditions[i].id)) {
      continue;
    }
    if (charts.conditions.size() == conditions_drawn) {
      ++charts.conditions_left_out;
      continue;
    }
    charts.speeds.push_back(interference_chart(study.design, result, i, colours));
    // What moves a frequency differs little between conditions.
    charts.modes.push_back(mode_charts(result, i, charts.conditions.empty(), colours));
    charts.conditions.push_back(i);
  }
  for (std::size_t mesh = 0; mesh < result.meshes.size(); ++mesh) {
    if (!shows_mesh(view, mesh_id(result, mesh))) {
      continue;
    }
    auto drawn =
        mesh_sweep_charts(study.design, result, mesh, charts.conditions, measures, colours);
    if (!drawn) {
      continue;
    }
    if (charts.meshes.size() == meshes_drawn) {
      ++charts.meshes_left_out;
    } else {
      charts.meshes.push_back(std::move(*drawn));
    }
  }
  TorqueSweep torques =
      torque_sweep_chart(result, charts.conditions, torques_drawn, measures, colours);
  charts.torques = std::move(torques.drawn);
  charts.torques_left_out = torques.left_out;
  charts.elastomers = elastomer_chart(result, view, measures, colours);
  return charts;
}

}  // namespace lashband::report
