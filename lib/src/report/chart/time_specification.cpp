#include "time_specification.hpp"

#include <algorithm>
#include <optional>

namespace lashband::report {

AxisReach AxisReach::widened(double below, double above) const {
  if (!(high > low)) {
    // Around a flat line a tenth of its value, or one unit, is as good as any reach.
    const double around = std::max(1.0, 0.1 * std::max(high, -low));
    return {low - around, high + around};
  }
  const double sweep = high - low;
  return {low - below * sweep, high + above * sweep};
}

AxisReach AxisReach::with(double value) const {
  return {std::min(low, value), std::max(high, value)};
}

AxisReach reach_of(const DataTable& table, std::string_view name) {
  const std::size_t place = place_of(table, name);
  std::optional<AxisReach> reach;
  for (const std::vector<Cell>& row : table.rows) {
    if (row[place].value) {
      const double shown = shown_value(table.columns[place], *row[place].value);
      reach = reach ? reach->with(shown) : AxisReach{shown, shown};
    }
  }
  return reach.value_or(AxisReach{});
}

double shown_value(const Column& column, double value) {
  return value * column.scale + column.offset;
}

Specification time_axis(const DataTable& table, const AxisReach& reach) {
  return reach_axis(table, "time", "time [" + column(table, "time").shown_unit + "]", reach);
}

Specification reach_axis(const DataTable& table, std::string_view name, const std::string& title,
                         const AxisReach& reach) {
  Specification axis = value_axis(table, name, title);
  axis["scale"] = {{"domain", {reach.low, reach.high}}, {"nice", false}, {"zero", false}};
  return axis;
}

Specification nearest_row(const DataTable& table, const Specification& x, const Specification& y,
                          std::string_view y_name, const std::vector<std::string_view>& read,
                          const Colours& colours) {
  Specification layer = {{"transform", {with_number(y_name)}}};
  layer["params"] = {
      {{"name", "pointed"},
       {"select",
        {{"type", "point"}, {"nearest", true}, {"on", "pointermove"}, {"clear", "pointerout"}}}}};
  layer["mark"] = {{"type", "point"}, {"filled", true}, {"size", 60}, {"color", colours.ink}};
  layer["encoding"] = {
      {"x", x},
      {"y", y},
      {"opacity",
       {{"condition", {{"param", "pointed"}, {"empty", false}, {"value", 1}}}, {"value", 0}}},
      {"tooltip", tooltip(table, read)}};
  return layer;
}

Specification drawn_line(const Specification& x, const Specification& y,
                         const std::string& colour) {
  return {{"mark", {{"type", "line"}, {"strokeWidth", 2}, {"color", colour}}},
          {"encoding", {{"x", x}, {"y", y}}}};
}

}  // namespace lashband::report
