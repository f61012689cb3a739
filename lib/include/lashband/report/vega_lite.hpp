#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lashband/design/study.hpp"
#include "lashband/report/view.hpp"

/// Charts of a study as data, for other tools: Vega-Lite, an open grammar of graphics in JSON.
namespace lashband::report {

/// A chart that a study has.
struct ChartName {
  std::string id;     ///< "soak-1"
  std::string title;  ///< what it shows
};

/// The charts of a study in the order of the report.
[[nodiscard]] std::vector<ChartName> chart_names(const design::Study& study, const View& view);

/// One chart as a Vega-Lite specification (version 6) that holds its data, its title and a
/// description; empty if the study has no chart of that id. Lengths are in px, colours are for a
/// light ground. Numbers are in the units of the view.
[[nodiscard]] std::optional<std::string> vega_lite(const design::Study& study, const View& view,
                                                   std::string_view chart);

}  // namespace lashband::report
