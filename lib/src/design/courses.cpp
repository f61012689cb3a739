#include "courses.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "lashband/error.hpp"
#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"
#include "network_operation.hpp"

namespace lashband::design {
namespace {

using units::Time;

std::vector<Time> as_times(const std::vector<double>& seconds) {
  std::vector<Time> times;
  times.reserve(seconds.size());
  for (const double second : seconds) {
    times.push_back(Time::from_value(second));
  }
  return times;
}

// Linear between the two rows around a time.
thermal::TemperatureState between_rows(const TemperatureRecord& record, double time) {
  const auto after = std::upper_bound(record.times.begin(), record.times.end(), time,
                                      [](double t, Time row) { return t < row.value(); });
  const auto last = static_cast<std::size_t>(after - record.times.begin());
  if (last == 0) {
    return record.rows.front();
  }
  if (last == record.times.size()) {
    return record.rows.back();
  }
  const double from = record.times[last - 1].value();
  const double share = (time - from) / (record.times[last].value() - from);
  const std::vector<units::Temperature>& low = record.rows[last - 1].by_zone();
  const std::vector<units::Temperature>& high = record.rows[last].by_zone();
  std::vector<units::Temperature> levels;
  levels.reserve(low.size());
  for (std::size_t zone = 0; zone < low.size(); ++zone) {
    levels.push_back(units::celsius(std::lerp(low[zone].value(), high[zone].value(), share)));
  }
  return thermal::TemperatureState(std::move(levels));
}

// Whether the oil is outside the two points that its viscosity is known at, and where to.
void note_viscosity(const Design& design, const Course& course, std::vector<Warning>& warnings) {
  const std::optional<Oil>& oil = design.thermal_network->oil;
  const bool is_felt =
      std::any_of(design.thermal_network->sources.begin(), design.thermal_network->sources.end(),
                  [](const HeatSource& source) {
                    const auto* mesh = std::get_if<MeshLoss>(&source.kind);
                    return std::holds_alternative<BearingLoss>(source.kind) ||
                           (mesh != nullptr && !mesh->friction);
                  });
  if (!oil || !is_felt) {
    return;
  }
  const auto levels = course.solution()->at(course.solution()->kinks());
  units::Temperature low = levels.front()[oil->body];
  units::Temperature high = low;
  for (const auto& level : levels) {
    low = std::min(low, level[oil->body]);
    high = std::max(high, level[oil->body]);
  }
  const materials::TemperatureRange& known = oil->viscosity.range();
  if (low < known.low || high > known.high) {
    warnings.push_back({"viscosity", "", "history " + course.history().id, "",
                        "the oil goes from " + units::fixed_number(low.value(), 1) + " to " +
                            units::fixed_number(high.value(), 1) +
                            " degC; its viscosity is known from " + units::format(known.low) +
                            " to " + units::format(known.high) +
                            " and extrapolated beyond, which near the pour point is not physical"});
  }
}

void note_floating(const Design& design, std::vector<Warning>& warnings) {
  for (const std::vector<std::size_t>& group : design.thermal_network->network.floating_groups()) {
    std::string names;
    for (const std::size_t body : group) {
      names += (names.empty() ? "" : ", ") + design.thermal_network->network.bodies()[body].id;
    }
    warnings.push_back(
        {"floating network", "", "thermal network", "",
         "no heat of " + names + " can reach the surroundings: whatever heat goes in there stays"});
  }
}

}  // namespace

Course::Course(const Design& design, std::size_t history, const RunOptions& options)
    : design_(&design), index_(history) {
  if (const TemperatureRecord* rows = record()) {
    corners_.reserve(rows->times.size());
    for (const Time& time : rows->times) {
      corners_.push_back(time.value());
    }
    return;
  }
  const auto& run = std::get<NetworkRun>(this->history().course);
  operation_ = network_operation(design, run);
  heat::SolveOptions solving;
  solving.accuracy = run.accuracy;
  solving.extrapolation = options.extrapolation;
  solution_ = heat::solve(design.thermal_network->network, operation_, solving);
  corners_.reserve(solution_->kinks().size());
  for (const Time& time : solution_->kinks()) {
    corners_.push_back(time.value());
  }
}

const TemperatureRecord* Course::record() const {
  return std::get_if<TemperatureRecord>(&history().course);
}

double Course::start() const {
  return record() != nullptr ? record()->times.front().value() : 0.0;
}

double Course::end() const {
  return record() != nullptr ? record()->times.back().value() : solution_->end().value();
}

std::vector<thermal::TemperatureState> Course::at(const std::vector<double>& times) const {
  std::vector<thermal::TemperatureState> states;
  states.reserve(times.size());
  if (const TemperatureRecord* rows = record()) {
    for (const double time : times) {
      states.push_back(between_rows(*rows, time));
    }
    return states;
  }
  const std::vector<std::vector<units::Temperature>> bodies = solution_->at(as_times(times));
  const auto& run = std::get<NetworkRun>(history().course);
  for (std::size_t i = 0; i < times.size(); ++i) {
    std::vector<units::Temperature> levels;
    levels.reserve(design_->zones.size());
    for (const std::optional<heat::Place>& place : design_->thermal_network->zones) {
      if (!place) {
        // Nothing is in the zone, so its temperature is never asked for.
        levels.push_back(design_->reference_temperature);
      } else if (place->kind == heat::Place::Kind::body) {
        levels.push_back(bodies[i][place->index]);
      } else {
        levels.push_back(
            run.boundaries[place->index].at(Time::from_value(time_in_cycle(times[i]))));
      }
    }
    states.emplace_back(std::move(levels));
  }
  return states;
}

double Course::time_in_cycle(double time) const {
  const auto* run = std::get_if<NetworkRun>(&history().course);
  if (run == nullptr || run->cycles < 2) {
    return time;
  }
  const double cycle = run->duration.value();
  return time >= end() ? cycle : std::fmod(time, cycle);
}

thermal::TemperatureState Course::at(double time) const {
  return at(std::vector<double>{time}).front();
}

Courses courses_of(const Design& design, const RunOptions& options) {
  Courses result;
  bool has_network = false;
  for (std::size_t i = 0; i < design.histories.size(); ++i) {
    const std::string subject = "history " + design.histories[i].id;
    try {
      Course course(design, i, options);
      if (const heat::Solution* solution = course.solution()) {
        has_network = true;
        if (solution->outcome() != heat::Outcome::done) {
          result.failures.push_back({subject, "", solution->message()});
        }
        if (!(solution->end().value() > 0.0)) {
          continue;
        }
        note_viscosity(design, course, result.warnings);
      }
      result.courses.push_back(std::move(course));
    } catch (const Error& error) {
      result.failures.push_back({subject, "", error.what()});
    }
  }
  if (has_network) {
    note_floating(design, result.warnings);
  }
  return result;
}

std::string moment_name(const std::string& history, double time_in_seconds) {
  // To a millisecond, the resolution of the moments.
  std::string number = units::fixed_number(time_in_seconds, 3);
  number.erase(number.find_last_not_of('0') + 1);
  if (number.back() == '.') {
    number.pop_back();
  }
  return history + " at " + number + " s";
}

}  // namespace lashband::design
