#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "report/requirement_text.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

// An index without end has no number behind it.
Cell number_cell(const std::optional<double>& number) {
  if (!number) {
    return {};
  }
  return std::isfinite(*number) ? Measures::ratio_cell(*number) : Cell{ratio_text(*number), {}};
}

bool says_anything(const design::CarrierRow& row) {
  return row.torsion && (row.torsion->greatest_rattle_index || row.torsion->least_margin);
}

// The worst of the torsional model on each carrier.
void write_torsion(HtmlWriter& html, const PageInput& input) {
  const std::vector<design::CarrierRow>& carriers = input.study.carriers.rows;
  std::vector<std::vector<Cell>> rows;
  rows.reserve(carriers.size());
  for (const design::CarrierRow& row : carriers) {
    const design::TorsionSummary torsion = row.torsion.value_or(design::TorsionSummary());
    rows.push_back({Measures::text_cell(row.result.carrier + (row.in_use ? " (in use)" : "")),
                    number_cell(torsion.greatest_rattle_index), Measures::text_cell(torsion.mesh),
                    Measures::text_cell(torsion.rattle_condition),
                    number_cell(torsion.least_margin), Measures::text_cell(torsion.excitation),
                    Measures::text_cell(torsion.margin_condition)});
  }
  html.element("h3", "Torsional vibration on each carrier");
  html.element(
      "p",
      "At the speeds of the conditions. Above a rattle index of 1 the teeth part, and they "
      "do at ∞, where they carry no mean force. The margin is from an excitation to the "
      "natural frequency nearest to it, over that frequency.");
  write_table(
      html,
      {Measures::text("carrier", "carrier"), Measures::ratio("greatest_rattle_index", "greatest Λ"),
       Measures::text("rattle_mesh", "mesh"), Measures::text("rattle_condition", "at"),
       Measures::ratio("least_resonance_margin", "least margin"),
       Measures::text("margin_excitation", "excitation"), Measures::text("margin_condition", "at")},
      rows, "Greatest rattle index and least resonance margin on each carrier");
}

}  // namespace

Section carrier_section(const PageInput& input) {
  HtmlWriter html;
  write_mesh_charts(html, &MeshCharts::centre, input);
  if (input.charts.joint_states) {
    html.element("h3", "The joint between insert and case");
    write_charts(html, input.charts.joint, input);
    write_data(html, *input.charts.joint_states);
  }
  const std::vector<design::CarrierRow>& carriers = input.study.carriers.rows;
  if (std::none_of(carriers.begin(), carriers.end(), says_anything)) {
    return {"carriers", "Centre distance, joint force and travel left", html.take()};
  }
  write_torsion(html, input);
  return {"carriers", "Centre distance, joint force, travel left and vibration", html.take()};
}

}  // namespace lashband::report
