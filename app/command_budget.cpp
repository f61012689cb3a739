#include <algorithm>
#include <iterator>
#include <vector>

#include "analysis.hpp"
#include "commands.hpp"
#include "output.hpp"
#include "verdict.hpp"

namespace lashband::app {
namespace {

std::vector<design::State> states_with_budget(const design::BudgetResult& result) {
  std::vector<design::State> states;
  std::copy_if(result.backlash.states.begin(), result.backlash.states.end(),
               std::back_inserter(states), [&result](const design::State& state) {
                 return std::any_of(
                     result.budgets.begin(), result.budgets.end(),
                     [&state](const design::Budget& budget) { return budget.state == state.id; });
               });
  return states;
}

}  // namespace

int run(const BudgetCommand& command) {
  const AnalysisOptions& options = command.options;
  check_output(options.output);
  const design::Design design = design_for(options);
  // A table shows the envelope unless it is asked for a state, and the states take the most time.
  const design::BudgetExtent extent = options.format == Format::table && !options.view.condition
                                          ? design::BudgetExtent::envelope
                                          : design::BudgetExtent::every_state;
  const design::BudgetResult result = analysed(options, [&](const auto& run_options) {
    return design::budget(design, design.carrier_in_use, run_options, extent);
  });
  check_moment(states_with_budget(result), options);
  write_output(rendered(result, options), options.output);
  return exit_status(result, options);
}

}  // namespace lashband::app
