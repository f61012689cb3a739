#include "comparison_charts.hpp"

#include <algorithm>
#include <utility>

#include "band_specification.hpp"
#include "report/numbers.hpp"
#include "report/selection.hpp"
#include "specification.hpp"
#include "state_columns.hpp"

namespace lashband::report {
namespace {

using design::MeshResult;

// Both sides may have other tolerances, so every column stands and some cells are empty.
DataTable table_of(const std::string& id, std::size_t number, const StateColumns& states,
                   const Measures& measures) {
  DataTable table;
  table.id = "data-compared-" + std::to_string(number);
  table.title = "mesh " + named(id) + " of both files at every state";
  table.file = "compared-" + std::to_string(number) + ".csv";
  table.columns = states.columns("file");
  for (const auto& [field, head] : {std::pair{"j_wt_nominal", "j_wt nominal"},
                                    {"j_wt_worst_low", "worst case, least"},
                                    {"j_wt_worst_high", "worst case, greatest"},
                                    {"j_wt_least_p0.135", "least, 0.135 %"},
                                    {"j_wt_greatest_p99.865", "greatest, 99.865 %"}}) {
    table.columns.push_back(measures.gap(field, head));
  }
  return table;
}

void add_states(DataTable& table, const Side& side, const MeshResult& mesh,
                const StateColumns& states, const Measures& measures) {
  const std::size_t first = table.rows.size();
  for (const design::MeshState& at : mesh.states) {
    const design::State& state = side.study.backlash().states[at.state];
    const auto& j_wt = at.gap.j_wt;
    std::vector<Cell> cells = states.cells(side.name, state);
    cells.push_back(measures.gap_cell(j_wt.nominal));
    cells.push_back(measures.gap_cell(j_wt.low));
    cells.push_back(measures.gap_cell(j_wt.high));
    cells.push_back(j_wt.least ? measures.gap_cell(j_wt.least->low) : Cell{});
    cells.push_back(j_wt.greatest ? measures.gap_cell(j_wt.greatest->high) : Cell{});
    table.rows.push_back(std::move(cells));
  }
  keep_ends_of_histories(table, first);
}

// What one end of a mesh is on one side, and where.
std::string end_text(const Side& side, const MeshResult& mesh, bool least,
                     const Measures& measures) {
  const Numbers numbers(measures.units());
  const auto& states = mesh.states;
  const auto end =
      std::min_element(states.begin(), states.end(), [least](const auto& a, const auto& b) {
        return least ? a.gap.j_wt.low < b.gap.j_wt.low : a.gap.j_wt.high > b.gap.j_wt.high;
      });
  return numbers.gap_with_unit(least ? end->gap.j_wt.low : end->gap.j_wt.high) + " at " +
         named(side.study.backlash().states[end->state].id);
}

std::string reading_of(const Side& first, const MeshResult& a, const Side& second,
                       const MeshResult& b, const Measures& measures) {
  std::string text = "In the worst case over all states the least is ";
  text += end_text(first, a, true, measures) + " in " + first.name + " and " +
          end_text(second, b, true, measures) + " in " + second.name + "; the greatest is ";
  return text + end_text(first, a, false, measures) + " in " + first.name + " and " +
         end_text(second, b, false, measures) + " in " + second.name + ".";
}

}  // namespace

std::optional<ComparedMesh> compared_mesh(const Side& first, const Side& second, std::size_t mesh,
                                          const Measures& measures, const Colours& colours) {
  const MeshResult& a = first.study.backlash().meshes[mesh];
  const MeshResult* b = mesh_of(second.study.backlash(), a.id);
  if (b == nullptr || a.states.empty() || b->states.empty()) {
    return std::nullopt;
  }
  ComparedMesh compared;
  const StateColumns states(true, {&first.study.backlash(), &second.study.backlash()}, measures);
  compared.states = table_of(a.id, mesh + 1, states, measures);
  add_states(compared.states, first, a, states, measures);
  add_states(compared.states, second, *b, states, measures);

  const auto add = [&](const std::string& id, const std::string& where, Specification spec) {
    Chart chart;
    chart.id = id + std::to_string(mesh + 1);
    chart.table = compared.states.id;
    chart.title = "Backlash of " + named(a.id) + " in both files" + where;
    chart.reading = reading_of(first, a, second, *b, measures);
    chart.spec = std::move(spec);
    compared.charts.push_back(std::move(chart));
  };
  if (any_number(compared.states, "j_wt_nominal", true)) {
    std::size_t points = 1;
    for (const Side* side : {&first, &second}) {
      points = std::max(points, side->study.design.soak ? side->study.design.soak->points : 1);
    }
    add("compared-soak-", " with everything at one temperature",
        soak_bands(compared.states, {}, points, measures, colours));
  }
  if (any_number(compared.states, "j_wt_nominal", false)) {
    add("compared-conditions-", " at the conditions",
        condition_bands(compared.states, {}, measures, colours));
  }
  return compared;
}

}  // namespace lashband::report
