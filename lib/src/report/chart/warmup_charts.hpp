#pragma once

#include <vector>

#include "history_context.hpp"

namespace lashband::report {

/// Temperatures, the backlash and the centre distance of each mesh that the view shows, and the
/// joint over the time of every history of the study.
[[nodiscard]] std::vector<HistoryCharts> warmup_charts(const design::Study& study, const View& view,
                                                       const Colours& colours);

}  // namespace lashband::report
