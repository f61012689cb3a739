#include "torsion_sweep_charts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <string>
#include <string_view>
#include <utility>

#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "report/torsion_words.hpp"
#include "specification.hpp"
#include "thinning.hpp"
#include "time_specification.hpp"
#include "torsion_names.hpp"

namespace lashband::report {
namespace {

using design::SweepPoint;
using design::TorsionCondition;
using design::TorsionResult;

constexpr int numbers_and_title = 76;
constexpr int panel_height = 240;
constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

// As tables have them, where a row is from.
constexpr std::string_view of_sweep = "sweep";
constexpr std::string_view of_condition = "condition";

constexpr std::string_view teeth_part = "1: teeth part above";

// What is drawn of one condition, by speed.
struct Curves {
  std::vector<double> speeds;
  std::vector<std::vector<double>> values;  ///< by curve
};

// Thinned where the sweep has many points: by what a logarithmic axis shows as well.
std::vector<std::size_t> drawn_points(const Curves& curves) {
  std::vector<std::vector<double>> all = curves.values;
  for (const std::vector<double>& values : curves.values) {
    all.push_back(values);
    for (double& value : all.back()) {
      value = value > 0.0 ? std::log(value) : (value == 0.0 ? 0.0 : nothing);
    }
  }
  return drawn_samples(curves.speeds, all, {});
}

Curves curves_of(const TorsionCondition& condition) {
  Curves curves;
  for (const SweepPoint& point : condition.sweep) {
    curves.speeds.push_back(point.speed.value());
  }
  return curves;
}

// The reach of one or more columns, in the units shown.
class ValueAxis {
 public:
  void add(const DataTable& table, std::string_view name) {
    const std::size_t place = place_of(table, name);
    for (const auto& cells : table.rows) {
      if (cells[place].value) {
        values_.push_back(*cells[place].value * table.columns[place].scale);
      }
    }
  }
  void add_line(double value) { lines_.push_back(value); }

  [[nodiscard]] bool all_above_zero() const {
    return !values_.empty() && *std::min_element(values_.begin(), values_.end()) > 0.0;
  }

  // Whether a peak would press all else to the foot of a linear axis.
  [[nodiscard]] bool has_peaks() const {
    constexpr double most_on_a_linear_axis = 8.0;  // times the usual value
    if (!all_above_zero()) {
      return false;
    }
    std::vector<double> sorted = values_;
    std::sort(sorted.begin(), sorted.end());
    return sorted.back() > most_on_a_linear_axis * sorted[sorted.size() / 2];
  }

  [[nodiscard]] Specification scale(bool logarithmic) const {
    double low = std::numeric_limits<double>::infinity();
    double high = 0.0;
    for (const auto* list : {&values_, &lines_}) {
      for (const double value : *list) {
        low = std::min(low, value);
        high = std::max(high, value);
      }
    }
    if (!logarithmic) {
      constexpr double above = 1.06;
      return {{"domain", {0.0, high > 0.0 ? above * high : 1.0}}, {"nice", false}};
    }
    // A dip far below tells nothing.
    constexpr double most_decades_shown = 1e-4;
    constexpr double margin = 1.3;
    low = std::max(low, most_decades_shown * high);
    return {{"type", "log"}, {"domain", {low / margin, margin * high}}, {"nice", false}};
  }

 private:
  std::vector<double> values_;
  std::vector<double> lines_;
};

// Words with colour and dash each: conditions, then what is told by a level line.
class LineWords {
 public:
  LineWords(const ConditionSeries& series, const Colours& colours) : colours_(colours) {
    for (std::size_t i = 0; i < series.names.size(); ++i) {
      add(series.names[i], colours.of_series(i), dash_of_series(i));
    }
  }

  void add_limit(std::string_view word, bool asked) {
    add(word, asked ? colours_.violated : colours_.ink,
        asked ? std::vector<int>{2, 3} : std::vector<int>{1, 0});
  }

  // Colour and dash of a field or datum. The first panel of a chart has the scales and the legend
  // for all.
  [[nodiscard]] Specification of(const Specification& what, bool first) const {
    Specification encoding;
    for (const char* channel : {"color", "strokeDash"}) {
      Specification one = what;
      one["type"] = "nominal";
      if (first) {
        one["scale"] = {{"domain", words_},
                        {"range", std::string_view(channel) == "color" ? ranges_ : dashes_}};
        one["legend"] = {{"title", nullptr},
                         {"symbolType", "stroke"},
                         {"symbolSize", 300},
                         {"symbolStrokeWidth", 2},
                         {"columns", 3}};
      }
      encoding[channel] = std::move(one);
    }
    return encoding;
  }

 private:
  void add(std::string_view word, const std::string& colour, const std::vector<int>& dash) {
    words_.push_back(word);
    ranges_.push_back(colour);
    dashes_.push_back(dash);
  }

  const Colours& colours_;
  Specification words_ = Specification::array();
  Specification ranges_ = Specification::array();
  Specification dashes_ = Specification::array();
};

// One panel: a line for each condition, a ring at its own speed, level lines.
struct Panel {
  std::string_view value;  ///< column
  std::string axis;        ///< title
  std::vector<std::pair<double, std::string>> limits{};
  int width = drawing_width - numbers_and_title - 16;
  int height = panel_height;
  bool first = true;  ///< of its chart
  /// Where several panels are to be alike and their text says so; else by the values.
  std::optional<bool> logarithmic{};
  bool speed_title = true;
};

Specification panel_of(const DataTable& table, const Panel& panel, const LineWords& words,
                       const std::string& reference) {
  ValueAxis values;
  values.add(table, panel.value);
  for (const auto& [limit, word] : panel.limits) {
    values.add_line(limit);
  }
  Specification x = reach_axis(table, "speed", "", reach_of(table, "speed"));
  x["title"] =
      panel.speed_title ? Specification("speed of " + reference + " [rpm]") : Specification();
  x["axis"] = {{"labelSeparation", 8}, {"tickCount", panel.width / 60}};
  Specification y = field(table, panel.value);
  const bool logarithmic =
      panel.logarithmic.value_or(values.has_peaks()) && values.all_above_zero();
  y["title"] = panel.axis + (logarithmic && !panel.logarithmic ? ", logarithmic" : "");
  y["scale"] = values.scale(logarithmic);
  const Specification places = {{"x", x}, {"y", y}};
  Specification layers = Specification::array();
  Specification swept = Specification::array();
  swept.push_back(only("row", of_sweep));
  layers.push_back({{"transform", std::move(swept)},
                    {"mark", {{"type", "line"}, {"strokeWidth", 2}, {"clip", true}}},
                    {"encoding", merged(places, words.of({{"field", "condition"}}, panel.first))}});
  for (const auto& [limit, word] : panel.limits) {
    layers.push_back({{"data", {{"values", {Specification::object()}}}},
                      {"mark", {{"type", "rule"}, {"strokeWidth", 1.6}}},
                      {"encoding", merged({{"y", {{"datum", limit}, {"type", "quantitative"}}}},
                                          words.of({{"datum", word}}, panel.first))}});
  }
  Specification own = Specification::array();
  own.push_back(only("row", of_condition));
  own.push_back(with_number(panel.value));
  Specification at_speed = places;
  at_speed["color"] = words.of({{"field", "condition"}}, panel.first)["color"];
  layers.push_back({{"transform", std::move(own)},
                    {"mark",
                     {{"type", "point"},
                      {"shape", "circle"},
                      {"size", 70},
                      {"strokeWidth", 2},
                      {"opacity", 1},
                      {"clip", true}}},
                    {"encoding", std::move(at_speed)}});
  Specification all = Specification::array();
  all.push_back(with_number(panel.value));
  Specification read = places;
  read["tooltip"] = scaled_tooltip(table, {"condition", "speed", panel.value});
  layers.push_back(
      {{"transform", std::move(all)},
       {"mark",
        {{"type", "point"}, {"filled", true}, {"size", 90}, {"opacity", 0}, {"clip", true}}},
       {"encoding", std::move(read)}});
  return {{"width", panel.width}, {"height", panel.height}, {"layer", std::move(layers)}};
}

// Where something is greatest over all conditions drawn.
struct Greatest {
  double value = 0.0;
  units::AngularVelocity speed{};
  std::optional<std::string> condition{};  ///< empty where there is no value at all
};

template <class Value>
Greatest greatest_of(const TorsionResult& result, const std::vector<std::size_t>& conditions,
                     const Value& value_at) {
  Greatest greatest;
  for (const std::size_t place : conditions) {
    for (const SweepPoint& point : result.conditions[place].sweep) {
      const std::optional<double> value = value_at(point);
      if (value && (!greatest.condition || *value > greatest.value)) {
        greatest = {*value, point.speed, result.conditions[place].id};
      }
    }
  }
  return greatest;
}

// "1500 rpm (hot)".
std::string place_words(const Greatest& greatest) {
  return rpm_words(greatest.speed) + " (" + named(greatest.condition.value_or("")) + ")";
}

// "at hot from 1400 to 1500 rpm and at 1800 rpm": points of the sweep where the index is above 1.
std::string parting_words(const TorsionCondition& condition, std::size_t mesh) {
  constexpr std::size_t most_told = 3;
  std::vector<std::pair<units::AngularVelocity, units::AngularVelocity>> ranges;
  bool open = false;
  for (const SweepPoint& point : condition.sweep) {
    const bool parts = point.rattle_index[mesh].value_or(0.0) > 1.0;
    if (parts && open) {
      ranges.back().second = point.speed;
    } else if (parts) {
      ranges.emplace_back(point.speed, point.speed);
    }
    open = parts;
  }
  std::string text;
  for (std::size_t i = 0; i < std::min(most_told, ranges.size()); ++i) {
    const auto& [from, to] = ranges[i];
    text += i == 0 ? "at " + named(condition.id) : " and";
    if (from == to) {
      text.append(" at ").append(rpm_words(from));
    } else {
      text.append(" from ").append(rpm_words(from)).append(" to ").append(rpm_words(to));
    }
  }
  if (ranges.size() > most_told) {
    text.append(" and in ")
        .append(std::to_string(ranges.size() - most_told))
        .append(" ranges more");
  }
  return text;
}

std::string rattle_reading(const TorsionResult& result, const std::vector<std::size_t>& conditions,
                           std::size_t mesh, const std::optional<double>& asked) {
  const Greatest greatest =
      greatest_of(result, conditions, [mesh](const SweepPoint& p) { return p.rattle_index[mesh]; });
  std::string text = "Above 1 the teeth part and can rattle. ";
  if (!greatest.condition) {
    return text + "The mesh carries no mean force, so that it has no index.";
  }
  text += "The greatest is " + units::fixed_number(greatest.value, 2) + ", at " +
          place_words(greatest) + ". ";
  std::string parting;
  for (const std::size_t place : conditions) {
    const std::string words = parting_words(result.conditions[place], mesh);
    if (!words.empty()) {
      parting.append(parting.empty() ? "They part " : "; ").append(words);
    }
  }
  text += parting.empty() ? "Nowhere in the sweep do they part." : parting + ".";
  if (asked) {
    text += " Asked for is " + units::fixed_number(*asked, 2) + " at most.";
  }
  return text;
}

std::string force_reading(const TorsionResult& result, const std::vector<std::size_t>& conditions,
                          std::size_t mesh, const Measures& measures) {
  const std::size_t element = result.meshes[mesh];
  const Greatest greatest = greatest_of(result, conditions, [element](const SweepPoint& p) {
    return std::optional(p.dynamic[element]);
  });
  const Column column = measures.force("", "");
  std::string text =
      "Half of the greatest less the least force on the base tangent over a full cycle. The "
      "greatest is " +
      whole_number(greatest.value * column.scale, 4) + " " + column.shown_unit + ", at " +
      place_words(greatest);
  for (const std::size_t place : conditions) {
    const TorsionCondition& condition = result.conditions[place];
    if (condition.speed_judged && element < condition.elements.size()) {
      const design::ElementState& at = condition.elements[element];
      text.append("; at the ").append(rpm_words(condition.speed)).append(" of ");
      text.append(named(condition.id)).append(" it is ");
      text.append(whole_number(0.5 * (at.greatest - at.least) * column.scale, 4));
      text.append(" ").append(column.shown_unit);
    }
  }
  return text + ".";
}

bool any_sweep(const TorsionResult& result, const std::vector<std::size_t>& conditions) {
  return std::any_of(conditions.begin(), conditions.end(), [&result](std::size_t place) {
    return !result.conditions[place].sweep.empty();
  });
}

DataTable mesh_table(const TorsionResult& result, std::size_t mesh,
                     const std::vector<std::size_t>& conditions, const Measures& measures) {
  const std::size_t element = result.meshes[mesh];
  const std::string number = std::to_string(mesh + 1);
  DataTable table;
  table.id = "data-torsion-mesh-" + number;
  table.title = "vibration of mesh " + named(mesh_id(result, mesh)) + " over speed";
  table.file = "torsion-mesh-" + number + ".csv";
  table.columns = {Measures::text("condition", "condition"),
                   Measures::text("row", "row of the"),
                   Measures::speed("speed", "speed of " + named(result.reference)),
                   Measures::ratio("rattle_index", "rattle index"),
                   measures.force("least_force", "least force"),
                   measures.force("dynamic_force", "dynamic force")};
  const auto force_cell = [&measures](double newtons) {
    return five_digits(newtons, measures.force("", "").scale);
  };
  const auto index_cell = [](const std::optional<double>& index) {
    return index ? five_digits(*index) : Cell{};
  };
  for (const std::size_t place : conditions) {
    const TorsionCondition& condition = result.conditions[place];
    Curves curves = curves_of(condition);
    curves.values.resize(2);
    for (const SweepPoint& point : condition.sweep) {
      curves.values[0].push_back(point.rattle_index[mesh].value_or(0.0));
      curves.values[1].push_back(point.dynamic[element]);
    }
    const Cell name = Measures::text_cell(condition.id);
    for (const std::size_t i : drawn_points(curves)) {
      const SweepPoint& point = condition.sweep[i];
      table.rows.push_back({name,
                            {std::string(of_sweep), {}},
                            Measures::speed_cell(point.speed),
                            index_cell(point.rattle_index[mesh]),
                            force_cell(point.least_force[mesh].value()),
                            force_cell(point.dynamic[element])});
    }
    if (condition.speed_judged && mesh < condition.meshes.size()) {
      const design::MeshVibration& own = condition.meshes[mesh];
      const design::ElementState& state = condition.elements[element];
      table.rows.push_back({name,
                            {std::string(of_condition), {}},
                            Measures::speed_cell(condition.speed),
                            index_cell(own.rattle_index),
                            force_cell(own.least.value()),
                            force_cell(0.5 * (state.greatest - state.least))});
    }
  }
  return table;
}

// The elements with a torque, those with the greatest dynamic torque in the sweep first.
std::vector<std::size_t> by_torque(const TorsionResult& result,
                                   const std::vector<std::size_t>& conditions) {
  std::vector<std::size_t> elements;
  std::vector<double> greatest(result.elements.size(), 0.0);
  for (std::size_t e = 0; e < result.elements.size(); ++e) {
    if (!is_mesh(result.elements[e])) {
      elements.push_back(e);
      greatest[e] = greatest_of(result, conditions, [e](const SweepPoint& point) {
                      return std::optional(point.dynamic[e]);
                    }).value;
    }
  }
  std::erase_if(elements, [&greatest](std::size_t e) { return !(greatest[e] > 0.0); });
  std::stable_sort(elements.begin(), elements.end(),
                   [&greatest](std::size_t a, std::size_t b) { return greatest[a] > greatest[b]; });
  return elements;
}

std::string torque_field(std::size_t element) {
  return "torque_" + std::to_string(element + 1);
}

DataTable torques_table(const TorsionResult& result, const std::vector<std::size_t>& conditions,
                        const std::vector<std::size_t>& elements, const TorqueMeasures& measures) {
  DataTable table;
  table.id = "data-torsion-torques";
  table.title = "dynamic torques over speed";
  table.file = "torsion-torques.csv";
  table.columns = {Measures::text("condition", "condition"), Measures::text("row", "row of the"),
                   Measures::speed("speed", "speed of " + named(result.reference))};
  for (const std::size_t e : elements) {
    table.columns.push_back(
        measures.torque(torque_field(e), named(element_words(result.elements[e]))));
  }
  for (const std::size_t place : conditions) {
    const TorsionCondition& condition = result.conditions[place];
    Curves curves = curves_of(condition);
    for (const std::size_t e : elements) {
      std::vector<double>& values = curves.values.emplace_back();
      for (const SweepPoint& point : condition.sweep) {
        values.push_back(point.dynamic[e]);
      }
    }
    const auto add = [&](std::string_view row, units::AngularVelocity speed, const auto& torque) {
      std::vector<Cell> cells = {
          Measures::text_cell(condition.id), {std::string(row), {}}, Measures::speed_cell(speed)};
      for (const std::size_t e : elements) {
        cells.push_back(measures.torque_cell(torque(e)));
      }
      table.rows.push_back(std::move(cells));
    };
    for (const std::size_t i : drawn_points(curves)) {
      add(of_sweep, condition.sweep[i].speed,
          [&](std::size_t e) { return condition.sweep[i].dynamic[e]; });
    }
    if (condition.speed_judged && !condition.elements.empty()) {
      add(of_condition, condition.speed, [&](std::size_t e) {
        return 0.5 * (condition.elements[e].greatest - condition.elements[e].least);
      });
    }
  }
  return table;
}

}  // namespace

std::optional<DrawnTable> mesh_sweep_charts(const design::Design& design,
                                            const TorsionResult& result, std::size_t mesh,
                                            const std::vector<std::size_t>& conditions,
                                            const Measures& measures, const Colours& colours) {
  if (!any_sweep(result, conditions)) {
    return std::nullopt;
  }
  const std::string number = std::to_string(mesh + 1);
  const std::string name = named(mesh_id(result, mesh));
  const auto asked = design.torsion ? design.torsion->require.greatest_rattle_index : std::nullopt;
  DrawnTable drawn;
  drawn.table = mesh_table(result, mesh, conditions, measures);
  const ConditionSeries series = condition_series(result, conditions);
  const std::string reference = named(result.reference);
  if (any_number(drawn.table, "rattle_index", false)) {
    LineWords words(series, colours);
    words.add_limit(teeth_part, false);
    Panel panel{"rattle_index", "rattle index", {{1.0, std::string(teeth_part)}}};
    if (asked && *asked != 1.0) {
      const std::string word = "asked for: at most " + units::fixed_number(*asked, 2);
      words.add_limit(word, true);
      panel.limits.emplace_back(*asked, word);
    }
    Chart chart;
    chart.id = "torsion-rattle-" + number;
    chart.title = "Rattle index of mesh " + name + " over speed";
    chart.table = drawn.table.id;
    chart.reading = rattle_reading(result, conditions, mesh, asked);
    chart.spec = panel_of(drawn.table, panel, words, reference);
    drawn.charts.push_back(std::move(chart));
  }
  const Column& force = column(drawn.table, "dynamic_force");
  Chart chart;
  chart.id = "torsion-force-" + number;
  chart.title = "Dynamic force of mesh " + name + " over speed";
  chart.table = drawn.table.id;
  chart.reading = force_reading(result, conditions, mesh, measures);
  chart.spec = panel_of(drawn.table, {"dynamic_force", force.head_with_unit()},
                        LineWords(series, colours), reference);
  drawn.charts.push_back(std::move(chart));
  return drawn;
}

TorqueSweep torque_sweep_chart(const TorsionResult& result,
                               const std::vector<std::size_t>& conditions, std::size_t most,
                               const Measures& measures, const Colours& colours) {
  TorqueSweep sweep;
  std::vector<std::size_t> elements = by_torque(result, conditions);
  if (!any_sweep(result, conditions) || elements.empty()) {
    return sweep;
  }
  if (elements.size() > most) {
    sweep.left_out = elements.size() - most;
    elements.resize(most);
  }
  const TorqueMeasures torques(measures.units());
  DrawnTable drawn;
  drawn.table = torques_table(result, conditions, elements, torques);
  const LineWords words(condition_series(result, conditions), colours);
  constexpr int gap = 20;
  const bool one_alone = elements.size() == 1;
  Specification panels = Specification::array();
  std::vector<std::string> fields;
  fields.reserve(elements.size());
  for (const std::size_t e : elements) {
    fields.push_back(torque_field(e));
  }
  // Alike in all panels.
  const bool logarithmic = std::any_of(fields.begin(), fields.end(), [&drawn](const auto& name) {
    ValueAxis values;
    values.add(drawn.table, name);
    return values.has_peaks();
  });
  for (std::size_t i = 0; i < elements.size(); ++i) {
    Panel panel;
    panel.value = fields[i];
    panel.axis = "dynamic torque [" + column(drawn.table, fields[i]).shown_unit + "]";
    panel.first = i == 0;
    if (!one_alone) {
      panel.logarithmic = logarithmic;
      panel.width = (drawing_width - gap) / 2 - numbers_and_title - 10;
      panel.height = panel_height / 2 + 10;
      panel.speed_title = i + 2 >= elements.size();
    }
    Specification drawn_panel = panel_of(drawn.table, panel, words, named(result.reference));
    if (!one_alone) {
      drawn_panel["title"] = {{"text", column(drawn.table, fields[i]).head},
                              {"fontSize", text_size},
                              {"fontWeight", "normal"},
                              {"anchor", "start"},
                              {"frame", "group"},
                              {"limit", panel.width}};
    }
    panels.push_back(std::move(drawn_panel));
  }
  Chart chart;
  chart.id = "torsion-torques";
  chart.title = one_alone
                    ? "Dynamic torque of " + column(drawn.table, fields[0]).head + " over speed"
                    : std::string("Dynamic torques over speed");
  chart.table = drawn.table.id;
  chart.reading = "Half of the greatest less the least torque over a full cycle.";
  constexpr std::size_t told = 3;
  for (std::size_t i = 0; i < std::min(told, elements.size()); ++i) {
    const std::size_t e = elements[i];
    const Greatest greatest = greatest_of(result, conditions, [e](const SweepPoint& point) {
      return std::optional(point.dynamic[e]);
    });
    chart.reading.append(i == 0 ? " The greatest: " : "; ");
    chart.reading.append(column(drawn.table, fields[i]).head).append(" ");
    chart.reading.append(torques.torque_words(greatest.value)).append(" at ");
    chart.reading.append(place_words(greatest));
  }
  chart.reading += ".";
  chart.reading +=
      logarithmic && !one_alone ? " Torques that are nowhere zero are on logarithmic axes." : "";
  if (one_alone) {
    chart.spec = panels[0];
  } else {
    chart.spec = {{"concat", std::move(panels)}, {"columns", 2}, {"spacing", gap}};
  }
  drawn.charts.push_back(std::move(chart));
  sweep.drawn = std::move(drawn);
  return sweep;
}

}  // namespace lashband::report
