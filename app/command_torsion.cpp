#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include "analysis.hpp"
#include "commands.hpp"
#include "errors.hpp"
#include "lashband/design/torsion.hpp"
#include "output.hpp"
#include "speed_option.hpp"
#include "suggestion.hpp"
#include "verdict.hpp"

namespace lashband::app {
namespace {

// Enough to see how orders are written; a crank alone may have hundreds.
constexpr std::size_t orders_listed = 12;

void check_model(const design::Design& design, const AnalysisOptions& options) {
  if (!design.torsion) {
    throw UsageError(options.file +
                     " has no torsional model: torsion needs the key \"torsion\", with inertias, "
                     "stiffness and what shakes the train; docs/torsion.md tells how");
  }
}

// A soak and a history have temperatures that --condition may name, but no torsional model.
void check_condition(const design::Design& design, const AnalysisOptions& options) {
  if (!options.view.condition) {
    return;
  }
  const std::string& asked = *options.view.condition;
  std::vector<std::string> names;
  names.reserve(design.conditions.size());
  std::string list;
  for (const design::Condition& condition : design.conditions) {
    names.push_back(condition.id);
    list += (list.empty() ? "\"" : ", \"") + condition.id + "\"";
  }
  if (std::find(names.begin(), names.end(), asked) == names.end()) {
    throw UsageError("--condition: the torsional model has no \"" + asked + "\"" +
                     suggestion(asked, names) +
                     (list.empty() ? " It is made at conditions, and the file has none"
                                   : " It is made at the conditions of the file alone: " + list));
  }
}

double order_of(const std::string& text) {
  double order = 0.0;
  const char* end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, order);
  if (error != std::errc() || stop != end || !(order > 0.0) || !std::isfinite(order)) {
    throw UsageError("--order: \"" + text +
                     "\" is no order; allowed is a number above 0, of turns of the reference "
                     "shaft, such as 2 or 12.5");
  }
  return order;
}

std::string number(double value) {
  constexpr int digits = 6;
  std::string text(32, ' ');
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value,
                                 std::chars_format::general, digits);
  text.resize(static_cast<std::size_t>(end.ptr - text.data()));
  return text;
}

// An order that nothing excites shows no crossing, which must not read as a train without any.
void check_order(const design::TorsionResult& result, const AnalysisOptions& options) {
  const auto shown = [&options](const design::ExcitationLine& line) {
    return report::shows_order(options.view, line.order);
  };
  if (!options.view.order || std::any_of(result.lines.begin(), result.lines.end(), shown)) {
    return;
  }
  std::vector<double> orders;
  orders.reserve(result.lines.size());
  for (const design::ExcitationLine& line : result.lines) {
    orders.push_back(line.order);
  }
  std::sort(orders.begin(), orders.end());
  orders.erase(std::unique(orders.begin(), orders.end()), orders.end());
  std::string list;
  for (std::size_t i = 0; i < std::min(orders_listed, orders.size()); ++i) {
    list += (list.empty() ? "" : ", ") + number(orders[i]);
  }
  if (orders.size() > orders_listed) {
    list += " and " + std::to_string(orders.size() - orders_listed) + " more";
  }
  throw UsageError("--order: nothing shakes the train at order " + number(*options.view.order) +
                   " of " + result.reference + "; excited are " + (list.empty() ? "none" : list));
}

}  // namespace

int run(const TorsionCommand& command) {
  AnalysisOptions options = command.options;
  check_output(options.output);
  if (command.order) {
    options.view.order = order_of(*command.order);
  }
  design::TorsionQuestion question;
  if (command.speed) {
    question.speed = speed_asked(*command.speed);
  }
  const design::Design design = design_for(options);
  check_model(design, options);
  check_condition(design, options);
  const design::TorsionResult result = analysed(options, [&](const auto& run_options) {
    return design::torsion_of(design, design.carrier_in_use, run_options, question);
  });
  check_order(result, options);
  write_output(rendered(result, options), options.output);
  return exit_status(result.all_requirements_met(), result.failures, options);
}

}  // namespace lashband::app
