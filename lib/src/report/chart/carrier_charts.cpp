#include "carrier_charts.hpp"

#include <algorithm>
#include <string>
#include <string_view>
#include <utility>

#include "specification.hpp"
#include "state_columns.hpp"

namespace lashband::report {
namespace {

constexpr int panel_height = 150;

// What the row of a history is called behind its name.
constexpr std::string_view over_time = ", over time";

// The carriers that have a number in a column, each looking alike in every chart of the study.
struct Series {
  std::vector<std::string> names;
  Specification colours = Specification::array();
  Specification dash = Specification::array();
  Specification shape = Specification::array();

  Series(const design::Study& study, const DataTable& table, std::string_view value,
         const Colours& palette) {
    const std::size_t at = place_of(table, value);
    for (std::size_t i = 0; i < study.design.carriers.size(); ++i) {
      const std::string name = Measures::text_cell(study.design.carriers[i].id).shown;
      const bool has_one = std::any_of(table.rows.begin(), table.rows.end(), [&](const auto& row) {
        return row[0].shown == name && row[at].value;
      });
      if (has_one) {
        names.push_back(name);
        colours.push_back(palette.of_series(i));
        dash.push_back(dash_of_series(i));
        shape.push_back(shape_of_series(i));
      }
    }
  }
};

// One value by carrier: lines over the soak above, points at the conditions below.
class ByCarrier {
 public:
  ByCarrier(const DataTable& table, Series series) : table_(table), series_(std::move(series)) {}

  // `what` is the title of the axis without unit.
  [[nodiscard]] Specification of(std::string_view name, const std::string& what) const {
    const bool soak = has_column(table_, "temperature") && any_number(table_, name, true);
    const bool conditions = any_number(table_, name, false);
    const Column& value = column(table_, name);
    const std::string title =
        what + (value.shown_unit.empty() ? "" : " [" + value.shown_unit + "]");
    if (soak && conditions) {
      Specification both = Specification::array();
      both.push_back(over_soak(name, title));
      both.push_back(at_conditions(name, title));
      return {{"vconcat", std::move(both)},
              {"spacing", 24},
              {"resolve", {{"scale", {{"color", "shared"}, {"shape", "shared"}}}}}};
    }
    return soak ? over_soak(name, title) : at_conditions(name, title);
  }

 private:
  // The same for both panels, which stand one above the other with their axes aligned.
  [[nodiscard]] int plot_width() const {
    constexpr int numbers_and_title = 64;
    return drawing_width - std::max(numbers_and_title, width_of_names(rows_of_conditions())) - 24;
  }

  // Conditions, then a row for each history.
  [[nodiscard]] std::vector<std::string> rows_of_conditions() const {
    std::vector<std::string> names = conditions_of(table_);
    for (const std::string& history : histories_of(table_)) {
      names.push_back(history + std::string(over_time));
    }
    return names;
  }

  [[nodiscard]] Specification carrier(const char* channel, const Specification& range) const {
    Specification one = {{"field", "carrier"},
                         {"type", "nominal"},
                         {"sort", series_.names},
                         {"scale", {{"domain", series_.names}, {"range", range}}}};
    one["legend"] = series_.names.size() > 1 ? Specification{{"title", nullptr}} : Specification();
    return {{channel, std::move(one)}};
  }

  [[nodiscard]] Specification encoding(const Specification& x, const Specification& y,
                                       std::string_view name) const {
    Specification result = {{"x", x}, {"y", y}};
    result.update(carrier("color", series_.colours));
    result["tooltip"] = tooltip(table_, {"carrier", "condition", "temperature", name});
    return result;
  }

  [[nodiscard]] Specification over_soak(std::string_view name, const std::string& title) const {
    const Specification x = soak_axis(table_);
    const Specification y = value_axis(table_, name, title);
    Specification line = encoding(x, y, name);
    line.erase("tooltip");
    Specification point = encoding(x, y, name);
    point.update(carrier("shape", series_.shape));
    Specification layers = Specification::array();
    // Each line by itself: a scale of dashes would break the outlines of the shapes in the legend.
    for (std::size_t i = 0; i < series_.names.size(); ++i) {
      layers.push_back(
          {{"transform", {only("carrier", series_.names[i])}},
           {"mark", {{"type", "line"}, {"strokeWidth", 2}, {"strokeDash", series_.dash[i]}}},
           {"encoding", line}});
    }
    layers.push_back({{"mark", {{"type", "point"}, {"size", 40}}}, {"encoding", point}});
    return {{"transform", {with_number("temperature"), with_number(name)}},
            {"width", plot_width()},
            {"height", panel_height},
            {"layer", std::move(layers)}};
  }

  [[nodiscard]] Specification at_conditions(std::string_view name, const std::string& title) const {
    const Specification x = value_axis(table_, name, title);
    const bool histories = !histories_of(table_).empty();
    const Specification y = {{"field", histories ? "row" : "condition"},
                             {"type", "nominal"},
                             {"sort", rows_of_conditions()},
                             {"title", nullptr},
                             {"axis", {{"grid", true}, {"labelLimit", label_width}}}};
    Specification point = encoding(x, y, name);
    point.update(carrier("shape", series_.shape));
    Specification transform = Specification::array();
    if (has_column(table_, "temperature")) {
      transform.push_back(without_number("temperature"));
    }
    transform.push_back(with_number(name));
    Specification spec = {{"width", plot_width()}, {"height", {{"step", 24}}}};
    const Specification mark = {{"type", "point"}, {"size", 70}};
    if (!histories) {
      spec["mark"] = mark;
      spec["encoding"] = std::move(point);
    } else {
      for (const Specification& one : ends_of_histories(table_, name, name)) {
        transform.push_back(one);
      }
      transform.push_back({{"calculate", "isValid(datum.history) ? datum.history + '" +
                                             std::string(over_time) + "' : datum.condition"},
                           {"as", "row"}});
      // From the least to the greatest of each history.
      Specification reach = encoding(x, y, name);
      reach.erase("tooltip");
      reach["detail"] = {{"field", "carrier"}};
      Specification layers = Specification::array();
      layers.push_back({{"transform", {with_number("time")}},
                        {"mark", {{"type", "line"}, {"strokeWidth", 1}}},
                        {"encoding", std::move(reach)}});
      layers.push_back({{"mark", mark}, {"encoding", std::move(point)}});
      spec["layer"] = std::move(layers);
    }
    spec["transform"] = std::move(transform);
    return spec;
  }

  const DataTable& table_;
  Series series_;
};

// Least and greatest number of a column on one carrier, with the states.
struct Reach {
  const std::vector<Cell>* least = nullptr;
  const std::vector<Cell>* greatest = nullptr;
};

Reach reach(const DataTable& table, std::string_view name, std::string_view carrier) {
  const std::size_t value = place_of(table, name);
  Reach found;
  for (const std::vector<Cell>& row : table.rows) {
    if (row[0].shown != carrier || !row[value].value) {
      continue;
    }
    if (found.least == nullptr || *row[value].value < *(*found.least)[value].value) {
      found.least = &row;
    }
    if (found.greatest == nullptr || *row[value].value > *(*found.greatest)[value].value) {
      found.greatest = &row;
    }
  }
  return found;
}

// "On X from 1 at A to 2 at B; on Y 3 at every state."
std::string reach_sentence(const DataTable& table, std::string_view name) {
  const Column& value = column(table, name);
  const std::size_t at = place_of(table, name);
  const std::string unit = value.shown_unit.empty() ? "" : " " + value.shown_unit;
  std::string sentence;
  for (const std::string& carrier : distinct(table, "carrier")) {
    const Reach found = reach(table, name, carrier);
    if (found.least != nullptr) {
      const std::string least = (*found.least)[at].shown + unit;
      const std::string greatest = (*found.greatest)[at].shown + unit;
      sentence += sentence.empty() ? "On " : "; on ";
      sentence += named(carrier);
      if (least == greatest) {
        sentence.append(" ").append(least).append(" at every state");
      } else {
        sentence.append(" from ").append(least).append(" at ").append(
            named((*found.least)[1].shown));
        sentence.append(" to ").append(greatest).append(" at ").append(
            named((*found.greatest)[1].shown));
      }
    }
  }
  return sentence + ".";
}

Chart chart_of(const design::Study& study, const std::string& id, const std::string& title,
               const DataTable& table, std::string_view name, const std::string& what,
               const Colours& colours) {
  Chart chart;
  chart.id = id;
  chart.title = title;
  chart.reading = reach_sentence(table, name);
  chart.table = table.id;
  chart.spec = ByCarrier(table, Series(study, table, name, colours)).of(name, what);
  return chart;
}

}  // namespace

std::vector<Chart> centre_charts(const design::Study& study, std::size_t mesh,
                                 const DataTable& table, const Colours& colours) {
  if (table.rows.empty()) {
    return {};
  }
  return {chart_of(
      study, "centre-" + std::to_string(mesh + 1),
      "Centre distance of " + named(study.design.meshes[mesh].id) + " against its drawn value",
      table, "a_change", "a less its drawn value", colours)};
}

std::vector<Chart> tooth_charts(const design::Study& study, std::size_t mesh,
                                const DataTable& table, const Colours& colours) {
  if (table.rows.empty()) {
    return {};
  }
  const std::string number = std::to_string(mesh + 1);
  const std::string name = named(study.design.meshes[mesh].id);
  return {chart_of(study, "tip-clearance-" + number, "Tip clearance of " + name, table, "c_least",
                   "tip clearance c", colours),
          chart_of(study, "contact-ratio-" + number, "Transverse contact ratio of " + name, table,
                   "eps_alpha", "contact ratio ε_α", colours)};
}

DataTable joint_table(const design::Study& study, const Measures& measures) {
  bool force = false;
  bool reach = false;
  bool squeeze = false;
  bool stretch = false;
  for (const design::CarrierRow& row : study.carriers.rows) {
    for (const design::CarrierStateResult& at : row.result.carrier_states) {
      force = force || at.carrier.joint_force.has_value();
      reach = reach || at.carrier.joint_force_reach.has_value();
      squeeze = squeeze || at.carrier.squeeze_left.has_value();
      stretch = stretch || at.carrier.stretch_left.has_value();
    }
  }
  const StateColumns states(study, measures);
  DataTable table;
  table.id = "data-joint";
  table.title = "the joint of every carrier at every state";
  table.file = "joint.csv";
  table.columns = states.columns("carrier");
  if (force) {
    table.columns.push_back(measures.force("joint_force", "joint force"));
  }
  if (reach) {
    table.columns.push_back(
        measures.force("joint_force_low", "joint force, least").told_at(EndsTold::least));
    table.columns.push_back(
        measures.force("joint_force_high", "joint force, greatest").told_at(EndsTold::greatest));
  }
  if (squeeze) {
    table.columns.push_back(measures.gap("squeeze_left", "free to squeeze"));
  }
  if (stretch) {
    table.columns.push_back(measures.gap("stretch_left", "free to stretch"));
  }
  for (const design::CarrierRow& row : study.carriers.rows) {
    const std::size_t first = table.rows.size();
    for (const design::CarrierStateResult& at : row.result.carrier_states) {
      const thermal::CarrierState& carrier = at.carrier;
      if (!carrier.joint_force && !carrier.squeeze_left && !carrier.stretch_left) {
        continue;
      }
      const design::State& state = row.result.states[at.state];
      std::vector<Cell> cells = states.cells(row.result.carrier, state);
      if (force) {
        cells.push_back(measures.force_cell(carrier.joint_force));
      }
      if (reach) {
        const auto& band = carrier.joint_force_reach;
        cells.push_back(band ? measures.force_cell(band->low) : Cell{});
        cells.push_back(band ? measures.force_cell(band->high) : Cell{});
      }
      if (squeeze) {
        cells.push_back(measures.gap_cell(carrier.squeeze_left));
      }
      if (stretch) {
        cells.push_back(measures.gap_cell(carrier.stretch_left));
      }
      table.rows.push_back(std::move(cells));
    }
    keep_ends_of_histories(table, first);
  }
  return table;
}

std::vector<Chart> joint_charts(const design::Study& study, const DataTable& table,
                                const Colours& colours) {
  std::vector<Chart> charts;
  if (has_column(table, "joint_force")) {
    charts.push_back(chart_of(study, "joint-force", "Force in the joint", table, "joint_force",
                              "joint force", colours));
    charts.back().reading += " A positive force stretches the insert.";
    if (has_column(table, "joint_force_low")) {
      charts.back().reading +=
          " A friction joint is drawn as on first loading; what its history can make of it is in "
          "the table.";
    }
  }
  if (has_column(table, "squeeze_left")) {
    charts.push_back(chart_of(study, "squeeze-left",
                              "Free travel left before the case squeezes the insert", table,
                              "squeeze_left", "travel left", colours));
    charts.back().reading += " Below zero the insert is squeezed and no longer floats.";
  }
  if (has_column(table, "stretch_left")) {
    charts.push_back(chart_of(study, "stretch-left",
                              "Free travel left before the case stretches the insert", table,
                              "stretch_left", "travel left", colours));
    charts.back().reading += " Below zero the insert is stretched and no longer floats.";
  }
  return charts;
}

}  // namespace lashband::report
