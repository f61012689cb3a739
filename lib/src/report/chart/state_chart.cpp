#include "state_chart.hpp"

#include <algorithm>
#include <utility>

#include "time_specification.hpp"

namespace lashband::report {
namespace {

constexpr int soak_height = 220;
constexpr int row_height = 28;
constexpr int numbers_and_title = 64;
constexpr int gap = 16;
// Moments are named by their history and time; two of one history differ at the end alone.
constexpr int longest_name = 220;

class StatePanels {
 public:
  StatePanels(const DataTable& table, const StateChart& chart, const Colours& colours)
      : table_(table), chart_(chart), names_(conditions()) {
    for (const StatePanel& panel : chart.panels) {
      for (const StateMark& mark : panel.marks) {
        add_word(mark.word, mark.colour);
        for (const std::string_view name : {mark.low, mark.high}) {
          if (!name.empty()) {
            add_reach(name);
          }
        }
      }
    }
    if (chart.limit) {
      add_word(chart.limit_word, colours.limit);
      reach_ = reach_ ? reach_->with(*chart.limit) : AxisReach{*chart.limit, *chart.limit};
    }
    reach_ = reach_.value_or(AxisReach{}).widened(0.05, 0.05);
    const int panels = static_cast<int>(chart.panels.size());
    const int first = std::max(numbers_and_title, width_of_names(names_, longest_name));
    width_ = (drawing_width - first - (panels - 1) * gap) / panels - 24 / panels;
  }

  [[nodiscard]] Specification specification() {
    const bool soak = has_column(table_, "temperature") && any_state(true);
    const bool conditions = any_state(false);
    if (!soak || !conditions) {
      return row(soak);
    }
    Specification rows = Specification::array();
    rows.push_back(row(true));
    rows.push_back(row(false));
    return {{"vconcat", std::move(rows)}, {"spacing", 24}};
  }

 private:
  void add_word(const std::string& word, const std::string& colour) {
    if (std::find(told_.begin(), told_.end(), word) == told_.end()) {
      told_.push_back(word);
      words_.add(word, colour);
    }
  }

  void add_reach(std::string_view name) {
    const std::size_t place = place_of(table_, name);
    if (std::any_of(table_.rows.begin(), table_.rows.end(),
                    [place](const auto& cells) { return cells[place].value.has_value(); })) {
      const AxisReach reach = reach_of(table_, name);
      reach_ = reach_ ? reach_->with(reach.low).with(reach.high) : reach;
    }
  }

  [[nodiscard]] bool is_soak(const std::vector<Cell>& cells) const {
    const std::size_t level = place_of(table_, "temperature");
    return level < cells.size() && cells[level].value.has_value();
  }

  [[nodiscard]] bool any_state(bool soak) const {
    return std::any_of(table_.rows.begin(), table_.rows.end(),
                       [&](const auto& cells) { return is_soak(cells) == soak; });
  }

  // Conditions and moments, in the order of the rows.
  [[nodiscard]] std::vector<std::string> conditions() const {
    const std::size_t name = place_of(table_, "condition");
    std::vector<std::string> names;
    for (const auto& cells : table_.rows) {
      if (!is_soak(cells)) {
        names.push_back(cells[name].shown);
      }
    }
    return names;
  }

  // Colour of a word; the first that is asked for has the legend for all.
  [[nodiscard]] Specification coloured(const std::string& word) {
    if (legend_is_told_) {
      return {{"datum", word}};
    }
    legend_is_told_ = true;
    return words_.of(word);
  }

  // All panels of a row, side by side.
  [[nodiscard]] Specification row(bool soak) {
    Specification panels = Specification::array();
    for (const StatePanel& panel : chart_.panels) {
      panels.push_back(soak ? over_soak(panel, panels.empty())
                            : at_conditions(panel, panels.empty()));
      if (soak || !has_column(table_, "temperature") || !any_state(true)) {
        if (!panel.title.empty()) {
          panels.back()["title"] = {{"text", panel.title},    {"fontSize", text_size},
                                    {"fontWeight", "normal"}, {"anchor", "start"},
                                    {"frame", "group"},       {"limit", width_}};
        }
      }
    }
    if (panels.size() == 1) {
      return panels.front();
    }
    return {{"hconcat", std::move(panels)}, {"spacing", gap}};
  }

  [[nodiscard]] Specification value(std::string_view name, bool with_title) const {
    return reach_axis(table_, name, with_title ? chart_.axis : std::string(), *reach_);
  }

  // {"y": ..., "y2": ...} with `axis` y.
  [[nodiscard]] Specification ends(const StateMark& mark, const std::string& axis,
                                   bool with_title) const {
    Specification encoding = {{axis, value(mark.low, with_title)}};
    if (!mark.high.empty()) {
      encoding[axis + "2"] = {{"field", field(table_, mark.high)["field"]}};
    }
    return encoding;
  }

  void add_limit(Specification& layers, const std::string& axis) {
    if (chart_.limit) {
      layers.push_back({{"data", {{"values", {Specification::object()}}}},
                        {"mark", {{"type", "rule"}, {"strokeDash", {6, 4}}, {"strokeWidth", 2}}},
                        {"encoding",
                         {{axis, {{"datum", *chart_.limit}, {"type", "quantitative"}}},
                          {"color", coloured(chart_.limit_word)}}}});
    }
  }

  [[nodiscard]] Specification over_soak(const StatePanel& panel, bool first) {
    Specification layers = Specification::array();
    const Specification x = soak_axis(table_);
    const auto add = [&](const StateMark& mark, Specification drawn, const Specification& y) {
      layers.push_back({{"mark", std::move(drawn)},
                        {"encoding", merged({{"x", x}, {"color", coloured(mark.word)}}, y)}});
    };
    for (const StateMark& mark : panel.marks) {
      switch (mark.kind) {
        case StateMark::Kind::wide_band:
        case StateMark::Kind::narrow_band:
          add(mark, {{"type", "area"}, {"opacity", 1}}, ends(mark, "y", first));
          break;
        case StateMark::Kind::two_ends:
          for (const std::string_view end : {mark.low, mark.high}) {
            add(mark, {{"type", "line"}, {"strokeWidth", 2}, {"strokeDash", {2, 3}}},
                {{"y", value(end, first)}});
          }
          break;
        case StateMark::Kind::line:
          add(mark, {{"type", "line"}, {"strokeWidth", 2}}, ends(mark, "y", first));
          break;
      }
    }
    add_limit(layers, "y");
    // The stretch around each point of the sweep, for the pointer alone.
    const auto points =
        std::count_if(table_.rows.begin(), table_.rows.end(),
                      [this](const std::vector<Cell>& cells) { return is_soak(cells); });
    const int stretch = std::max(2, width_ / std::max(1, static_cast<int>(points)));
    layers.push_back(
        {{"mark", {{"type", "rule"}, {"opacity", 0}, {"strokeWidth", stretch}, {"clip", true}}},
         {"encoding", {{"x", x}, {"tooltip", tooltip(table_, chart_.read)}}}});
    return {{"transform", {with_number("temperature")}},
            {"width", width_},
            {"height", soak_height},
            {"layer", std::move(layers)}};
  }

  [[nodiscard]] Specification at_conditions(const StatePanel& panel, bool first) {
    Specification y = {
        {"field", "condition"}, {"type", "nominal"}, {"sort", names_}, {"title", nullptr}};
    y["axis"] = {{"grid", true}, {"tickBand", "extent"}, {"labelLimit", longest_name}};
    if (!first) {
      y["axis"]["labels"] = false;
      y["axis"]["ticks"] = false;
    }
    const Specification read = tooltip(table_, chart_.read);
    Specification layers = Specification::array();
    const auto add = [&](const StateMark& mark, Specification drawn, const Specification& x) {
      layers.push_back({{"mark", std::move(drawn)},
                        {"encoding", merged({{"y", y}, {"color", coloured(mark.word)}}, x)}});
    };
    for (const StateMark& mark : panel.marks) {
      switch (mark.kind) {
        case StateMark::Kind::wide_band:
        case StateMark::Kind::narrow_band:
          add(mark, {{"type", "bar"}, {"height", mark.kind == StateMark::Kind::wide_band ? 12 : 6}},
              ends(mark, "x", true));
          break;
        case StateMark::Kind::two_ends:
          for (const std::string_view end : {mark.low, mark.high}) {
            add(mark, {{"type", "tick"}, {"thickness", 2}, {"size", 18}, {"opacity", 1}},
                {{"x", value(end, true)}});
          }
          break;
        case StateMark::Kind::line:
          add(mark, {{"type", "point"}, {"filled", true}, {"size", 60}, {"opacity", 1}},
              ends(mark, "x", true));
          break;
      }
    }
    add_limit(layers, "x");
    // What the pointer is over: the whole of the widest band, or a square where it has no width.
    layers.push_back(
        {{"mark", {{"type", "rule"}, {"strokeWidth", 14}, {"strokeCap", "square"}, {"opacity", 0}}},
         {"encoding",
          merged({{"y", y}, {"tooltip", read}}, ends(panel.marks.front(), "x", true))}});
    Specification spec = {{"width", width_}, {"height", {{"step", row_height}}}};
    if (has_column(table_, "temperature")) {
      spec["transform"] = Specification::array();
      spec["transform"].push_back(without_number("temperature"));
    }
    spec["layer"] = std::move(layers);
    return spec;
  }

  const DataTable& table_;
  const StateChart& chart_;
  std::vector<std::string> names_;
  std::vector<std::string> told_{};
  WordColours words_{};
  std::optional<AxisReach> reach_{};
  int width_ = 0;
  bool legend_is_told_ = false;
};

}  // namespace

Specification state_chart(const DataTable& table, const StateChart& chart, const Colours& colours) {
  return StatePanels(table, chart, colours).specification();
}

}  // namespace lashband::report
