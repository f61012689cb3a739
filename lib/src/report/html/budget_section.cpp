#include "sections.hpp"

namespace lashband::report {

Section budget_section(const PageInput& input) {
  HtmlWriter html;
  bool any = false;
  html.element("p",
               "Share: of the variance of a unit's least backlash, at the state where it is least. "
               "Alone: how wide the band is where only this tolerance varies. Halving gains: how "
               "much narrower the band over all states becomes with half the tolerance.");
  for (const MeshCharts& mesh : input.charts.meshes) {
    if (!mesh.contributions) {
      continue;
    }
    any = true;
    html.element("h3", "Mesh " + named(input.study.design.meshes[mesh.mesh].id));
    write_charts(html, mesh.budget, input);
    write_data(html, *mesh.contributions);
  }
  return {"budget", "What makes the spread", any ? html.take() : std::string()};
}

}  // namespace lashband::report
