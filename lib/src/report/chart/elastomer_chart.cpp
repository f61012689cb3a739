#include "elastomer_chart.hpp"

#include <algorithm>
#include <numeric>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "report/train_selection.hpp"
#include "specification.hpp"
#include "torsion_names.hpp"

namespace lashband::report {
namespace {

using design::ElastomerState;
using design::TorsionCondition;
using design::TorsionResult;

constexpr int gap = 18;
constexpr int row_height = 26;

AngleScale twist_scale(const TorsionResult& result) {
  units::Angle greatest;
  for (const TorsionCondition& condition : result.conditions) {
    for (const ElastomerState& state : condition.elastomers) {
      greatest = std::max(greatest, state.greatest_twist);
    }
  }
  return AngleScale(greatest);
}

DataTable elastomers_table(const TorsionResult& result, const View& view,
                           const Measures& measures) {
  const TorqueMeasures torques(measures.units());
  const AngleScale scale = twist_scale(result);
  DataTable table;
  table.id = "data-torsion-elastomers";
  table.title = "elastomers at every condition";
  table.file = "torsion-elastomers.csv";
  table.columns = {Measures::text("elastomer", "elastomer"),
                   Measures::text("condition", "condition"),
                   Measures::speed("speed", "speed of " + named(result.reference)),
                   measures.level("temperature", "temperature"),
                   Measures::text("status", "which is"),
                   torques.stiffness("stiffness", "stiffness"),
                   Measures::ratio("loss_factor", "loss factor"),
                   Measures::angle("mean_twist", "mean twist", scale),
                   Measures::angle("greatest_twist", "greatest twist", scale),
                   Measures::share("shear_strain", "shear strain"),
                   TorqueMeasures::power("heat", "heat"),
                   {"heat_per_cycle", "heat per full cycle", true, "J", "J", 1.0, 0.0}};
  for (const TorsionCondition& condition : result.conditions) {
    if (!shows_condition(view, condition.id)) {
      continue;
    }
    for (const ElastomerState& state : condition.elastomers) {
      table.rows.push_back(
          {Measures::text_cell(result.elements[state.element].id),
           Measures::text_cell(condition.id),
           condition.speed.value() > 0.0 ? Measures::speed_cell(condition.speed) : Cell{},
           measures.level_cell(state.temperature),
           {status_words(state.status), {}},
           torques.stiffness_cell(state.stiffness.value()),
           Measures::ratio_cell(state.loss_factor),
           Measures::angle_cell(state.mean_twist, scale),
           Measures::angle_cell(state.greatest_twist, scale),
           state.shear_strain ? Measures::share_cell(*state.shear_strain) : Cell{},
           TorqueMeasures::power_cell(state.heat),
           five_digits(state.heat_per_cycle.value())});
    }
  }
  return table;
}

// Places of the rows of one elastomer with the least and the greatest number of a column.
struct Ends {
  std::size_t least = 0;
  std::size_t greatest = 0;
};

Ends ends_of(const DataTable& table, std::string_view name, const std::string& elastomer) {
  const std::size_t place = place_of(table, name);
  std::vector<std::size_t> rows(table.rows.size());
  std::iota(rows.begin(), rows.end(), std::size_t{0});
  std::erase_if(rows, [&](std::size_t row) { return table.rows[row][0].shown != elastomer; });
  const auto [least, greatest] =
      std::minmax_element(rows.begin(), rows.end(), [&](std::size_t one, std::size_t two) {
        return table.rows[one][place].value < table.rows[two][place].value;
      });
  return {*least, *greatest};
}

std::string reading_of(const DataTable& table) {
  std::string text;
  const auto add_range = [&](std::string_view name, std::string_view what,
                             const std::string& elastomer) {
    const Column& measure = column(table, name);
    const std::size_t place = place_of(table, name);
    const Ends ends = ends_of(table, name, elastomer);
    const std::vector<Cell>& least = table.rows[ends.least];
    const std::vector<Cell>& greatest = table.rows[ends.greatest];
    const auto end = [&](const std::vector<Cell>& cells) {
      return cells[place].shown + " " + measure.shown_unit;
    };
    text.append(what).append(end(least));
    if (greatest[place].shown != least[place].shown) {
      text.append(" (").append(named(least[1].shown)).append(") to ");
      text.append(end(greatest)).append(" (");
      text.append(named(greatest[1].shown)).append(")");
    }
  };
  for (const std::string& elastomer : distinct(table, "elastomer")) {
    text.append(text.empty() ? "" : " ").append("The elastomer of ").append(named(elastomer));
    add_range("temperature", " is at ", elastomer);
    add_range("stiffness", "; its stiffness is ", elastomer);
    const std::size_t twist = place_of(table, "greatest_twist");
    const std::vector<Cell>& most =
        table.rows[ends_of(table, "greatest_twist", elastomer).greatest];
    text.append("; it twists most, by ").append(most[twist].shown).append(" ");
    text.append(table.columns[twist].shown_unit).append(", at ").append(named(most[1].shown));
    text.append(".");
  }
  const std::size_t status = place_of(table, "status");
  const auto unsettled =
      std::count_if(table.rows.begin(), table.rows.end(), [status](const auto& cells) {
        return cells[status].shown != status_words(ElastomerState::Status::given) &&
               cells[status].shown != status_words(ElastomerState::Status::settled);
      });
  if (unsettled > 0) {
    text += " " + std::to_string(unsettled) + " of " + std::to_string(table.rows.size()) +
            " temperatures are not those of a steady state: see the table.";
  }
  return text;
}

Specification specification_of(const DataTable& table, const Colours& colours) {
  const std::vector<std::string> conditions = distinct(table, "condition");
  const std::vector<std::string> elastomers = distinct(table, "elastomer");
  Specification palette = Specification::array();
  Specification shapes = Specification::array();
  for (std::size_t i = 0; i < elastomers.size(); ++i) {
    palette.push_back(colours.of_series(i));
    shapes.push_back(shape_of_series(i));
  }
  const std::vector<std::string_view> values = {"temperature", "stiffness", "greatest_twist"};
  const int panels_drawn = static_cast<int>(values.size());
  const int width =
      (drawing_width - width_of_names(conditions) - (panels_drawn - 1) * gap - 24) / panels_drawn;
  Specification panels = Specification::array();
  for (const std::string_view value : values) {
    const bool first = panels.empty();
    Specification y = {{"field", "condition"},
                       {"type", "nominal"},
                       {"sort", conditions},
                       {"title", nullptr},
                       {"axis", {{"grid", true}, {"labelLimit", label_width}}}};
    if (!first) {
      y["axis"]["labels"] = false;
      y["axis"]["ticks"] = false;
    }
    Specification x = value_axis(table, value, column(table, value).head_with_unit());
    x["axis"] = {{"tickCount", 3},
                 {"labelSeparation", 6},
                 {"labelOverlap", true},
                 {"labelFlush", true},
                 {"titleLimit", width}};
    x["scale"]["padding"] = 10;
    Specification encoding = {{"x", std::move(x)}, {"y", std::move(y)}};
    // The first panel has the scales and the legend for all.
    for (const char* channel : {"color", "shape"}) {
      encoding[channel] = {{"field", "elastomer"}, {"type", "nominal"}, {"sort", elastomers}};
      if (first) {
        encoding[channel]["scale"] = {
            {"domain", elastomers},
            {"range", std::string_view(channel) == "color" ? palette : shapes}};
      }
      if (elastomers.size() < 2) {
        encoding[channel]["legend"] = nullptr;
      } else if (first) {
        encoding[channel]["legend"] = {{"title", nullptr}};
      }
    }
    encoding["tooltip"] =
        scaled_tooltip(table, {"elastomer", "condition", "speed", "temperature", "stiffness",
                               "mean_twist", "greatest_twist", "heat"});
    panels.push_back(
        {{"width", width},
         {"height", {{"step", row_height}}},
         {"mark", {{"type", "point"}, {"size", 80}, {"strokeWidth", 2}, {"opacity", 1}}},
         {"encoding", std::move(encoding)}});
  }
  return {{"hconcat", std::move(panels)}, {"spacing", gap}};
}

}  // namespace

const char* status_words(ElastomerState::Status status) {
  switch (status) {
    case ElastomerState::Status::given:
      return "given";
    case ElastomerState::Status::settled:
      return "settled by its own heat";
    case ElastomerState::Status::above_range:
      return "above the range of its material";
    case ElastomerState::Status::runs_away:
      return "rising without end";
    case ElastomerState::Status::not_found:
      break;
  }
  return "not found";
}

std::optional<DrawnTable> elastomer_chart(const TorsionResult& result, const View& view,
                                          const Measures& measures, const Colours& colours) {
  DrawnTable drawn;
  drawn.table = elastomers_table(result, view, measures);
  if (drawn.table.rows.empty()) {
    return std::nullopt;
  }
  Chart chart;
  chart.id = "torsion-elastomers";
  chart.title = "Elastomers at the conditions";
  chart.table = drawn.table.id;
  chart.reading = reading_of(drawn.table);
  chart.spec = specification_of(drawn.table, colours);
  drawn.charts.push_back(std::move(chart));
  return drawn;
}

}  // namespace lashband::report
