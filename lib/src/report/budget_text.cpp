#include <algorithm>
#include <optional>
#include <string>

#include "lashband/report/text.hpp"
#include "lashband/units/plain_number.hpp"
#include "message_text.hpp"
#include "numbers.hpp"
#include "requirement_text.hpp"
#include "selection.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
namespace {

using units::Length;

std::string from_to(const std::string& what, Length low, Length high, const Numbers& numbers) {
  return what + " " + numbers.gap(low) + " to " + numbers.gap(high) + " " + numbers.gap_unit();
}

// The band and, beside each other, what temperature and what the tolerances do.
std::string head_lines(const design::Budget& budget, const Numbers& numbers) {
  const bool envelope = is_envelope(budget);
  const auto& j = budget.j_wt;
  std::string out =
      wrapped("mesh " + printable(budget.mesh) + ": what its backlash j_wt is made of, " +
                  (envelope ? "over all states" : "at " + printable(budget.state)),
              2);
  std::string ends = "  " + from_to("worst case", j.low, j.high, numbers);
  if (j.rss_low && j.rss_high) {
    ends += ", " + from_to("RSS", *j.rss_low, *j.rss_high, numbers);
  }
  if (j.least && j.greatest) {
    ends += ", " + from_to("99.73 %", j.least->low, j.greatest->high, numbers);
  }
  if (envelope && !budget.least_at.empty() && !budget.greatest_at.empty()) {
    ends += "; least at " + printable(budget.least_at) + ", greatest at " +
            printable(budget.greatest_at);
  }
  out += wrapped(ends, 2);

  // Over the envelope the tolerances have what temperature leaves of the way between the ends.
  const Length tolerances = envelope ? j.high - j.low - budget.temperature : j.high - j.low;
  out += "  temperature moves the nominal by " + numbers.gap(budget.temperature) + " " +
         numbers.gap_unit() + (envelope ? "; " : " from the reference temperature;\n  ") +
         "tolerances spread it by " + numbers.gap(tolerances) + " " + numbers.gap_unit() + "\n";
  return out;
}

std::string rows_of(const design::Budget& budget, const Numbers& numbers) {
  if (budget.rows.empty()) {
    return "  no tolerance contributes\n";
  }
  const bool percentile = std::any_of(budget.rows.begin(), budget.rows.end(), [](const auto& row) {
    return row.gain_percentile.has_value();
  });
  std::string out = "  " + left("", 28) + " " + left("", 18) + right("alone", 8) +
                    right("share", 7) + right("halving gains", 16) + "\n";
  out += "  " + left("contributor", 28) + " " + left("tolerance", 18) +
         right(numbers.gap_unit(), 8) + right("%", 7) + right("worst", percentile ? 8 : 16) +
         (percentile ? right("99.73 %", 8) : "") + "\n";
  for (const design::BudgetRow& row : budget.rows) {
    out += "  " + left(printable(row.contributor), 28) + " " + left(printable(row.tolerance), 18) +
           right(numbers.gap(row.range), 8) + right(units::fixed_number(100.0 * row.share, 1), 7) +
           right(numbers.gap(row.gain_worst_case), percentile ? 8 : 16) +
           (percentile ? right(numbers.gap(row.gain_percentile), 8) : "") + "\n";
  }
  return out;
}

}  // namespace

std::string text(const design::BudgetResult& result, const View& view) {
  const Numbers numbers(view.units);
  std::string out = title_lines(result.input);
  out += wrapped("carrier: " + printable(result.carrier), 2);
  out += wrapped(
      std::string("alone: how wide the band is where only this tolerance varies; share: of the "
                  "variance of a unit's least backlash; ") +
          (view.condition ? "" : "both at the state of the least backlash; ") +
          "halving gains: how much narrower the band becomes with half the tolerance",
      0);
  bool any = false;
  for (const design::Budget& budget : result.budgets) {
    if (!shows_mesh(view, budget.mesh)) {
      continue;
    }
    // Without a condition asked for, the states would bury the envelope.
    if (view.condition ? shows_budget(view, result, budget) : is_envelope(budget)) {
      out += "\n" + head_lines(budget, numbers) + rows_of(budget, numbers);
    }
    any = true;
  }
  // Whether or not the states were worked out for a table that does not show them.
  if (any && !view.condition) {
    out += "\n" + wrapped("--condition ID shows one state; CSV and JSON have all", 0);
  }
  const std::string sampling = sampling_line(result.backlash.sampling);
  out += sampling.empty() ? "" : "\n" + sampling;
  const std::string count = requirement_count(result.backlash.requirements);
  if (!result.backlash.all_requirements_met()) {
    out += "\n" + wrapped(count.substr(0, count.size() - 1) + "; lashband backlash lists them", 0);
  }
  out += failure_lines(result.failures);
  out += warning_lines(result.warnings);
  return out;
}

}  // namespace lashband::report
