// Prints results made by hand as one JSON array, for the schema of results to judge: no example
// has everything that a result can have.
#include <array>
#include <iostream>

#include "lashband/report/json.hpp"
#include "report/made_results.hpp"
#include "report/made_torsion.hpp"
#include "report/made_train.hpp"

namespace {

using namespace lashband;

constexpr const char* moment = "cold start up at 15.25 s";

// With a moment of a history wherever a state is named.
design::BacklashResult with_moments(const design::BacklashResult& plain) {
  design::BacklashResult result = test::with_history(plain, "cold start up", 3);
  result.requirements[0].state = moment;
  result.warnings[0].state = moment;
  result.failures[0].state = moment;
  for (design::MeshResult& mesh : result.meshes) {
    mesh.loose_rings[0].state = moment;
    mesh.states.back().failure = {1.0, 1.0, 1.0};
  }
  for (design::LoopResult& loop : result.loops) {
    for (design::LoopState& at : loop.states) {
      at.state = result.states.size() - 1;
    }
  }
  return result;
}

design::TrainResult with_moments(design::TrainResult result) {
  result.backlash = with_moments(result.backlash);
  for (design::LostMotionState& at : result.lost_motion[0].states) {
    at.state = result.backlash.states.size() - 1;
  }
  return result;
}

}  // namespace

int main() {
  design::CarriersResult comparison = test::full_comparison();
  comparison.rows[0].result = with_moments(comparison.rows[0].result);
  design::BudgetResult budget = test::full_budget();
  budget.backlash = with_moments(budget.backlash);
  budget.budgets[0].least_at = moment;
  budget.budgets[0].greatest_at = moment;
  budget.budgets[1].state = moment;
  design::FrequenciesResult range = test::bare_frequencies();
  range.range = true;
  range.speeds = {{"", test::made_rpm(600.0)}, {"", test::made_rpm(3000.0)}};
  report::View one_state;
  one_state.condition = "cold start";
  const std::array<std::string, 26> documents = {
      report::json(test::full_result(), {}),
      report::json(test::bare_result(), {}),
      report::json(test::full_result(), one_state),
      report::json(test::full_comparison(), {}),
      report::json(test::bare_comparison(), {}),
      report::json(test::full_budget(), {}),
      report::json(test::full_budget(), one_state),
      report::json(test::bare_budget(), {}),
      report::json(with_moments(test::full_result()), {}),
      report::json(comparison, {}),
      report::json(budget, {}),
      report::json(test::full_warmup(), {}),
      report::json(test::bare_warmup(), {}),
      report::json(with_moments(test::with_loops(test::full_result())), {}),
      report::json(test::with_loops(test::full_comparison()), {}),
      report::json(with_moments(test::full_train()), {}),
      report::json(test::bare_train(), {}),
      report::json(test::full_train(), one_state),
      report::json(test::full_frequencies(), {}),
      report::json(test::frequencies_over_orders(), one_state),
      report::json(range, {}),
      report::json(test::bare_frequencies(), {}),
      report::json(test::full_torsion(), {}),
      report::json(test::full_torsion(), one_state),
      report::json(test::endless_torsion(), {}),
      report::json(test::bare_torsion(), {})};
  const char* separator = "[";
  for (const std::string& document : documents) {
    std::cout << separator << document;
    separator = ",";
  }
  std::cout << "]\n";
}
