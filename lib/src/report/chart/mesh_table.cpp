#include "mesh_table.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "report/failure_probability.hpp"
#include "state_columns.hpp"

namespace lashband::report {
namespace {

template <class Has>
bool any_state(const design::Study& study, std::size_t mesh, const Has& has) {
  return std::any_of(study.carriers.rows.begin(), study.carriers.rows.end(), [&](const auto& row) {
    const auto& states = row.result.meshes[mesh].states;
    return std::any_of(states.begin(), states.end(), has);
  });
}

}  // namespace

DataTable mesh_table(const design::Study& study, std::size_t mesh, const Measures& measures) {
  const design::Mesh& drawn = study.design.meshes[mesh];
  const bool rss =
      any_state(study, mesh, [](const auto& at) { return at.gap.j_wt.rss_low.has_value(); });
  const bool percentiles =
      any_state(study, mesh, [](const auto& at) { return at.gap.j_wt.least.has_value(); });
  const bool loaded =
      any_state(study, mesh, [](const auto& at) { return at.j_wt_loaded.has_value(); });
  const StateColumns states(study, measures);

  DataTable table;
  const std::string number = std::to_string(mesh + 1);
  table.id = "data-mesh-" + number;
  table.title = "mesh " + Measures::text_cell(drawn.id).shown + " on every carrier at every state";
  table.file = "mesh-" + number + ".csv";
  table.columns = states.columns("carrier");
  table.columns.push_back(measures.gap("j_wt_nominal", "j_wt nominal"));
  table.columns.push_back(
      measures.gap("j_wt_worst_low", "worst case, least").told_at(EndsTold::least));
  table.columns.push_back(
      measures.gap("j_wt_worst_high", "worst case, greatest").told_at(EndsTold::greatest));
  if (rss) {
    table.columns.push_back(measures.gap("j_wt_rss_low", "RSS, least").told_at(EndsTold::least));
    table.columns.push_back(
        measures.gap("j_wt_rss_high", "RSS, greatest").told_at(EndsTold::greatest));
  }
  if (percentiles) {
    table.columns.push_back(
        measures.gap("j_wt_least_p0.135", "least, 0.135 %").told_at(EndsTold::least));
    table.columns.push_back(
        measures.gap("j_wt_greatest_p99.865", "greatest, 99.865 %").told_at(EndsTold::greatest));
    table.columns.push_back(Measures::ratio("p_bind", "P(bind)").told_at(EndsTold::greatest));
  }
  if (loaded) {
    table.columns.push_back(measures.gap("j_wt_loaded_nominal", "loaded, nominal"));
  }
  table.columns.push_back(measures.distance("a", "a"));
  table.columns.push_back(measures.gap("a_change", "a less its drawn value"));
  table.columns.push_back(measures.clearance("c_least", "c, the smaller"));
  table.columns.push_back(Measures::ratio("eps_alpha", "ε_α"));

  for (const design::CarrierRow& row : study.carriers.rows) {
    const design::MeshResult& result = row.result.meshes[mesh];
    const std::size_t first = table.rows.size();
    for (const design::MeshState& at : result.states) {
      const design::State& state = row.result.states[at.state];
      const auto& j_wt = at.gap.j_wt;
      std::vector<Cell> cells = states.cells(row.result.carrier, state);
      cells.push_back(measures.gap_cell(j_wt.nominal));
      cells.push_back(measures.gap_cell(j_wt.low));
      cells.push_back(measures.gap_cell(j_wt.high));
      if (rss) {
        cells.push_back(measures.gap_cell(j_wt.rss_low));
        cells.push_back(measures.gap_cell(j_wt.rss_high));
      }
      if (percentiles) {
        cells.push_back(j_wt.least ? measures.gap_cell(j_wt.least->low) : Cell{});
        cells.push_back(j_wt.greatest ? measures.gap_cell(j_wt.greatest->high) : Cell{});
        cells.push_back(
            Measures::probability_cell(probability(at, Fault::binds), result.percentiles_sampled));
      }
      if (loaded) {
        cells.push_back(at.j_wt_loaded ? measures.gap_cell(at.j_wt_loaded->nominal) : Cell{});
      }
      cells.push_back(measures.distance_cell(at.a));
      cells.push_back(measures.gap_cell(at.a - drawn.centre_distance));
      cells.push_back(measures.clearance_cell(std::min(at.c_1, at.c_2)));
      cells.push_back(Measures::ratio_cell(at.eps_alpha));
      table.rows.push_back(std::move(cells));
    }
    keep_ends_of_histories(table, first);
  }
  return table;
}

}  // namespace lashband::report
