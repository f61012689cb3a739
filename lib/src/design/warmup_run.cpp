#include "warmup_run.hpp"

#include <algorithm>
#include <utility>

#include "backlash_run.hpp"
#include "judgement.hpp"
#include "lashband/error.hpp"
#include "moments.hpp"

namespace lashband::design {
namespace {

using units::Time;

std::vector<Time> times_of(const std::vector<State>& states) {
  std::vector<Time> times;
  times.reserve(states.size());
  for (const State& state : states) {
    times.push_back(*state.time);
  }
  return times;
}

void set_places(const Design& design, const Course& course, HistoryResult& result) {
  const heat::Network& network = design.thermal_network->network;
  const auto& run = std::get<NetworkRun>(course.history().course);
  const std::vector<Time> times = times_of(result.backlash.states);
  const std::vector<std::vector<units::Temperature>> levels = course.solution()->at(times);
  for (std::size_t body = 0; body < network.bodies().size(); ++body) {
    PlaceOverTime place{network.bodies()[body].id, false, {}};
    place.temperature.reserve(levels.size());
    for (const std::vector<units::Temperature>& at : levels) {
      place.temperature.push_back(at[body]);
    }
    result.places.push_back(std::move(place));
  }
  for (std::size_t boundary = 0; boundary < network.boundaries().size(); ++boundary) {
    PlaceOverTime place{network.boundaries()[boundary].id, true, {}};
    place.temperature.reserve(times.size());
    for (const Time& time : times) {
      place.temperature.push_back(
          run.boundaries[boundary].at(Time::from_value(course.time_in_cycle(time.value()))));
    }
    result.places.push_back(std::move(place));
  }
}

HeatAccount account_of(const Design& design, const Course& course) {
  const heat::Network& network = design.thermal_network->network;
  const heat::EnergyAccount& energy = course.solution()->energy();
  HeatAccount account;
  account.residual = energy.residual;
  account.turnover = energy.turnover;
  const auto add = [&account](HeatRow::Kind kind, const auto& entries,
                              const std::vector<units::Energy>& heat) {
    for (std::size_t i = 0; i < heat.size(); ++i) {
      account.rows.push_back({kind, entries[i].id, heat[i]});
    }
  };
  add(HeatRow::Kind::stored, network.bodies(), energy.stored);
  add(HeatRow::Kind::input, course.operation().inputs, energy.inputs);
  add(HeatRow::Kind::input, course.operation().dependent_inputs, energy.dependent);
  add(HeatRow::Kind::boundary, network.boundaries(), energy.boundaries);
  add(HeatRow::Kind::stream, network.streams(), energy.streams);
  return account;
}

void set_requirements(const Design& design, std::size_t carrier, const RunOptions& options,
                      const Course& course, HistoryResult& result) {
  // A mesh without states has no rows either; the failures say why.
  for (auto& of_mesh : violated_spans(design, carrier, options, course, result.backlash)) {
    for (std::vector<TimeSpan>& violated : of_mesh) {
      RequirementOverTime over_time;
      over_time.row = result.backlash.requirements.at(result.requirements.size());
      const auto state =
          std::find_if(result.backlash.states.begin(), result.backlash.states.end(),
                       [&over_time](const State& at) { return at.id == over_time.row.state; });
      over_time.at = *state->time;
      over_time.violated = std::move(violated);
      if (over_time.violated.empty()) {
        over_time.holds_from = result.start;
      } else if (over_time.violated.back().to < result.end) {
        over_time.holds_from = over_time.violated.back().to;
      }
      result.requirements.push_back(std::move(over_time));
    }
  }
}

HistoryResult history_result(const Design& design, std::size_t carrier, const RunOptions& options,
                             const Course& course) {
  HistoryResult result;
  result.id = course.history().id;
  result.start = Time::from_value(course.start());
  result.end = Time::from_value(course.end());
  result.backlash =
      backlash_at(design, carrier, options, all_moments(design, carrier, options, course));
  set_requirements(design, carrier, options, course, result);
  if (const heat::Solution* solution = course.solution()) {
    result.source = HistoryResult::Source::network;
    result.cycles = solution->cycles();
    result.is_periodic = solution->outcome() == heat::Outcome::done &&
                         std::get<NetworkRun>(course.history().course).until_periodic.has_value();
    set_places(design, course, result);
    result.heat = account_of(design, course);
  } else {
    result.file = std::get<TemperatureRecord>(course.history().course).file;
  }
  return result;
}

// What every history found is said once.
void add_warnings(std::vector<Warning>& all, const std::vector<Warning>& more) {
  for (const Warning& warning : more) {
    const bool said = std::any_of(all.begin(), all.end(), [&warning](const Warning& other) {
      return other.kind == warning.kind && other.subject == warning.subject &&
             other.state == warning.state && other.text == warning.text;
    });
    if (!said) {
      all.push_back(warning);
    }
  }
}

}  // namespace

WarmupResult warmup(const Design& design, std::size_t carrier, const RunOptions& options,
                    const Courses& courses) {
  WarmupResult result;
  result.input = {design.title, design.digest};
  result.carrier = design.carriers.at(carrier).id;
  result.zones = design.zones;
  result.failures = courses.failures;
  result.warnings = courses.warnings;
  for (const Course& course : courses.courses) {
    try {
      HistoryResult history = history_result(design, carrier, options, course);
      add_warnings(result.warnings, history.backlash.warnings);
      result.failures.insert(result.failures.end(), history.backlash.failures.begin(),
                             history.backlash.failures.end());
      result.histories.push_back(std::move(history));
    } catch (const Error& error) {
      result.failures.push_back({"history " + course.history().id, "", error.what()});
    }
  }
  return result;
}

WarmupResult warmup(const Design& design, std::size_t carrier, const RunOptions& options) {
  return warmup(design, carrier, options, courses_of(design, options));
}

bool WarmupResult::all_requirements_met() const {
  return std::all_of(histories.begin(), histories.end(), [](const HistoryResult& history) {
    return history.backlash.all_requirements_met();
  });
}

}  // namespace lashband::design
