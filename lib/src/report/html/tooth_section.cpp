#include "sections.hpp"

namespace lashband::report {

Section tooth_section(const PageInput& input) {
  HtmlWriter html;
  for (const MeshCharts& mesh : input.charts.meshes) {
    if (!mesh.teeth.empty()) {
      html.element("h3", "Mesh " + named(input.study.design.meshes[mesh.mesh].id));
      write_charts(html, mesh.teeth, input);
    }
  }
  return {"teeth", "Tip clearance and contact ratio", html.take()};
}

}  // namespace lashband::report
