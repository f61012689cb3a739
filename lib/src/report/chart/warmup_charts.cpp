#include "warmup_charts.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>

#include "joint_over_time.hpp"
#include "mesh_over_time.hpp"
#include "report/selection.hpp"
#include "temperatures_over_time.hpp"
#include "warmup_words.hpp"

namespace lashband::report {

std::vector<HistoryCharts> warmup_charts(const design::Study& study, const View& view,
                                         const Colours& colours) {
  std::vector<HistoryCharts> all;
  for (std::size_t i = 0; i < study.warmup.histories.size(); ++i) {
    const design::HistoryResult& history = study.warmup.histories[i];
    if (history.backlash.states.empty()) {
      continue;
    }
    // Those that could not be solved at all have no result, so that the places differ.
    const auto& given = study.design.histories;
    const auto place =
        std::find_if(given.begin(), given.end(),
                     [&history](const design::History& one) { return one.id == history.id; });
    const auto number =
        place == given.end() ? i + 1 : static_cast<std::size_t>(place - given.begin()) + 1;
    HistoryContext in{study,
                      history,
                      view,
                      colours,
                      std::to_string(number),
                      named(history.id),
                      time_scale_of(history),
                      Measures(view.units),
                      {}};
    in.times.reserve(history.backlash.states.size());
    for (const design::State& state : history.backlash.states) {
      in.times.push_back(state.time ? state.time->value() : 0.0);
    }
    HistoryCharts charts;
    add_temperatures(in, charts);
    for (std::size_t mesh = 0; mesh < history.backlash.meshes.size(); ++mesh) {
      if (shows_mesh(view, history.backlash.meshes[mesh].id)) {
        add_mesh(in, mesh, charts);
      }
    }
    add_joint(in, charts);
    charts.history = i;
    charts.number = number;
    all.push_back(std::move(charts));
  }
  return all;
}

}  // namespace lashband::report
