#include <string>

#include "report/failure_probability.hpp"
#include "report/numbers.hpp"
#include "report/selection.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

// Least and greatest of every mesh shown on every carrier.
void write_extremes(HtmlWriter& html, const PageInput& input) {
  const Measures measures(input.options.view.units);
  const std::vector<Column> columns = {
      Measures::text("mesh", "mesh"),
      Measures::text("carrier", "carrier"),
      measures.gap("least_j_wt_worst_low", "least, worst case"),
      Measures::text("least_condition", "at"),
      measures.gap("greatest_j_wt_worst_high", "greatest, worst case"),
      Measures::text("greatest_condition", "at"),
      measures.gap("least_j_wt_least_p0.135", "least, 0.135 %"),
      measures.gap("greatest_j_wt_greatest_p99.865", "greatest, 99.865 %"),
      Measures::ratio("p_bind", "P(bind)"),
      measures.gap("swing", "swing")};
  std::vector<std::vector<Cell>> rows;
  for (const MeshCharts& shown : input.charts.meshes) {
    for (const design::CarrierRow& row : input.study.carriers.rows) {
      const design::BacklashResult& result = row.result;
      const design::MeshResult& mesh = result.meshes[shown.mesh];
      if (!mesh.least || !mesh.greatest) {
        continue;
      }
      const design::MeshState& least = mesh.states[*mesh.least];
      const design::MeshState& greatest = mesh.states[*mesh.greatest];
      const auto& low = least.gap.j_wt.least;
      const auto& high = greatest.gap.j_wt.greatest;
      const auto binds = most_likely(mesh, Fault::binds);
      rows.push_back({Measures::text_cell(mesh.id),
                      Measures::text_cell(result.carrier + (row.in_use ? " (in use)" : "")),
                      measures.gap_cell(least.gap.j_wt.low),
                      Measures::text_cell(result.states[least.state].id),
                      measures.gap_cell(greatest.gap.j_wt.high),
                      Measures::text_cell(result.states[greatest.state].id),
                      low ? measures.gap_cell(low->low) : Cell{},
                      high ? measures.gap_cell(high->high) : Cell{},
                      binds
                          ? Measures::probability_cell(binds->probability, mesh.percentiles_sampled)
                          : Cell{},
                      measures.gap_cell(mesh.swing)});
    }
  }
  write_table(html, columns, rows, "Least and greatest backlash j_wt over all states");
}

// Unloaded and loaded backlash side by side with what opens it, on every carrier at every state
// with a force.
void write_loads(HtmlWriter& html, const PageInput& input, std::size_t mesh) {
  const Measures measures(input.options.view.units);
  std::vector<std::vector<Cell>> rows;
  for (const design::CarrierRow& row : input.study.carriers.rows) {
    for (const design::MeshState& at : row.result.meshes[mesh].states) {
      const design::State& state = row.result.states[at.state];
      if (!at.load || !at.j_wt_loaded || !shows_state(input.options.view, state)) {
        continue;
      }
      const design::MeshLoad& load = *at.load;
      rows.push_back({Measures::text_cell(row.result.carrier), Measures::text_cell(state.id),
                      measures.gap_cell(at.gap.j_wt.nominal),
                      measures.gap_cell(at.j_wt_loaded->nominal),
                      measures.gap_cell(at.j_wt_loaded->low),
                      measures.gap_cell(at.j_wt_loaded->high), measures.gap_cell(load.shafts),
                      measures.gap_cell(load.separation), measures.gap_cell(load.ring),
                      measures.gap_cell(load.tooth_deflection), measures.force_cell(load.force)});
    }
  }
  if (rows.empty()) {
    return;
  }
  const std::vector<Column> columns = {
      Measures::text("carrier", "carrier"),
      Measures::text("condition", "condition"),
      measures.gap("j_wt_nominal", "unloaded, nominal"),
      measures.gap("j_wt_loaded_nominal", "loaded, nominal"),
      measures.gap("j_wt_loaded_worst_low", "loaded, worst case, least"),
      measures.gap("j_wt_loaded_worst_high", "loaded, worst case, greatest"),
      measures.gap("load_shafts", "shafts"),
      measures.gap("load_separation", "separation"),
      measures.gap("load_ring", "elastomer rings"),
      measures.gap("load_tooth_deflection", "teeth"),
      measures.force("load_force", "force")};
  write_table(html, columns, rows, "Backlash j_wt under the mean forces, beside the unloaded one");
  html.element("p",
               "The mean forces are those of the torsional model, on the base tangent, above zero "
               "where the first gear drives. Shafts across their float, separation and elastomer "
               "rings open the axes, in their mid; the teeth give on the base tangent.");
}

void write_loose_rings(HtmlWriter& html, const design::MeshResult& mesh, const View& view) {
  if (mesh.loose_rings.empty()) {
    return;
  }
  const Numbers numbers(view.units);
  std::vector<std::string> texts;
  for (const design::LooseRing& ring : mesh.loose_rings) {
    texts.push_back(std::string(ring.outer ? "outer" : "inner") + " ring of " +
                    named(ring.bearing) + " loose by " + numbers.gap_with_unit(ring.by) + " at " +
                    named(ring.state));
  }
  html.element("p", "Rings that can turn in their seats, in the worst case:");
  write_list(html, texts);
}

}  // namespace

Section backlash_section(const PageInput& input) {
  HtmlWriter html;
  html.element("p",
               "j_wt is the circumferential backlash at the working pitch circle. Nominal: every "
               "tolerance at its mid. Worst case: from the least that any unit can have anywhere "
               "in the mesh cycle to the greatest. 99.73 %: from the 0.135 percentile of the least "
               "to the 99.865 percentile of the greatest over built units. Swing: what temperature "
               "alone does to the nominal. P(bind): that a unit binds at the worst single state.");
  write_extremes(html, input);
  for (const MeshCharts& mesh : input.charts.meshes) {
    const design::MeshResult& result = input.study.backlash().meshes[mesh.mesh];
    html.open("section", {{"class", "mesh"}, {"id", "mesh-" + std::to_string(mesh.mesh + 1)}});
    html.element("h3", "Mesh " + named(result.id) + ": gears " + named(result.gear_1) + " and " +
                           named(result.gear_2));
    write_charts(html, mesh.backlash, input);
    if (mesh.states.rows.empty()) {
      html.element("p", "No state could be computed.");
    } else {
      write_data(html, mesh.states);
    }
    write_loads(html, input, mesh.mesh);
    write_loose_rings(html, result, input.options.view);
    html.close().line_break();
  }
  return {"backlash", "Backlash over temperature", html.take()};
}

}  // namespace lashband::report
