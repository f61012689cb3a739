#include "shown_states.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "judged_ends.hpp"
#include "selection.hpp"
#include "state_text.hpp"
#include "terminal_table.hpp"

namespace lashband::report {
namespace {

// A soak sweep of more points than this is thinned in tables.
constexpr std::size_t soak_points_shown = 9;

// As many moments of a history are enough for its shape.
constexpr std::size_t moments_shown = 8;

// Moments closer than this share of their history tell the same.
constexpr double rows_apart = 1e-3;

// How many of the points of a sweep to show: as many as allowed that are evenly spaced, unless that
// would leave very few.
std::size_t thinned(std::size_t points) {
  if (points <= soak_points_shown) {
    return points;
  }
  for (std::size_t shown = soak_points_shown; shown >= 5; --shown) {
    if ((points - 1) % (shown - 1) == 0) {
      return shown;
    }
  }
  return soak_points_shown;
}

double seconds(const design::BacklashResult& result, const StateCourse& course, std::size_t place) {
  const auto& time = result.states[course.at[place].state].time;
  return time ? time->value() : 0.0;
}

}  // namespace

StateCourse course_of(const design::MeshResult& mesh) {
  StateCourse course;
  course.at.reserve(mesh.states.size());
  for (const design::MeshState& at : mesh.states) {
    const auto& j = at.gap.j_wt;
    course.at.push_back({at.state, j.nominal.value(), judged_low(j, mesh.basis).value(),
                         judged_high(j, mesh.basis).value()});
  }
  course.least = mesh.least;
  course.greatest = mesh.greatest;
  course.judged_as = mesh.id;
  return course;
}

std::set<std::size_t> telling_places(const design::BacklashResult& result,
                                     const design::MeshResult& mesh,
                                     const std::vector<std::size_t>& moments,
                                     const std::vector<units::Time>& wanted, std::size_t count) {
  return telling_places(result, course_of(mesh), moments, wanted, count);
}

std::set<std::size_t> telling_places(const design::BacklashResult& result,
                                     const StateCourse& course,
                                     const std::vector<std::size_t>& moments,
                                     const std::vector<units::Time>& wanted, std::size_t count) {
  if (moments.size() <= count) {
    return {moments.begin(), moments.end()};
  }
  std::set<std::size_t> chosen{moments.front(), moments.back()};
  const auto low = [&course](std::size_t place) { return course.at[place].low; };
  const auto high = [&course](std::size_t place) { return course.at[place].high; };
  chosen.insert(*std::min_element(moments.begin(), moments.end(),
                                  [&low](auto a, auto b) { return low(a) < low(b); }));
  chosen.insert(*std::max_element(moments.begin(), moments.end(),
                                  [&high](auto a, auto b) { return high(a) < high(b); }));
  // Requirements that are tightest at almost the same time need one row between them.
  const double apart = rows_apart * (seconds(result, course, moments.back()) -
                                     seconds(result, course, moments.front()));
  for (const std::size_t place : moments) {
    const design::State& state = result.states[course.at[place].state];
    const bool is_near = std::any_of(chosen.begin(), chosen.end(), [&](std::size_t other) {
      return std::abs(seconds(result, course, other) - seconds(result, course, place)) < apart;
    });
    const bool judged =
        !is_near &&
        std::any_of(result.requirements.begin(), result.requirements.end(), [&](const auto& row) {
          return row.mesh == course.judged_as && row.state == state.id;
        });
    const bool asked =
        state.time && std::find(wanted.begin(), wanted.end(), *state.time) != wanted.end();
    if (judged || asked) {
      chosen.insert(place);
    }
  }
  while (chosen.size() < count) {
    std::size_t worst = moments.front();
    double most = -1.0;
    for (const std::size_t place : moments) {
      if (chosen.contains(place)) {
        continue;
      }
      const auto next = chosen.upper_bound(place);
      const std::size_t after = *next;
      const std::size_t before = *std::prev(next);
      const double from = seconds(result, course, before);
      const double way = seconds(result, course, after) - from;
      const double share = way > 0.0 ? (seconds(result, course, place) - from) / way : 0.0;
      const double line = std::lerp(course.at[before].nominal, course.at[after].nominal, share);
      const double missed = std::abs(course.at[place].nominal - line);
      if (missed > most) {
        most = missed;
        worst = place;
      }
    }
    chosen.insert(worst);
  }
  return chosen;
}

ShownStates::ShownStates(const design::BacklashResult& result, const design::MeshResult& mesh,
                         const View& view)
    : ShownStates(result, course_of(mesh), view) {}

ShownStates::ShownStates(const design::BacklashResult& result, const StateCourse& course,
                         const View& view) {
  std::vector<std::size_t> soak;
  std::vector<std::string> histories;
  std::map<std::string, std::vector<std::size_t>> moments;
  for (std::size_t i = 0; i < course.at.size(); ++i) {
    const design::State& state = result.states[course.at[i].state];
    if (!shows_state(view, state)) {
      continue;
    }
    if (state.time) {
      if (!moments.contains(state.condition)) {
        histories.push_back(state.condition);
      }
      moments[state.condition].push_back(i);
    } else if (state.condition == "soak") {
      soak.push_back(i);
    } else {
      shown_.insert(i);
    }
  }
  const std::size_t points = view.condition ? soak.size() : thinned(soak.size());
  for (std::size_t k = 0; k < points; ++k) {
    shown_.insert(soak[points < 2 ? 0 : k * (soak.size() - 1) / (points - 1)]);
  }
  for (const std::string& history : histories) {
    const std::vector<std::size_t>& all = moments[history];
    const std::set<std::size_t> some =
        telling_places(result, course, all, {}, view.condition ? all.size() : moments_shown);
    shown_.insert(some.begin(), some.end());
  }
  for (const auto& extreme : {course.least, course.greatest}) {
    if (extreme && shows_state(view, result.states[course.at[*extreme].state])) {
      shown_.insert(*extreme);
    }
  }
  soak_ = series_of("soak", soak);
  for (const std::string& history : histories) {
    histories_.push_back(series_of(history, moments[history]));
  }
}

ShownStates::Series ShownStates::series_of(const std::string& name,
                                           const std::vector<std::size_t>& places) const {
  Series series{name, places.size(), 0};
  for (const std::size_t place : places) {
    series.shown += shown_.count(place);
  }
  return series;
}

std::string ShownStates::what_was_left_out(const std::string& shows_all) const {
  const auto counts = [](const Series& series) {
    return std::to_string(series.shown) + " of " + std::to_string(series.all);
  };
  std::string out;
  if (soak_.shown != soak_.all) {
    out +=
        "  soak: " + counts(soak_) + " points shown; --condition soak, or CSV and JSON, have all\n";
  }
  for (const Series& history : histories_) {
    if (history.shown != history.all) {
      out += wrapped("  history " + printable(history.name) + ": " + counts(history) +
                         " moments shown; " + shows_all,
                     4);
    }
  }
  return out;
}

}  // namespace lashband::report
