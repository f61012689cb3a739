#include "history_context.hpp"

namespace lashband::report {
namespace {

// "From 1 µm at 0.0 s to 2 µm at 3.0 s."
std::string ends_sentence(const DataTable& table, std::string_view name) {
  const std::size_t value = place_of(table, name);
  const std::size_t time = place_of(table, "time");
  const std::vector<Cell>* least = nullptr;
  const std::vector<Cell>* greatest = nullptr;
  for (const std::vector<Cell>& row : table.rows) {
    if (row[value].value) {
      least = least == nullptr || *row[value].value < *(*least)[value].value ? &row : least;
      greatest =
          greatest == nullptr || *row[value].value > *(*greatest)[value].value ? &row : greatest;
    }
  }
  if (least == nullptr || greatest == nullptr) {
    return "No moment has a value.";
  }
  const std::string unit = " " + table.columns[value].shown_unit;
  const std::string time_unit = " " + table.columns[time].shown_unit;
  const std::string low = (*least)[value].shown + unit;
  const std::string high = (*greatest)[value].shown + unit;
  if (low == high) {
    return low + " throughout.";
  }
  return "From " + low + " at " + (*least)[time].shown + time_unit + " to " + high + " at " +
         (*greatest)[time].shown + time_unit + ".";
}

}  // namespace

std::string HistoryContext::at(units::Time time) const {
  return " at " + time_text(time, scale);
}

std::string HistoryContext::at(std::size_t state) const {
  return at(*history.backlash.states[state].time);
}

AxisReach HistoryContext::times_shown() const {
  return {history.start.value() / scale.seconds, history.end.value() / scale.seconds};
}

std::string HistoryContext::thinned_to(std::size_t least, std::size_t most) const {
  if (least >= times.size()) {
    return "";
  }
  std::string text = " Drawn by shape, from " + std::to_string(least);
  if (most != least) {
    text += " to " + std::to_string(most);
  }
  return text + " of " + std::to_string(times.size()) + " moments.";
}

DataTable table_over_time(const HistoryContext& in, const std::string& id, const std::string& title,
                          const std::string& file) {
  DataTable table;
  table.id = id;
  table.title = title;
  table.file = file;
  table.columns = {Measures::time("time", "time", in.scale)};
  return table;
}

Chart line_chart(const HistoryContext& in, const DataTable& table, std::string_view name,
                 const std::string& what, std::string_view low, std::string_view high) {
  const Column& value = column(table, name);
  AxisReach reach = reach_of(table, name);
  if (!low.empty()) {
    reach = reach.with(reach_of(table, low).low).with(reach_of(table, high).high);
  }
  reach = reach.widened(0.06, 0.06);
  const std::string title = what + " [" + value.shown_unit + "]";
  const Specification x = time_axis(table, in.times_shown());
  const Specification y = reach_axis(table, name, title, reach);
  Specification layers = Specification::array();
  std::vector<std::string_view> read = {"time", name};
  if (!low.empty()) {
    layers.push_back(
        {{"mark", {{"type", "area"}, {"color", in.colours.worst_case}}},
         {"encoding",
          {{"x", x}, {"y", reach_axis(table, low, title, reach)}, {"y2", {{"field", high}}}}}});
    read.push_back(low);
    read.push_back(high);
  }
  layers.push_back(drawn_line(x, y, in.colours.nominal));
  layers.push_back(nearest_row(table, x, y, name, read, in.colours));
  Chart chart;
  chart.table = table.id;
  chart.reading = ends_sentence(table, name);
  chart.spec = {{"width", drawing_width - axis_width},
                {"height", low_plot_height},
                {"layer", std::move(layers)}};
  return chart;
}

}  // namespace lashband::report
