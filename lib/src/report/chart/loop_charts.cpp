#include "loop_charts.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <utility>

#include "report/judged_ends.hpp"
#include "report/loop_text.hpp"
#include "report/numbers.hpp"
#include "report/requirement_text.hpp"
#include "report/selection.hpp"
#include "state_chart.hpp"
#include "state_columns.hpp"

namespace lashband::report {
namespace {

using design::LoopResult;
using design::LoopState;

// Places of the states that a table shows: of the moments of a history, those of the least margins.
std::vector<std::size_t> shown_places(const design::BacklashResult& result,
                                      const LoopResult& loop) {
  struct Ends {
    std::size_t centred;
    std::size_t taken_up;
  };
  std::map<std::string, Ends> histories;
  const auto state_of = [&](std::size_t place) -> const design::State& {
    return result.states[loop.states[place].state];
  };
  for (std::size_t i = 0; i < loop.states.size(); ++i) {
    if (kind_of(state_of(i)) != StateKind::moment) {
      continue;
    }
    const LoopState& at = loop.states[i];
    Ends& ends = histories.emplace(state_of(i).condition, Ends{i, i}).first->second;
    if (judged_margin(at, loop.basis) < judged_margin(loop.states[ends.centred], loop.basis)) {
      ends.centred = i;
    }
    if (judged_taken_up(at, loop.basis) < judged_taken_up(loop.states[ends.taken_up], loop.basis)) {
      ends.taken_up = i;
    }
  }
  std::set<std::size_t> moments;
  for (const auto& [name, ends] : histories) {
    moments.insert({ends.centred, ends.taken_up});
  }
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < loop.states.size(); ++i) {
    if (kind_of(state_of(i)) != StateKind::moment || moments.contains(i)) {
      places.push_back(i);
    }
  }
  return places;
}

template <class Has>
bool any_state(const LoopResult& loop, const Has& has) {
  return std::any_of(loop.states.begin(), loop.states.end(), has);
}

bool has_float(const LoopResult& loop) {
  return any_state(loop, [](const LoopState& at) {
    return at.taken_up != at.margin || at.taken_up_low != at.margin_low;
  });
}

DataTable states_table(const design::Study& study, std::size_t place, const Measures& measures) {
  const design::BacklashResult& result = study.backlash();
  const LoopResult& loop = result.loops[place];
  const bool rss = any_state(loop, [](const auto& at) { return at.margin_rss_low.has_value(); });
  const bool bores = any_state(loop, [](const auto& at) { return at.bore_reserve.has_value(); });
  const StateColumns states(study.design.soak.has_value(), {&result}, measures);
  const std::string number = std::to_string(place + 1);
  DataTable table;
  table.id = "data-loop-" + number;
  table.title = "margin of " + loop_title(loop) + " at every state";
  table.file = "loop-" + number + ".csv";
  table.columns = states.columns("");
  table.columns.erase(table.columns.begin());  // one carrier throughout
  const auto add = [&](const char* name, const char* head) {
    table.columns.push_back(measures.gap(name, head));
  };
  add("margin", "float in its mid, nominal");
  add("margin_low", "float in its mid, worst case");
  if (rss) {
    add("margin_rss_low", "float in its mid, RSS");
  }
  add("taken_up", "float taken up, nominal");
  add("taken_up_low", "float taken up, worst case");
  if (rss) {
    add("taken_up_rss_low", "float taken up, RSS");
  }
  if (bores) {
    add("bore_reserve", "one bore off by");
    table.columns.push_back(Measures::text("bore", "bore of"));
  }
  for (const std::size_t at_place : shown_places(result, loop)) {
    const LoopState& at = loop.states[at_place];
    std::vector<Cell> cells = states.cells("", result.states[at.state]);
    cells.erase(cells.begin());
    cells.push_back(measures.gap_cell(at.margin));
    cells.push_back(measures.gap_cell(at.margin_low));
    if (rss) {
      cells.push_back(measures.gap_cell(at.margin_rss_low));
    }
    cells.push_back(measures.gap_cell(at.taken_up));
    cells.push_back(measures.gap_cell(at.taken_up_low));
    if (rss) {
      cells.push_back(measures.gap_cell(at.taken_up_rss_low));
    }
    if (bores) {
      cells.push_back(measures.gap_cell(at.bore_reserve));
      cells.push_back(at.bore_reserve && at.bore < loop.shafts.size()
                          ? Measures::text_cell(loop.shafts[at.bore])
                          : Cell{});
    }
    table.rows.push_back(std::move(cells));
  }
  return table;
}

std::string reading_of(const design::BacklashResult& result, const LoopResult& loop,
                       const Measures& measures) {
  const Numbers numbers(measures.units());
  const LoopState& tight = loop.states[loop.least.value_or(0)];
  const LoopState& binding = loop.states[nearest_to_binding(loop)];
  // A loop has no percentiles; the root sum square stands in for them.
  const design::Basis basis =
      loop.basis == design::Basis::percentile ? design::Basis::rss : loop.basis;
  const units::Length taken_up = judged_taken_up(binding, loop.basis);
  std::string text =
      "The margin is by how much the backlash j_bt of each of its meshes can shrink "
      "until the loop binds. Judged on " +
      basis_text(basis) + ", the least is " +
      numbers.gap_with_unit(judged_margin(tight, loop.basis)) + " at " +
      named(result.states[tight.state].id) + " with the shafts in the middle of their float";
  if (has_float(loop)) {
    text += ", and " + numbers.gap_with_unit(taken_up) + " at " +
            named(result.states[binding.state].id) + " with all float taken up";
  }
  text += taken_up < units::Length() ? ": the loop BINDS." : ": the loop does not bind.";
  return text;
}

StatePanel panel_of(const DataTable& table, bool taken_up, const Colours& colours) {
  using Kind = StateMark::Kind;
  const std::string_view nominal = taken_up ? "taken_up" : "margin";
  StatePanel panel;
  panel.marks.push_back({Kind::wide_band, "to the worst case", colours.worst_case,
                         taken_up ? "taken_up_low" : "margin_low", nominal});
  if (has_column(table, "margin_rss_low")) {
    panel.marks.push_back({Kind::narrow_band, "to the root sum square", colours.percentiles,
                           taken_up ? "taken_up_rss_low" : "margin_rss_low", nominal});
  }
  panel.marks.push_back({Kind::line, "nominal", colours.nominal, nominal, ""});
  return panel;
}

Chart states_chart(const design::BacklashResult& result, std::size_t place, const DataTable& table,
                   const Measures& measures, const Colours& colours) {
  const LoopResult& loop = result.loops[place];
  StateChart drawn;
  drawn.panels.push_back(panel_of(table, false, colours));
  if (has_float(loop)) {
    drawn.panels.front().title = "shafts in the middle of their float";
    drawn.panels.push_back(panel_of(table, true, colours));
    drawn.panels.back().title = "all float taken up";
  }
  drawn.axis = "margin in j_bt [" + column(table, "margin").shown_unit + "]";
  drawn.limit = 0.0;
  drawn.limit_word = "binds below";
  drawn.read = {"condition", "temperature",  "margin",           "margin_low",   "margin_rss_low",
                "taken_up",  "taken_up_low", "taken_up_rss_low", "bore_reserve", "bore"};
  Chart chart;
  chart.id = "loop-" + std::to_string(place + 1);
  chart.title = "Margin of the " + named(loop_title(loop));
  chart.table = table.id;
  chart.reading = reading_of(result, loop, measures);
  chart.spec = state_chart(table, drawn, colours);
  return chart;
}

}  // namespace

std::size_t nearest_to_binding(const LoopResult& loop) {
  const auto found = std::min_element(
      loop.states.begin(), loop.states.end(), [&loop](const auto& a, const auto& b) {
        return judged_taken_up(a, loop.basis) < judged_taken_up(b, loop.basis);
      });
  return static_cast<std::size_t>(found - loop.states.begin());
}

LoopsCharts loop_charts(const design::Study& study, const View& view, std::size_t most,
                        const Measures& measures, const Colours& colours) {
  const design::BacklashResult& result = study.backlash();
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < result.loops.size(); ++i) {
    if (shows_loop(view, result.loops[i]) && !result.loops[i].states.empty()) {
      places.push_back(i);
    }
  }
  const auto least = [&result](std::size_t i) {
    const LoopResult& loop = result.loops[i];
    return judged_margin(loop.states[loop.least.value_or(0)], loop.basis);
  };
  std::stable_sort(places.begin(), places.end(),
                   [&least](std::size_t a, std::size_t b) { return least(a) < least(b); });
  LoopsCharts charts;
  if (places.size() > most) {
    charts.left_out = places.size() - most;
    places.resize(most);
  }
  for (const std::size_t place : places) {
    LoopCharts one{place, states_table(study, place, measures), {}};
    one.charts.push_back(states_chart(result, place, one.states, measures, colours));
    charts.loops.push_back(std::move(one));
  }
  return charts;
}

}  // namespace lashband::report
