#include "sections.hpp"

namespace lashband::report {

Section tooth_section(const PageInput& input) {
  HtmlWriter html;
  write_mesh_charts(html, &MeshCharts::teeth, input);
  return {"teeth", "Tip clearance and contact ratio", html.take()};
}

}  // namespace lashband::report
