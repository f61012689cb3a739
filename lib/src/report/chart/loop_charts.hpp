#pragma once

#include <cstddef>
#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "lashband/design/study.hpp"
#include "lashband/report/view.hpp"

namespace lashband::report {

/// Margins of one loop over the states.
struct LoopCharts {
  std::size_t loop = 0;  ///< its place among the loops
  DataTable states{};
  std::vector<Chart> charts{};
};

struct LoopsCharts {
  std::vector<LoopCharts> loops{};
  std::size_t left_out = 0;  ///< loops with states that have no chart here
};

/// Charts of the tightest loops, by their least margin on the basis, the tightest first; `most` of
/// them.
[[nodiscard]] LoopsCharts loop_charts(const design::Study& study, const View& view,
                                      std::size_t most, const Measures& measures,
                                      const Colours& colours);

/// Place in the states of the loop where it is nearest to binding with all float taken up; the
/// number of states where there are none.
[[nodiscard]] std::size_t nearest_to_binding(const design::LoopResult& loop);

}  // namespace lashband::report
