#include <algorithm>
#include <string>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "report/line_words.hpp"
#include "report/number_text.hpp"
#include "report/selection.hpp"
#include "report/terminal_table.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

using design::FrequenciesResult;
using design::MeshMeeting;
using design::MeshPhase;

// Rows of tables here; CSV and JSON of the analysis have all.
constexpr std::size_t rows_shown = 50;
constexpr std::size_t coincidences_shown = 25;

void write_introduction(HtmlWriter& html, const FrequenciesResult& result,
                        const FrequencyCharts& charts) {
  std::string text = "Orders are multiples of the speed of " + named(result.reference) +
                     "; f_z is the frequency of a mesh, n that of a shaft. ";
  text += charts.speeds.empty()
              ? "The file gives no speed that the reference turns at, so there are orders alone."
              : "Frequencies hold at the speeds of the file.";
  html.element("p", text);
  if (charts.speeds_left_out > 0) {
    html.element("p", counted(charts.speeds_left_out, "more speed", "more speeds") +
                          " of the file left out here: a frequency is the order times the speed.");
  }
}

void write_lines(HtmlWriter& html, const PageInput& input) {
  const FrequencyCharts& charts = input.charts.frequencies;
  html.element("h3", "What a spectrum can show");
  write_charts(html, charts.charts, input);
  if (charts.lines_left_out > 0) {
    html.element("p",
                 counted(charts.lines_left_out, "line", "lines") +
                     " left out of chart and table, sidebands first; lashband frequencies with "
                     "CSV or JSON has all.");
  }
  if (!charts.lines.rows.empty()) {
    write_data(html, charts.lines);
  }
}

void write_coincidences(HtmlWriter& html, const PageInput& input) {
  const FrequenciesResult& result = input.study.frequencies;
  constexpr double percent = 100.0;
  html.element("h3", "Lines that fall together");
  if (result.coincidences.empty()) {
    html.element("p", "No harmonic of a mesh lies within " +
                          rounded_number(percent * result.coincidence_options.within, 2) +
                          " % of a harmonic of another mesh or of an excitation. Pairs that tooth "
                          "numbers alone tie, such as both meshes of an idler, do not count.");
    return;
  }
  const std::vector<Column> columns = {Measures::text("line_1", "line"),
                                       Measures::ratio("order_1", "order"),
                                       Measures::text("line_2", "and"),
                                       Measures::ratio("order_2", "order"),
                                       {"apart", "apart", true, "", "%", percent, 0.0}};
  std::vector<std::vector<Cell>> rows;
  for (const spectrum::Coincidence& pair : result.coincidences) {
    if (rows.size() == coincidences_shown) {
      break;
    }
    const spectrum::Line& one = result.lines[pair.line_1];
    const spectrum::Line& two = result.lines[pair.line_2];
    rows.push_back({{line_words(one), {}},
                    Measures::order_cell(one.order),
                    {line_words(two), {}},
                    Measures::order_cell(two.order),
                    {units::fixed_number(percent * pair.apart, 3), pair.apart}});
  }
  write_table(html, columns, rows,
              "Lines of unlike sources within " +
                  rounded_number(percent * result.coincidence_options.within, 2) +
                  " %, the closest first; an answer of the structure there is another question");
  tell_left_out(html, rows.size(), result.coincidences.size() + result.coincidences.more,
                "coincidences", "frequencies");
}

void write_meetings(HtmlWriter& html, const PageInput& input) {
  const std::vector<Column> columns = {
      Measures::text("mesh", "mesh"),
      Measures::ratio("z_1", "z_1"),
      Measures::ratio("z_2", "z_2"),
      Measures::ratio("common_factor", "common factor"),
      Measures::text("hunting", "hunting"),
      Measures::ratio("partners_of_1", "partners of a tooth of gear 1"),
      Measures::ratio("revolutions_1", "turns of gear 1 until it repeats"),
      Measures::ratio("mesh_order", "order of f_z"),
      Measures::ratio("hunting_tooth_order", "order of the hunting tooth"),
      Measures::ratio("assembly_phase_order", "order of the assembly phase")};
  std::vector<std::vector<Cell>> rows;
  std::size_t all = 0;
  for (const MeshMeeting& one : input.study.frequencies.meshes) {
    if (!shows_mesh(input.options.view, one.mesh) || ++all > rows_shown) {
      continue;
    }
    rows.push_back({Measures::text_cell(one.mesh),
                    Measures::count_cell(one.teeth_1),
                    Measures::count_cell(one.teeth_2),
                    Measures::count_cell(one.meeting.common_factor),
                    {one.meeting.hunting ? "yes" : "no", {}},
                    Measures::count_cell(one.meeting.partners_of_1),
                    Measures::count_cell(one.meeting.revolutions_1),
                    Measures::order_cell(one.mesh_order),
                    Measures::order_cell(one.hunting_tooth_order),
                    Measures::order_cell(one.assembly_phase_order)});
  }
  if (rows.empty()) {
    return;
  }
  html.element("h3", "How teeth meet");
  html.element("p",
               "Without a common factor every tooth meets every tooth of the other gear (hunting): "
               "wear evens out, and the same two teeth meet at the order of the hunting tooth.");
  write_table(html, columns, rows, "Hunting tooth and assembly phase of each mesh");
  tell_left_out(html, rows.size(), all, "meshes", "frequencies");
}

void write_phases(HtmlWriter& html, const PageInput& input) {
  const View& view = input.options.view;
  const std::vector<Column> columns = {Measures::text("gear", "gear"),
                                       Measures::text("mesh_1", "first mesh"),
                                       Measures::text("mesh_2", "second mesh"),
                                       Measures::ratio("turned", "apart at the gear [deg]"),
                                       Measures::text("idler", "idler"),
                                       Measures::ratio("phase", "second behind first, periods")};
  std::vector<std::vector<Cell>> rows;
  std::size_t all = 0;
  for (const MeshPhase& one : input.study.frequencies.phases) {
    const bool shown = shows_mesh(view, one.mesh_1) || shows_mesh(view, one.mesh_2);
    if (!shown || ++all > rows_shown) {
      continue;
    }
    rows.push_back({Measures::text_cell(one.gear),
                    Measures::text_cell(one.mesh_1),
                    Measures::text_cell(one.mesh_2),
                    {units::format_fixed(one.turned, "deg", 2), units::value_in(one.turned, "deg")},
                    {one.idler ? "yes" : "no", {}},
                    Measures::ratio_cell(one.phase)});
  }
  if (rows.empty()) {
    return;
  }
  html.element("h3", "Phases between the meshes of one gear");
  html.element(
      "p",
      "With the reference driving. At a phase of 0 both meshes excite the gear at the same "
      "moment of their periods, at 0.5 half a period apart.");
  write_table(html, columns, rows, "Phase of one mesh behind another");
  tell_left_out(html, rows.size(), all, "phases", "frequencies");
}

}  // namespace

Section frequencies_section(const PageInput& input) {
  const FrequenciesResult& result = input.study.frequencies;
  if (result.lines.empty() && result.meshes.empty()) {
    return {};
  }
  HtmlWriter html;
  write_introduction(html, result, input.charts.frequencies);
  write_lines(html, input);
  write_coincidences(html, input);
  write_meetings(html, input);
  write_phases(html, input);
  std::vector<std::string> untied;
  for (const design::Warning& warning : result.warnings) {
    if (warning.kind == "untied") {
      untied.push_back(printable(warning.subject) + ": " + warning.text + ".");
    }
  }
  if (!untied.empty()) {
    html.element("h3", "Shafts without orders");
    write_list(html, untied);
  }
  return {"frequencies", "Frequencies", html.take()};
}

}  // namespace lashband::report
