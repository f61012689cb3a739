#pragma once

#include <algorithm>
#include <iostream>
#include <string>
#include <vector>

#include "exit_codes.hpp"
#include "invocation.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/study.hpp"
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

/// A report has every history moment by moment beside the states of the other analyses. What could
/// not be computed in several is told once.
[[nodiscard]] inline int exit_status(const design::Study& study, const AnalysisOptions& options) {
  std::vector<design::Failure> failures = study.budget.failures;
  std::vector<const std::vector<design::Failure>*> others = {&study.warmup.failures,
                                                             &study.train.failures};
  if (study.torsion) {
    others.push_back(&study.torsion->failures);
  }
  for (const std::vector<design::Failure>* more : others) {
    for (const design::Failure& failure : *more) {
      const bool told =
          std::any_of(failures.begin(), failures.end(), [&failure](const design::Failure& other) {
            return other.subject == failure.subject && other.state == failure.state &&
                   other.text == failure.text;
          });
      if (!told) {
        failures.push_back(failure);
      }
    }
  }
  return exit_status(study.budget.backlash.all_requirements_met() &&
                         study.warmup.all_requirements_met() &&
                         study.train.all_requirements_met() &&
                         (!study.torsion || study.torsion->all_requirements_met()),
                     failures, options);
}

/// A budget judges what it was made from.
[[nodiscard]] inline int exit_status(const design::BudgetResult& result,
                                     const AnalysisOptions& options) {
  return exit_status(result.backlash.all_requirements_met(), result.failures, options);
}

}  // namespace lashband::app
