#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "lashband/design/frequencies.hpp"
#include "lashband/report/view.hpp"

namespace lashband::report {

/// A speed of the reference, with all conditions that run at it.
struct SpeedShown {
  std::vector<std::string> conditions{};
  units::AngularVelocity speed{};
};

/// The lines of a train, and what is drawn of them.
struct FrequencyCharts {
  std::vector<SpeedShown> speeds{};  ///< the first few that differ, in their order
  std::size_t speeds_left_out = 0;
  DataTable lines{};
  std::size_t lines_left_out = 0;
  std::vector<Chart> charts{};
};

[[nodiscard]] FrequencyCharts frequency_charts(const design::FrequenciesResult& result,
                                               const View& view, const Colours& colours);

/// "1800 rpm".
[[nodiscard]] std::string rpm_text(units::AngularVelocity speed);

/// "hunting tooth".
[[nodiscard]] std::string kind_words(spectrum::LineKind kind);

/// "mesh A-B, 2 f_z", names shortened.
[[nodiscard]] std::string named_line(const spectrum::Line& line);

}  // namespace lashband::report
