#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "lashband/design/study.hpp"
#include "lashband/report/view.hpp"

namespace lashband::report {

/// Lost motion of one pair of shafts over the states.
struct PairCharts {
  std::size_t pair = 0;  ///< its place in TrainResult::lost_motion
  DataTable states{};
  std::vector<Chart> charts{};
};

struct LostMotionCharts {
  std::vector<PairCharts> pairs{};
  std::size_t left_out = 0;  ///< pairs that the view shows but that have no chart here
  std::optional<DataTable> shares{};
  std::vector<Chart> share_charts{};
};

/// Charts of the first pairs, those with a requirement before the others; `most` of them.
[[nodiscard]] LostMotionCharts lost_motion_charts(const design::Study& study, const View& view,
                                                  std::size_t most, const Measures& measures,
                                                  const Colours& colours);

/// "crank B, input held".
[[nodiscard]] std::string pair_name(const design::LostMotion& motion);

/// The requirement that a pair is judged by; null where there is none.
[[nodiscard]] const design::RequirementRow* lost_motion_requirement(
    const design::TrainResult& train, const design::LostMotion& motion);

/// The scale of a pair's angles.
[[nodiscard]] AngleScale angle_scale(const design::LostMotion& motion);

}  // namespace lashband::report
