// Prints results made by hand as one JSON array, for the schema of results to judge: no example
// has everything that a result can have.
#include <array>
#include <iostream>

#include "lashband/report/json.hpp"
#include "report/made_results.hpp"

int main() {
  using namespace lashband;
  report::View one_state;
  one_state.condition = "cold start";
  const std::array<std::string, 8> documents = {
      report::json(test::full_result(), {}),        report::json(test::bare_result(), {}),
      report::json(test::full_result(), one_state), report::json(test::full_comparison(), {}),
      report::json(test::bare_comparison(), {}),    report::json(test::full_budget(), {}),
      report::json(test::full_budget(), one_state), report::json(test::bare_budget(), {})};
  const char* separator = "[";
  for (const std::string& document : documents) {
    std::cout << separator << document;
    separator = ",";
  }
  std::cout << "]\n";
}
