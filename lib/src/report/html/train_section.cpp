#include <string>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "plan_view.hpp"
#include "report/selection.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

using units::format_fixed;

void write_gears(HtmlWriter& html, const PageInput& input) {
  const design::Design& design = input.study.design;
  const Measures measures(input.options.view.units);
  std::vector<Column> columns = {Measures::text("gear", "gear"),
                                 Measures::text("shaft", "shaft"),
                                 Measures::ratio("z", "z"),
                                 measures.clearance("m_n", "m_n"),
                                 Measures::ratio("alpha_n", "α_n [deg]"),
                                 Measures::ratio("beta", "β [deg]"),
                                 Measures::ratio("x", "x"),
                                 measures.clearance("b", "b"),
                                 measures.clearance("d_a", "d_a"),
                                 measures.gap("E_sni", "E_sni"),
                                 measures.gap("E_sns", "E_sns"),
                                 Measures::text("material", "material"),
                                 Measures::text("zone", "zone")};
  std::vector<std::vector<Cell>> rows;
  for (const design::Gear& gear : design.gears) {
    const geometry::ToothedBody& body = gear.body;
    const auto& allowance = gear.thickness_allowance;
    rows.push_back(
        {Measures::text_cell(gear.id),
         Measures::text_cell(design.shafts[gear.shaft].id),
         {std::to_string(body.teeth()), static_cast<double>(body.teeth())},
         measures.clearance_cell(body.module()),
         {format_fixed(body.pressure_angle(), "deg", 2),
          units::value_in(body.pressure_angle(), "deg")},
         {format_fixed(body.helix_angle(), "deg", 2), units::value_in(body.helix_angle(), "deg")},
         Measures::ratio_cell(body.profile_shift()),
         measures.clearance_cell(body.face_width()),
         measures.clearance_cell(body.tip_diameter()),
         allowance ? measures.gap_cell(allowance->band.low) : Cell{},
         allowance ? measures.gap_cell(allowance->band.high) : Cell{},
         Measures::text_cell(gear.solid.material->id()),
         Measures::text_cell(design.zones[static_cast<std::size_t>(gear.solid.zone)])});
  }
  write_table(html, columns, rows, "Gears");
}

void write_meshes(HtmlWriter& html, const PageInput& input) {
  const design::Design& design = input.study.design;
  const Measures measures(input.options.view.units);
  const std::vector<Column> columns = {Measures::text("mesh", "mesh"),
                                       Measures::text("gear_1", "gear 1"),
                                       Measures::text("gear_2", "gear 2"),
                                       Measures::ratio("ratio", "z_2 / z_1"),
                                       measures.distance("a_nominal", "centre distance"),
                                       measures.gap("deviation_low", "from"),
                                       measures.gap("deviation_high", "to")};
  std::vector<std::vector<Cell>> rows;
  for (const design::Mesh& mesh : design.meshes) {
    const design::Gear& first = design.gears[mesh.gear_1];
    const design::Gear& second = design.gears[mesh.gear_2];
    const auto& deviation = mesh.centre_distance_deviation;
    const double ratio =
        static_cast<double>(second.body.teeth()) / static_cast<double>(first.body.teeth());
    rows.push_back({Measures::text_cell(mesh.id), Measures::text_cell(first.id),
                    Measures::text_cell(second.id), Measures::ratio_cell(ratio),
                    measures.distance_cell(mesh.centre_distance),
                    deviation ? measures.gap_cell(deviation->band.low) : Cell{},
                    deviation ? measures.gap_cell(deviation->band.high) : Cell{}});
  }
  write_table(html, columns, rows, "Meshes");
}

}  // namespace

Section train_section(const PageInput& input) {
  HtmlWriter html;
  const PlanView view = plan_view(input.study.layout, input.options.view.units);
  html.open("figure", {{"class", "plan"}, {"id", "plan"}});
  html.open("figcaption").element("h3", "The train in plan view, to scale").close();
  html.markup(view.svg).close().line_break();
  if (!view.key.empty()) {
    std::vector<std::vector<Cell>> rows;
    for (const KeyEntry& entry : view.key) {
      rows.push_back({Measures::text_cell(entry.number), Measures::text_cell(entry.kind),
                      Measures::text_cell(entry.name)});
    }
    write_table(html,
                {Measures::text("number", "in the drawing"), Measures::text("kind", "what"),
                 Measures::text("name", "name")},
                rows, "Key to the drawing");
  }
  write_gears(html, input);
  write_meshes(html, input);
  return {"train", "The train", html.take()};
}

}  // namespace lashband::report
