#include "budget_charts.hpp"

#include <algorithm>
#include <string>
#include <string_view>

#include "lashband/units/plain_number.hpp"
#include "report/numbers.hpp"
#include "specification.hpp"

namespace lashband::report {
namespace {

// The chart shows this many; the table all.
constexpr std::size_t contributors_drawn = 12;

bool any_percentile_gain(const design::Budget& budget) {
  return std::any_of(budget.rows.begin(), budget.rows.end(),
                     [](const auto& row) { return row.gain_percentile.has_value(); });
}

std::string percent(double share) {
  return units::fixed_number(100.0 * share, 0) + " %";
}

std::string reading_of(const design::Budget& budget, const Measures& measures) {
  const Numbers numbers(measures.units());
  std::string sentence;
  double sum = 0.0;
  const std::size_t told = std::min<std::size_t>(3, budget.rows.size());
  for (std::size_t i = 0; i < told; ++i) {
    sum += budget.rows[i].share;
    sentence += (i == 0          ? ""
                 : i + 1 == told ? " and "
                                 : ", ") +
                named(budget.rows[i].contributor) + " (" + percent(budget.rows[i].share) + ")";
  }
  sentence += told == 1 ? " makes " : " make ";
  sentence += percent(sum) + " of the variance of the least backlash.";
  const auto gain = std::max_element(
      budget.rows.begin(), budget.rows.end(),
      [](const auto& a, const auto& b) { return a.gain_worst_case < b.gain_worst_case; });
  sentence += " Halving " + named(gain->contributor) + " narrows the worst case by " +
              numbers.gap_with_unit(gain->gain_worst_case) +
              ", more than halving any other, or as much.";
  sentence += " Temperature alone moves the nominal by " +
              numbers.gap_with_unit(budget.temperature) + "; in the worst case the band is " +
              numbers.gap_with_unit(budget.j_wt.high - budget.j_wt.low) + " wide over all states.";
  return sentence;
}

Specification bars(const DataTable& table, std::string_view name, const std::string& title,
                   const std::string& colour, const std::vector<std::string>& contributors,
                   int width, bool names) {
  Specification x = field(table, name);
  x["title"] = title;
  // Ticks few enough for a narrow panel.
  x["axis"] = {{"tickCount", 4}};
  Specification y = {
      {"field", "contributor"}, {"type", "nominal"}, {"sort", contributors}, {"title", nullptr}};
  y["axis"] = names ? Specification{{"labelLimit", label_width}} : Specification();
  return {{"width", width},
          {"height", {{"step", 20}}},
          {"mark", {{"type", "bar"}, {"color", colour}, {"height", 12}}},
          {"encoding",
           {{"x", x},
            {"y", y},
            {"tooltip", tooltip(table, {"contributor", "what", "tolerance", "range", "share",
                                        "gain_worst_case", "gain_percentile"})}}}};
}

}  // namespace

DataTable budget_table(const design::Budget& budget, std::size_t mesh, const Measures& measures) {
  const bool percentiles = any_percentile_gain(budget);
  const std::string number = std::to_string(mesh + 1);
  DataTable table;
  table.id = "data-budget-" + number;
  table.title = "contributions to the spread of " + Measures::text_cell(budget.mesh).shown +
                " over all states";
  table.file = "budget-" + number + ".csv";
  table.columns = {Measures::text("contributor", "contributor"),
                   Measures::text("what", "what it is"),
                   Measures::text("tolerance", "tolerance"),
                   measures.gap("range", "alone"),
                   Measures::share("share", "share of variance"),
                   measures.gap("gain_worst_case", "halving gains, worst case")};
  if (percentiles) {
    table.columns.push_back(measures.gap("gain_percentile", "halving gains, 99.73 %"));
  }
  for (const design::BudgetRow& row : budget.rows) {
    table.rows.push_back({Measures::text_cell(row.contributor), Measures::text_cell(row.what),
                          Measures::text_cell(row.tolerance), measures.gap_cell(row.range),
                          Measures::share_cell(row.share), measures.gap_cell(row.gain_worst_case)});
    if (percentiles) {
      table.rows.back().push_back(measures.gap_cell(row.gain_percentile));
    }
  }
  return table;
}

std::vector<Chart> budget_charts(const design::Budget& budget, std::size_t mesh,
                                 const DataTable& table, const Measures& measures,
                                 const Colours& colours) {
  if (budget.rows.empty()) {
    return {};
  }
  const bool percentiles = has_column(table, "gain_percentile");
  const std::string unit = column(table, "range").shown_unit;
  std::vector<std::string> drawn;
  for (std::size_t i = 0; i < std::min(contributors_drawn, table.rows.size()); ++i) {
    drawn.push_back(table.rows[i][0].shown);
  }
  const int panels = percentiles ? 3 : 2;
  const int width = (drawing_width - width_of_names(drawn)) / panels - 16;
  Specification side_by_side = Specification::array();
  side_by_side.push_back(
      bars(table, "share", "share of variance [%]", colours.of_series(0), drawn, width, true));
  side_by_side.push_back(bars(table, "gain_worst_case", "worst case gains [" + unit + "]",
                              colours.of_series(1), drawn, width, false));
  if (percentiles) {
    side_by_side.push_back(bars(table, "gain_percentile", "99.73 % gains [" + unit + "]",
                                colours.of_series(2), drawn, width, false));
  }

  Chart chart;
  chart.id = "budget-" + std::to_string(mesh + 1);
  chart.title = "What the spread of " + named(budget.mesh) + " is made of, and what halving gains";
  chart.reading = reading_of(budget, measures);
  chart.table = table.id;
  chart.spec = {{"transform", {{{"filter", {{"field", "contributor"}, {"oneOf", drawn}}}}}},
                {"hconcat", std::move(side_by_side)},
                {"spacing", 12}};
  if (table.rows.size() > contributors_drawn) {
    chart.reading += " Drawn are the " + std::to_string(contributors_drawn) + " greatest of " +
                     std::to_string(table.rows.size()) + "; the table has all.";
  }
  return {chart};
}

}  // namespace lashband::report
