#pragma once

#include <algorithm>
#include <iterator>
#include <string>
#include <vector>

#include "lashband/design/frequencies.hpp"
#include "lashband/design/train.hpp"
#include "lashband/report/view.hpp"

// What a view shows of the train as a whole.
namespace lashband::report {

/// Conditions alone have speeds; of a soak or a history nothing is shown.
[[nodiscard]] inline bool shows_condition(const View& view, const std::string& condition) {
  return !view.condition || *view.condition == condition;
}

/// Lost motion is shown with each mesh of its way.
[[nodiscard]] inline bool shows_way(const View& view, const design::LostMotion& motion) {
  return !view.mesh ||
         std::find(motion.way.begin(), motion.way.end(), *view.mesh) != motion.way.end();
}

/// The speeds of the conditions shown; one that was asked for is always shown.
[[nodiscard]] inline std::vector<design::NamedSpeed> shown_speeds(
    const design::FrequenciesResult& result, const View& view) {
  std::vector<design::NamedSpeed> shown;
  std::copy_if(result.speeds.begin(), result.speeds.end(), std::back_inserter(shown),
               [&view](const design::NamedSpeed& speed) {
                 return speed.condition.empty() || shows_condition(view, speed.condition);
               });
  return shown;
}

/// With a mesh chosen its lines are shown and those of no other mesh.
[[nodiscard]] inline bool shows_line(const View& view, const spectrum::Line& line) {
  switch (line.kind) {
    case spectrum::LineKind::mesh:
    case spectrum::LineKind::sideband:
    case spectrum::LineKind::hunting_tooth:
    case spectrum::LineKind::assembly_phase:
      return !view.mesh || *view.mesh == line.source;
    default:
      return true;
  }
}

}  // namespace lashband::report
