#pragma once

#include <iostream>
#include <string>
#include <vector>

#include "exit_codes.hpp"
#include "invocation.hpp"
#include "lashband/design/results.hpp"
#include "lashband/report/csv.hpp"
#include "lashband/report/json.hpp"
#include "lashband/report/text.hpp"

namespace lashband::app {

/// The result in the format asked for.
template <class Result>
[[nodiscard]] std::string rendered(const Result& result, const AnalysisOptions& options) {
  switch (options.format) {
    case Format::json:
      return report::json(result, options.view);
    case Format::csv:
      return report::csv(result, options.view);
    case Format::table:
      break;
  }
  return report::text(result, options.view);
}

/// The exit status of a finished run; what could not be computed is told on standard error.
[[nodiscard]] inline int exit_status(bool all_met, const std::vector<design::Failure>& failures,
                                     const AnalysisOptions& options) {
  for (const design::Failure& failure : failures) {
    std::cerr << "lashband: " << failure.subject
              << (failure.state.empty() ? "" : " at " + failure.state) << ": " << failure.text
              << '\n';
  }
  if (!failures.empty()) {
    return failed;
  }
  return all_met || options.no_verdict ? done : not_met;
}

[[nodiscard]] inline int exit_status(const design::BacklashResult& result,
                                     const AnalysisOptions& options) {
  return exit_status(result.all_requirements_met(), result.failures, options);
}

/// A budget judges what it was made from.
[[nodiscard]] inline int exit_status(const design::BudgetResult& result,
                                     const AnalysisOptions& options) {
  return exit_status(result.backlash.all_requirements_met(), result.failures, options);
}

}  // namespace lashband::app
