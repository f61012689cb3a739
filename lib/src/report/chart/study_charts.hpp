#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "frequency_charts.hpp"
#include "lashband/design/study.hpp"
#include "lashband/report/view.hpp"
#include "loop_charts.hpp"
#include "lost_motion_charts.hpp"
#include "torsion_charts.hpp"
#include "warmup_charts.hpp"

namespace lashband::report {

/// The charts of one mesh, and the tables that they are drawn from.
struct MeshCharts {
  std::size_t mesh = 0;  ///< its place in the design
  DataTable states{};
  std::vector<Chart> backlash{};
  std::vector<Chart> centre{};
  std::vector<Chart> teeth{};
  std::optional<DataTable> contributions{};
  std::vector<Chart> budget{};
};

/// All charts of a study, and the tables that they are drawn from.
struct StudyCharts {
  std::vector<MeshCharts> meshes{};  ///< those that the view shows
  std::optional<DataTable> joint_states{};
  std::vector<Chart> joint{};
  std::vector<HistoryCharts> histories{};
  LostMotionCharts lost_motion{};
  LoopsCharts loops{};
  FrequencyCharts frequencies{};
  TorsionCharts torsion{};
};

[[nodiscard]] StudyCharts study_charts(const design::Study& study, const View& view,
                                       const Colours& colours);

/// The budget of a mesh over all states; null where there is none.
[[nodiscard]] const design::Budget* envelope_budget(const design::Study& study, std::size_t mesh);

}  // namespace lashband::report
