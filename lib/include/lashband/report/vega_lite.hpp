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

/// The charts of a study in the order of the report. No chart has the id "all".
[[nodiscard]] std::vector<ChartName> chart_names(const design::Study& study, const View& view);

/// One chart as a Vega-Lite specification (version 6) that holds its data, its title and a
/// description; empty if the study has no chart of that id. Lengths are in px, colours are for a
/// light ground. Numbers are in the units of the view.
[[nodiscard]] std::optional<std::string> vega_lite(const design::Study& study, const View& view,
                                                   std::string_view chart);

/// Every chart of a study: one JSON object from the id of each to its specification, which is the
/// one that `vega_lite` gives, in the order of `chart_names`.
[[nodiscard]] std::string vega_lite_of_all(const design::Study& study, const View& view);

}  // namespace lashband::report
