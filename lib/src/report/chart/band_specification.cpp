#include "band_specification.hpp"

#include <algorithm>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace lashband::report {
namespace {

// What the bands of both charts are called, in the order of the legend.
constexpr std::string_view worst_case_word = "worst case";
constexpr std::string_view percentile_word = "99.73 % of units";
constexpr std::string_view nominal_word = "nominal";
constexpr std::string_view limit_word = "required";

// More carriers than this would make the panels of a row too narrow to read.
constexpr std::size_t panels_in_a_row = 3;
constexpr int panel_height = 240;

// The parts of a chart of one mesh's bands, along x or along y.
class BandLayers {
 public:
  BandLayers(const DataTable& table, const Measures& measures, const Colours& colours,
             const RequiredBacklash& asked)
      : table_(table),
        measures_(measures),
        asked_(asked),
        percentiles_(has_column(table, "j_wt_least_p0.135")) {
    words_.add(worst_case_word, colours.worst_case);
    if (percentiles_) {
      words_.add(percentile_word, colours.percentiles);
    }
    words_.add(nominal_word, colours.nominal);
    if (asked.least || asked.greatest) {
      words_.add(limit_word, colours.limit);
    }
  }

  [[nodiscard]] bool percentiles() const { return percentiles_; }

  // Colour and legend entry of one of the words above.
  [[nodiscard]] Specification coloured(std::string_view word) const { return words_.of(word); }

  // Both ends of a band on one axis: {"y": ..., "y2": ...}.
  [[nodiscard]] Specification ends(std::string_view low, std::string_view high,
                                   const std::string& axis) const {
    return {{axis, value_axis(table_, low, title())},
            {axis + "2", {{"field", field(table_, high)["field"]}}}};
  }

  [[nodiscard]] Specification nominal(const std::string& axis) const {
    return {{axis, value_axis(table_, "j_wt_nominal", title())}};
  }

  // A dashed line at each limit, across the whole panel.
  void add_limits(Specification& layers, const std::string& axis) const {
    for (const auto& limit : {asked_.least, asked_.greatest}) {
      if (limit) {
        const Column& gap = column(table_, "j_wt_nominal");
        const double shown = *measures_.gap_cell(limit).value * gap.scale;
        layers.push_back({{"data", {{"values", {Specification::object()}}}},
                          {"mark", {{"type", "rule"}, {"strokeDash", {6, 4}}, {"strokeWidth", 2}}},
                          {"encoding",
                           {{axis, {{"datum", shown}, {"type", "quantitative"}}},
                            {"color", coloured(limit_word)}}}});
      }
    }
  }

  [[nodiscard]] std::string title() const {
    return "backlash j_wt [" + column(table_, "j_wt_nominal").shown_unit + "]";
  }

 private:
  const DataTable& table_;
  const Measures& measures_;
  RequiredBacklash asked_;
  bool percentiles_;
  WordColours words_;
};

const std::vector<std::string_view> read_by_hovering = {
    "carrier",        "condition",       "temperature",       "j_wt_nominal",
    "j_wt_worst_low", "j_wt_worst_high", "j_wt_least_p0.135", "j_wt_greatest_p99.865",
    "p_bind",
};

Specification soak_panel(const DataTable& table, const BandLayers& bands, const Colours& colours,
                         int width, std::size_t points) {
  const Specification x = soak_axis(table);
  Specification layers = Specification::array();
  const auto area = [&](std::string_view low, std::string_view high, std::string_view word) {
    layers.push_back({{"mark", "area"},
                      {"encoding", merged({{"x", x}, {"color", bands.coloured(word)}},
                                          bands.ends(low, high, "y"))}});
  };
  area("j_wt_worst_low", "j_wt_worst_high", worst_case_word);
  if (bands.percentiles()) {
    area("j_wt_least_p0.135", "j_wt_greatest_p99.865", percentile_word);
  }
  layers.push_back({{"mark", {{"type", "line"}, {"strokeWidth", 2}}},
                    {"encoding", merged({{"x", x}, {"color", bands.coloured(nominal_word)}},
                                        bands.nominal("y"))}});
  bands.add_limits(layers, "y");
  // The stretch around each point of the sweep, seen only under the pointer; cut at the panel,
  // which would grow by it otherwise.
  const int stretch = std::max(2, width / static_cast<int>(points));
  layers.push_back(
      {{"params",
        {{{"name", "pointed"},
          {"select",
           {{"type", "point"},
            {"fields", {field(table, "temperature")["field"]}},
            {"on", "pointerover"},
            {"clear", "pointerout"}}}}}},
       {"mark",
        {{"type", "rule"}, {"color", colours.ink}, {"strokeWidth", stretch}, {"clip", true}}},
       {"encoding",
        {{"x", x},
         {"opacity",
          {{"condition", {{"param", "pointed"}, {"empty", false}, {"value", 0.15}}}, {"value", 0}}},
         {"tooltip", tooltip(table, read_by_hovering)}}}});
  return {{"width", width}, {"height", panel_height}, {"layer", std::move(layers)}};
}

// The moments of a history at which the worst case is least and greatest.
std::pair<std::string, std::string> band_ends(const DataTable& table, const std::string& history) {
  const std::size_t of = place_of(table, "history");
  const std::size_t low = place_of(table, "j_wt_worst_low");
  const std::size_t high = place_of(table, "j_wt_worst_high");
  std::vector<const std::vector<Cell>*> rows;
  for (const std::vector<Cell>& row : table.rows) {
    if (row[of].shown == history) {
      rows.push_back(&row);
    }
  }
  const auto least = std::min_element(rows.begin(), rows.end(), [low](auto* a, auto* b) {
    return *(*a)[low].value < *(*b)[low].value;
  });
  const auto greatest = std::max_element(rows.begin(), rows.end(), [high](auto* a, auto* b) {
    return *(*a)[high].value < *(*b)[high].value;
  });
  const std::size_t name = place_of(table, "condition");
  return {(**least)[name].shown, (**greatest)[name].shown};
}

// The rows of the chart at the conditions, and which field of the data names them.
struct ConditionRows {
  std::vector<std::string> names{};
  std::string field = "condition";
  Specification transform = Specification::array();
};

// Conditions, then the moments of the least and the greatest backlash of each history, worst case.
// Several carriers have these at other moments, so that their rows are named by the end alone.
ConditionRows condition_rows(const DataTable& table, std::size_t carriers) {
  ConditionRows rows;
  if (has_column(table, "temperature")) {
    rows.transform.push_back(without_number("temperature"));
  }
  rows.names = conditions_of(table);
  const std::vector<std::string> histories = histories_of(table);
  if (histories.empty()) {
    return rows;
  }
  for (const Specification& one : ends_of_histories(table, "j_wt_worst_low", "j_wt_worst_high")) {
    rows.transform.push_back(one);
  }
  if (carriers > 1) {
    rows.field = "row";
    rows.transform.push_back(
        {{"calculate",
          "!isValid(datum.history) ? datum.condition : datum.history + (datum.least_place === 1 ? "
          "', least' : ', greatest')"},
         {"as", rows.field}});
    for (const std::string& history : histories) {
      rows.names.push_back(history + ", least");
      rows.names.push_back(history + ", greatest");
    }
    return rows;
  }
  for (const std::string& history : histories) {
    const auto [least, greatest] = band_ends(table, history);
    rows.names.push_back(least);
    if (greatest != least) {
      rows.names.push_back(greatest);
    }
  }
  return rows;
}

}  // namespace

RequiredBacklash required_of(const design::BacklashResult& result, const std::string& mesh) {
  RequiredBacklash asked;
  for (const design::RequirementRow& row : result.requirements) {
    if (row.mesh == mesh && row.what == "least_backlash") {
      asked.least = units::from_si<units::Length>(row.limit);
    }
    if (row.mesh == mesh && row.what == "greatest_backlash") {
      asked.greatest = units::from_si<units::Length>(row.limit);
    }
  }
  return asked;
}

Specification soak_bands(const DataTable& table, const RequiredBacklash& required,
                         std::size_t points, const Measures& measures, const Colours& colours) {
  const BandLayers bands(table, measures, colours, required);
  const std::vector<std::string> carriers = distinct(table, "carrier");
  const std::size_t panels = std::min(panels_in_a_row, carriers.size());
  constexpr int margin = 76;  // axis and its title at the left
  constexpr int gap = 16;
  const int width =
      (drawing_width - margin - static_cast<int>(panels - 1) * gap) / static_cast<int>(panels) - 4;
  Specification panel = soak_panel(table, bands, colours, width, points);
  Specification spec = {{"transform", {with_number("temperature")}}};
  if (panels == 1) {
    spec.update(panel);
  } else {
    spec["facet"] = {{"field", "carrier"},
                     {"type", "nominal"},
                     {"sort", carriers},
                     {"header", {{"labelLimit", width}}}};
    spec["columns"] = panels_in_a_row;
    spec["spacing"] = gap;
    spec["spec"] = std::move(panel);
  }
  return spec;
}

Specification condition_bands(const DataTable& table, const RequiredBacklash& required,
                              const Measures& measures, const Colours& colours) {
  const BandLayers bands(table, measures, colours, required);
  const std::vector<std::string> carriers = distinct(table, "carrier");
  const ConditionRows named_rows = condition_rows(table, carriers.size());
  // One row a condition, in it one line a carrier.
  const int row_height = 16 * static_cast<int>(carriers.size()) + 12;
  const Specification rows = {
      {"y",
       {{"field", named_rows.field},
        {"type", "nominal"},
        {"sort", named_rows.names},
        {"title", nullptr},
        {"axis", {{"grid", true}, {"tickBand", "extent"}, {"labelLimit", label_width}}}}},
      {"yOffset", {{"field", "carrier"}, {"type", "nominal"}, {"sort", carriers}}}};
  Specification layers = Specification::array();
  const auto bar = [&](std::string_view low, std::string_view high, std::string_view word,
                       int size) {
    layers.push_back({{"mark", {{"type", "bar"}, {"height", size}}},
                      {"encoding", merged(merged(rows, {{"color", bands.coloured(word)}}),
                                          bands.ends(low, high, "x"))}});
  };
  bar("j_wt_worst_low", "j_wt_worst_high", worst_case_word, 12);
  if (bands.percentiles()) {
    bar("j_wt_least_p0.135", "j_wt_greatest_p99.865", percentile_word, 6);
  }
  bands.add_limits(layers, "x");
  const Specification read = tooltip(table, read_by_hovering);
  // The nominal carries the shape of its carrier.
  Specification shapes = {{"field", "carrier"}, {"type", "nominal"}, {"sort", carriers}};
  shapes["scale"] = {{"domain", carriers}};
  if (carriers.size() > 1) {
    shapes["legend"] = {{"title", nullptr}, {"orient", "bottom"}};
  } else {
    shapes["legend"] = nullptr;
  }
  layers.push_back({{"mark", {{"type", "point"}, {"filled", true}, {"size", 60}, {"opacity", 1}}},
                    {"encoding", merged(merged(rows, {{"color", bands.coloured(nominal_word)},
                                                      {"shape", shapes},
                                                      {"tooltip", read}}),
                                        bands.nominal("x"))}});
  // What the pointer is over: the whole band; where nothing varies, the nominal above.
  layers.push_back({{"mark", {{"type", "bar"}, {"height", 14}, {"opacity", 0}}},
                    {"encoding", merged(merged(rows, {{"tooltip", read}}),
                                        bands.ends("j_wt_worst_low", "j_wt_worst_high", "x"))}});
  Specification spec = {{"transform", named_rows.transform}};
  spec["width"] = drawing_width - width_of_names(named_rows.names) - 24;
  spec["height"] = {{"step", row_height}, {"for", "position"}};
  spec["layer"] = std::move(layers);
  return spec;
}

}  // namespace lashband::report
