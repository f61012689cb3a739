#include "sections.hpp"

namespace lashband::report {

Section carrier_section(const PageInput& input) {
  HtmlWriter html;
  write_mesh_charts(html, &MeshCharts::centre, input);
  if (input.charts.joint_states) {
    html.element("h3", "The joint between insert and case");
    write_charts(html, input.charts.joint, input);
    write_data(html, *input.charts.joint_states);
  }
  return {"carriers", "Centre distance, joint force and travel left", html.take()};
}

}  // namespace lashband::report
