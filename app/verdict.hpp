#pragma once

#include <iostream>
#include <string>

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

/// The exit status of a finished run; states that could not be computed are told on standard error.
[[nodiscard]] inline int exit_status(const design::BacklashResult& result,
                                     const AnalysisOptions& options) {
  if (!result.failures.empty()) {
    for (const design::Failure& failure : result.failures) {
      std::cerr << "lashband: " << failure.subject
                << (failure.state.empty() ? "" : " at " + failure.state) << ": " << failure.text
                << '\n';
    }
    return failed;
  }
  return result.all_requirements_met() || options.no_verdict ? done : not_met;
}

}  // namespace lashband::app
