#include "lashband/heat/transient.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <utility>
#include <variant>

#include "heat/exits.hpp"
#include "heat/message.hpp"
#include "heat/solution_parts.hpp"
#include "lashband/materials/material.hpp"

namespace lashband::heat {
namespace {

using kernel::Flows;
using kernel::HeatContent;
using kernel::Interval;
using kernel::Line;
using kernel::LinearFlows;
using kernel::Matrix;
using kernel::Motion;
using kernel::named;
using kernel::number_text;
using kernel::require;
using kernel::SingleStretch;
using kernel::Stretch;
using kernel::Sum;
using kernel::Vector;
using kernel::Watch;
using Index = Eigen::Index;

Index at_index(std::size_t i) {
  return static_cast<Index>(i);
}

void check_body(const std::string& what, std::size_t body, const Network& network) {
  require(body < network.bodies().size(), what, "there is no body at that place");
}

void check_throttles(const Network& network, const std::vector<Throttle>& throttles) {
  std::vector<bool> conductance(network.conductances().size(), false);
  std::vector<bool> stream(network.streams().size(), false);
  for (const Throttle& throttle : throttles) {
    const bool of_stream = throttle.of == Throttle::Of::stream;
    std::vector<bool>& seen = of_stream ? stream : conductance;
    const char* kind = of_stream ? "stream" : "conductance";
    require(throttle.index < seen.size(), "throttle",
            of_stream ? "there is no stream at that place" : "there is no conductance there");
    const std::string what = named(kind, of_stream ? network.streams()[throttle.index].id
                                                   : network.conductances()[throttle.index].id);
    require(!seen[throttle.index], what, "it may have one throttle only");
    seen[throttle.index] = true;
    for (const double share : throttle.share.values()) {
      require(share >= 0.0, what, "the share of a throttle must be 0 or more", share, "");
    }
  }
}

void check_operation(const Network& network, const Operation& operation,
                     const SolveOptions& options) {
  const std::string what = "operation";
  require(operation.start.size() == network.bodies().size(), what,
          "there must be one temperature at the start for each body",
          static_cast<double>(operation.start.size()), "");
  for (std::size_t i = 0; i < operation.start.size(); ++i) {
    const double degrees = operation.start[i].value();
    require(std::isfinite(degrees) && degrees >= units::absolute_zero_in_celsius,
            named("body", network.bodies()[i].id),
            "its temperature at the start must be finite and not below absolute zero", degrees,
            " degC");
  }
  require(operation.boundaries.size() == network.boundaries().size(), what,
          "there must be one schedule of temperature for each boundary",
          static_cast<double>(operation.boundaries.size()), "");
  for (const HeatInput& input : operation.inputs) {
    check_body(named("input", input.id), input.body, network);
  }
  for (const TemperatureDependentInput& input : operation.dependent_inputs) {
    const std::string name = named("input", input.id);
    check_body(name, input.body, network);
    require(
        input.feels.index < (input.feels.kind == Place::Kind::body ? network.bodies().size()
                                                                   : network.boundaries().size()),
        name, "there is nothing at the place that it feels");
    require(static_cast<bool>(input.power), name, "it must have a power");
    for (const units::Time& kink : input.kinks) {
      require(std::isfinite(kink.value()), name, "a kink must be at a finite time", kink.value(),
              " s");
    }
  }
  check_throttles(network, operation.throttles);
  const double duration = operation.duration.value();
  require(duration > 0.0 && std::isfinite(duration), what, "the duration must be above 0 s",
          duration, " s");
  require(operation.cycles >= 1, what, "there must be at least one cycle");
  require(std::isfinite(duration * static_cast<double>(operation.cycles)), what,
          "all cycles together must last a finite time");
  if (operation.until_periodic) {
    const double limit = operation.until_periodic->value();
    require(limit > 0.0 && std::isfinite(limit), what,
            "the difference of cycles that counts as none must be above 0 K", limit, " K");
  }
  const double accuracy = options.accuracy.value();
  require(accuracy > 0.0 && std::isfinite(accuracy), "solving", "the accuracy must be above 0 K",
          accuracy, " K");
}

/// What ends a solution early.
class Stop : public Error {
 public:
  Stop(Outcome outcome, const std::string& message) : Error(message), outcome_(outcome) {}
  [[nodiscard]] Outcome outcome() const { return outcome_; }

 private:
  Outcome outcome_;
};

std::string at_time(double time) {
  return " at " + number_text(time) + " s";
}

template <class Q>
Line line_of(const Schedule<Q>& schedule, double begin, double end) {
  const double value = schedule.at(units::Time::from_value(begin)).value();
  const double last = schedule.before(units::Time::from_value(end)).value();
  return {value, (last - value) / (end - begin)};
}

/// The moments of one cycle between which all schedules are straight, both ends included.
std::vector<double> breakpoints(const Operation& operation) {
  const double duration = operation.duration.value();
  std::vector<double> times{0.0, duration};
  const auto add = [&times, duration](double time) {
    if (time > 0.0 && time < duration) {
      times.push_back(time);
    }
  };
  const auto add_schedule = [&add](const auto& schedule) {
    const std::vector<double>& points = schedule.times_in_seconds();
    std::for_each(points.begin(), points.end(), add);
  };
  for (const auto& boundary : operation.boundaries) {
    add_schedule(boundary);
  }
  for (const HeatInput& input : operation.inputs) {
    add_schedule(input.power);
  }
  for (const Throttle& throttle : operation.throttles) {
    add_schedule(throttle.share);
  }
  for (const TemperatureDependentInput& input : operation.dependent_inputs) {
    for (const units::Time& kink : input.kinks) {
      add(kink.value());
    }
  }
  std::sort(times.begin(), times.end());
  times.erase(std::unique(times.begin(), times.end()), times.end());
  return times;
}

std::vector<Interval> intervals_of(const Network& network, const Operation& operation) {
  const std::vector<double> times = breakpoints(operation);
  const std::size_t conductances = network.conductances().size();
  std::vector<Interval> intervals;
  intervals.reserve(times.size());
  for (std::size_t i = 0; i + 1 < times.size(); ++i) {
    Interval interval;
    interval.begin = times[i];
    interval.end = times[i + 1];
    for (const auto& boundary : operation.boundaries) {
      interval.boundaries.push_back(line_of(boundary, interval.begin, interval.end));
    }
    for (const HeatInput& input : operation.inputs) {
      interval.inputs.push_back(line_of(input.power, interval.begin, interval.end));
    }
    interval.shares.assign(conductances + network.streams().size(), Line{1.0, 0.0});
    for (const Throttle& throttle : operation.throttles) {
      const std::size_t place =
          throttle.of == Throttle::Of::stream ? conductances + throttle.index : throttle.index;
      interval.shares[place] = line_of(throttle.share, interval.begin, interval.end);
    }
    intervals.push_back(std::move(interval));
  }
  return intervals;
}

/// Ends the solution where a material's data end.
Watch range_watch(const std::vector<Place>& places, const std::string& who,
                  const materials::Material& material, const kernel::Curve& curve,
                  const char* property) {
  Watch watch;
  watch.places = places;
  double low = material.range().low.value();
  double high = material.range().high.value();
  if (!curve.degrees.empty()) {
    low = std::max(low, curve.degrees.front());
    high = std::min(high, curve.degrees.back());
  }
  watch.levels = {low, high};
  watch.piece = 1;
  watch.failure = who;
  watch.failure += " leaves the range of ";
  watch.failure += number_text(low);
  watch.failure += " degC to ";
  watch.failure += number_text(high);
  watch.failure += " degC of the ";
  watch.failure += property;
  watch.failure += " of material '";
  watch.failure += material.id();
  watch.failure += '\'';
  return watch;
}

std::vector<Watch> range_watches(const Network& network) {
  std::vector<Watch> watches;
  for (std::size_t i = 0; i < network.bodies().size(); ++i) {
    const Body& body = network.bodies()[i];
    if (const auto* part = std::get_if<MassOfMaterial>(&body.capacity)) {
      watches.push_back(
          range_watch({{Place::Kind::body, i}}, named("body", body.id), *part->material,
                      kernel::curve_of(*part->material->record().specific_heat), "specific heat"));
    }
  }
  for (const Conductance& conductance : network.conductances()) {
    if (const auto* wall = std::get_if<ConductingWall>(&conductance.value)) {
      watches.push_back(range_watch(
          {conductance.first, conductance.second},
          "the mean temperature of " + named("conductance", conductance.id), *wall->material,
          kernel::curve_of(*wall->material->record().conductivity), "conductivity"));
    }
  }
  return watches;
}

/// A linear system for the time from a moment on.
struct Linearised {
  LinearFlows flows;
  Vector capacities;
  Vector rate;
  Vector bend;
};

/// A re-linearised step by one whole and by two halves, and what extrapolation makes of them.
struct Step {
  double length = 0.0;
  Linearised middle;
  std::optional<SingleStretch> second;
  Vector middle_heats;  // from the beginning of the step, J
  Vector middle_T;
  Vector half_heats;  // at the end, by two halves
  Vector heats;       // at the end, extrapolated
  Vector port_heats;  // extrapolated
  Vector T;           // at the end
  Vector defect;      // of the two halves by extrapolation, K
};

class Run {
 public:
  Run(const Network& network, const Operation& operation, const SolveOptions& options)
      : network_(network),
        operation_(operation),
        options_(options),
        flows_(network, operation),
        intervals_(intervals_of(network, operation)),
        watches_(flows_.watches()),
        parts_(std::make_shared<Solution::Parts>()),
        heats_(network.bodies().size()),
        port_heats_(flows_.ports().size()),
        port_turnover_(flows_.ports().size()) {
    if (options.extrapolation == materials::Extrapolation::refuse) {
      std::vector<Watch> ranges = range_watches(network);
      watches_.insert(watches_.end(), ranges.begin(), ranges.end());
    }
    T_.resize(at_index(network.bodies().size()));
    for (std::size_t i = 0; i < network.bodies().size(); ++i) {
      T_[at_index(i)] = operation.start[i].value();
      parts_->contents.emplace_back(network.bodies()[i], operation.start[i].value());
    }
    parts_->start = T_;
    parts_->ports = flows_.ports();
    constant_capacities_ =
        std::all_of(parts_->contents.begin(), parts_->contents.end(),
                    [](const HeatContent& content) { return content.constant(); });
    for (const Interval& interval : intervals_) {
      longest_ = std::max(longest_, interval.end - interval.begin);
    }
  }

  [[nodiscard]] std::shared_ptr<const Solution::Parts> result() {
    try {
      parts_->kinks.emplace_back();
      run_cycles();
    } catch (const Stop& stop) {
      parts_->outcome = stop.outcome();
      parts_->message = stop.what();
    } catch (const Error& error) {
      parts_->outcome = Outcome::failed;
      parts_->message = error.what();
      parts_->message += at_time(now());
    }
    if (parts_->outcome != Outcome::done && parts_->outcome != Outcome::not_periodic) {
      parts_->end = now();
      add_kink(now());
    }
    account();
    return parts_;
  }

 private:
  void run_cycles() {
    for (std::size_t cycle = 0; cycle < operation_.cycles; ++cycle) {
      cycle_begin_ = static_cast<double>(cycle) * operation_.duration.value();
      const Vector before = T_;
      for (const Interval& interval : intervals_) {
        run_interval(interval);
        add_kink(cycle_begin_ + interval.end);
      }
      parts_->cycles = cycle + 1;
      parts_->end = static_cast<double>(cycle + 1) * operation_.duration.value();
      parts_->kinks.back() = units::Time::from_value(parts_->end);
      if (operation_.until_periodic) {
        drift_ = (T_ - before).cwiseAbs().maxCoeff(&drifting_);
        if (drift_ <= operation_.until_periodic->value()) {
          parts_->outcome = Outcome::done;
          return;
        }
      }
    }
    if (!operation_.until_periodic) {
      parts_->outcome = Outcome::done;
      return;
    }
    parts_->outcome = Outcome::not_periodic;
    std::string& message = parts_->message;
    message = named("body", network_.bodies()[static_cast<std::size_t>(drifting_)].id);
    message += " still differs by ";
    message += number_text(drift_);
    message += " K between the beginning and the end of cycle ";
    message += std::to_string(operation_.cycles);
    message += at_time(parts_->end);
  }

  void run_interval(const Interval& interval) {
    t_ = interval.begin;
    last_defect_.resize(0);
    settle_watches(interval);
    while (t_ < interval.end) {
      if (constant_capacities_ && flows_.linear(interval, watches_)) {
        run_linear(interval);
      } else {
        run_relinearised(interval);
      }
    }
  }

  [[nodiscard]] double now() const { return cycle_begin_ + t_; }

  void add_kink(double time) {
    if (time > parts_->kinks.back().value()) {
      parts_->kinks.push_back(units::Time::from_value(time));
    }
  }

  // Boundaries jump; what feels them may have left its piece.
  void settle_watches(const Interval& interval) {
    for (Watch& watch : watches_) {
      const double level = kernel::watched(watch, interval, t_ - interval.begin, T_);
      if (level > kernel::upper_exit(watch) || level < kernel::lower_exit(watch)) {
        leave(watch, kernel::piece_at(watch, level));
      }
    }
  }

  void leave(Watch& watch, std::size_t piece) {
    if (!watch.failure.empty()) {
      throw Stop(Outcome::failed, watch.failure + at_time(now()));
    }
    watch.piece = piece;
  }

  // After a stretch: who has reached the end of its piece goes on to the next.
  void pass_watches(const Interval& interval) {
    bool passed = false;
    for (Watch& watch : watches_) {
      const double level = kernel::watched(watch, interval, t_ - interval.begin, T_);
      if (level >= kernel::upper_exit(watch) - kernel::exit_width) {
        leave(watch, watch.piece + 1);
        passed = true;
      } else if (level <= kernel::lower_exit(watch) + kernel::exit_width) {
        leave(watch, watch.piece - 1);
        passed = true;
      }
    }
    if (passed) {
      last_defect_.resize(0);
      add_kink(now());
    }
  }

  [[nodiscard]] Linearised linearised(const Interval& interval, double t, const Vector& T) const {
    Linearised result;
    result.flows = flows_.at(interval, watches_, t, T);
    result.capacities.resize(T.size());
    for (std::size_t i = 0; i < parts_->contents.size(); ++i) {
      const double capacity = parts_->contents[i].capacity(T[at_index(i)]);
      if (!(capacity > 0.0)) {
        throw ComputationError(named("body", network_.bodies()[i].id) +
                               ": its specific heat, continued to " + number_text(T[at_index(i)]) +
                               " degC, is no longer above 0");
      }
      result.capacities[at_index(i)] = capacity;
    }
    result.rate = flows_.by_body(result.flows.flow).cwiseQuotient(result.capacities);
    result.bend = flows_.by_body(result.flows.bend).cwiseQuotient(result.capacities);
    return result;
  }

  [[nodiscard]] Matrix matrix_of(const Linearised& system) const {
    return system.capacities.cwiseInverse().asDiagonal() *
           kernel::jacobian(flows_.ports(), flows_.bodies(), system.flows.slopes);
  }

  [[nodiscard]] std::shared_ptr<const kernel::Propagator> propagator_of(const Linearised& system) {
    const Vector& slopes = system.flows.slopes;
    std::shared_ptr<const kernel::Propagator>& known =
        propagators_[std::vector<double>(slopes.begin(), slopes.end())];
    if (!known) {
      known = kernel::propagator(matrix_of(system), system.capacities,
                                 flows_.symmetric(system.flows), longest_);
    }
    return known;
  }

  void count_step() {
    if (++tries_ > options_.most_steps) {
      throw Stop(Outcome::too_many_steps, "more than " + std::to_string(options_.most_steps) +
                                              " steps of re-linearising are needed" +
                                              at_time(now()));
    }
  }

  void run_linear(const Interval& interval) {
    const Linearised system = linearised(interval, t_, T_);
    Stretch stretch;
    stretch.begin = now();
    stretch.start = T_;
    stretch.rate = system.rate;
    stretch.bend = system.bend;
    stretch.propagator = propagator_of(system);
    double length = interval.end - t_;

    if (!watches_.empty()) {
      count_step();
      Motion motion = kernel::beginning(system.rate);
      double reached = 0.0;
      const auto motion_at = [&](double time) {
        stretch.propagator->advance(time - reached, system.bend, motion);
        reached = time;
        return motion;
      };
      const auto exit =
          kernel::first_exit(watches_, interval, t_ - interval.begin, T_, length,
                             {stretch.propagator->matrix(), system.bend, 1.0}, motion_at);
      length = exit.value_or(length);
    }
    stretch.length = length;
    if (length > 0.0) {
      Motion motion = kernel::beginning(system.rate);
      stretch.propagator->advance(length, system.bend, motion);
      parts_->stretches.push_back(std::move(stretch));
      ++parts_->steps;
      take(interval, length, system.capacities.cwiseProduct(motion.moved),
           flows_.heats(system.flows, length, motion.area));
    }
    pass_watches(interval);
  }

  // The heats gained by bodies and ports in a stretch that is done.
  void take(const Interval& interval, double length, const Vector& gained, const Vector& by_port) {
    const bool to_the_end = length >= interval.end - t_;
    t_ = to_the_end ? interval.end : t_ + length;
    for (std::size_t i = 0; i < heats_.size(); ++i) {
      heats_[i].add(gained[at_index(i)]);
      T_[at_index(i)] = parts_->contents[i].temperature(heats_[i].value());
      check_temperature(i, T_[at_index(i)]);
    }
    for (std::size_t p = 0; p < port_heats_.size(); ++p) {
      port_heats_[p].add(by_port[at_index(p)]);
      port_turnover_[p].add(std::abs(by_port[at_index(p)]));
    }
  }

  void check_temperature(std::size_t body, double degrees) const {
    if (!std::isfinite(degrees)) {
      throw Stop(Outcome::failed, named("body", network_.bodies()[body].id) +
                                      " has no finite temperature" + at_time(now()));
    }
    if (degrees < units::absolute_zero_in_celsius) {
      throw Stop(Outcome::failed, named("body", network_.bodies()[body].id) + " would be at " +
                                      number_text(degrees) + " degC, below absolute zero," +
                                      at_time(now()));
    }
  }

  void run_relinearised(const Interval& interval);
  [[nodiscard]] std::string fastest(const Linearised& system) const {
    Index body = 0;
    const double rate = system.rate.cwiseAbs().maxCoeff(&body);
    return ", where " + named("body", network_.bodies()[static_cast<std::size_t>(body)].id) +
           " changes by " + number_text(rate) + " K/s";
  }
  [[nodiscard]] std::optional<Step> step_of(const Interval& interval, const Linearised& system,
                                            const SingleStretch& whole, double length) const;
  [[nodiscard]] double error_of(const Step& step) const;
  [[nodiscard]] double memory_of(const Linearised& system) const;
  [[nodiscard]] Vector temperatures(const Vector& gained) const;
  void accept(const Interval& interval, const Linearised& system, const Step& step);
  [[nodiscard]] std::optional<double> shorter(const Interval& interval, const Linearised& system,
                                              const SingleStretch& whole, const Step& step) const;

  void account() {
    EnergyAccount& account = parts_->energy;
    Sum residual;
    double turnover = 0.0;
    for (const Sum& heat : heats_) {
      account.stored.push_back(units::Energy::from_value(heat.value()));
      residual.add(heat.value());
      turnover = std::max(turnover, std::abs(heat.value()));
    }
    for (const Sum& port : port_turnover_) {
      turnover = std::max(turnover, port.value());
    }
    std::size_t port = 0;
    const auto next = [this, &port]() { return port_heats_[port++].value(); };
    const auto add_all = [&](std::size_t count, std::vector<units::Energy>& list) {
      for (std::size_t i = 0; i < count; ++i) {
        const double heat = next();
        residual.add(-heat);
        list.push_back(units::Energy::from_value(heat));
      }
    };
    add_all(operation_.inputs.size(), account.inputs);
    add_all(operation_.dependent_inputs.size(), account.dependent);
    std::vector<Sum> boundaries(network_.boundaries().size());
    for (const Conductance& conductance : network_.conductances()) {
      const double heat = next();
      if (conductance.first.kind == Place::Kind::boundary) {
        boundaries[conductance.first.index].add(heat);
        residual.add(-heat);
      }
      if (conductance.second.kind == Place::Kind::boundary) {
        boundaries[conductance.second.index].add(-heat);
        residual.add(heat);
      }
    }
    for (const Sum& boundary : boundaries) {
      account.boundaries.push_back(units::Energy::from_value(boundary.value()));
    }
    add_all(network_.streams().size(), account.streams);
    account.residual = units::Energy::from_value(residual.value());
    account.turnover = units::Energy::from_value(turnover);
  }

  const Network& network_;
  const Operation& operation_;
  const SolveOptions& options_;
  Flows flows_;
  std::vector<Interval> intervals_;
  std::vector<Watch> watches_;
  std::shared_ptr<Solution::Parts> parts_;
  std::vector<Sum> heats_;  // by body, since the start
  std::vector<Sum> port_heats_;
  std::vector<Sum> port_turnover_;
  std::map<std::vector<double>, std::shared_ptr<const kernel::Propagator>> propagators_;
  Vector T_;
  double cycle_begin_ = 0.0;
  double t_ = 0.0;  // of the cycle
  bool constant_capacities_ = true;
  double longest_ = 0.0;
  double planned_ = 0.0;  // length of the next re-linearised step
  Vector last_defect_;    // of the re-linearised step before, over the cube of its length; or empty
  double last_length_ = 0.0;
  std::size_t tries_ = 0;
  double drift_ = 0.0;
  Index drifting_ = 0;
};

Vector Run::temperatures(const Vector& gained) const {
  Vector T(gained.size());
  for (std::size_t i = 0; i < heats_.size(); ++i) {
    T[at_index(i)] = parts_->contents[i].temperature(heats_[i].value() + gained[at_index(i)]);
  }
  return T;
}

std::optional<Step> Run::step_of(const Interval& interval, const Linearised& system,
                                 const SingleStretch& whole, double length) const {
  Step step;
  step.length = length;
  const Motion middle = whole.at_half();
  const Motion end = whole.at_end();
  step.middle_heats = system.capacities.cwiseProduct(middle.moved);
  step.middle_T = temperatures(step.middle_heats);
  if (!step.middle_T.allFinite() || !end.moved.allFinite()) {
    return std::nullopt;
  }
  step.middle = linearised(interval, t_ + 0.5 * length, step.middle_T);
  step.second.emplace(matrix_of(step.middle), step.middle.rate, step.middle.bend, 0.5 * length);
  const Motion second_end = step.second->at_end();
  step.half_heats = step.middle_heats + step.middle.capacities.cwiseProduct(second_end.moved);
  const Vector whole_heats = system.capacities.cwiseProduct(end.moved);
  // Of order 2: the error of two halves is a quarter of that of the whole. Any such mean of the two
  // keeps what both keep.
  step.heats = (4.0 * step.half_heats - whole_heats) / 3.0;
  step.port_heats = (4.0 * (flows_.heats(system.flows, 0.5 * length, middle.area) +
                            flows_.heats(step.middle.flows, 0.5 * length, second_end.area)) -
                     flows_.heats(system.flows, length, end.area)) /
                    3.0;
  step.T = temperatures(step.heats);
  step.defect = ((step.half_heats - whole_heats) / 3.0).cwiseQuotient(step.middle.capacities);
  if (!step.T.allFinite() || !step.defect.allFinite()) {
    return std::nullopt;
  }
  return step;
}

// The error of a step, K. The defect d = c(t) h^3 of two halves is taken off by extrapolation, but
// for terms of its next order, h^4 times what the derivative of c is made of. That is told by how c
// changed since the step before. Doubled, and never taken for less than a part of d.
double Run::error_of(const Step& step) const {
  const double whole = step.defect.cwiseAbs().maxCoeff();
  if (last_defect_.size() == 0) {
    return whole;
  }
  constexpr double safety = 2.0;
  constexpr double least_part = 1.0 / 32.0;
  const double cube = step.length * step.length * step.length;
  const double change = (step.defect - cube * last_defect_).cwiseAbs().maxCoeff() *
                        (2.0 * step.length / (step.length + last_length_));
  return std::clamp(safety * change, least_part * whole, whole);
}

// How long an error lives, s. With K u = C, u > 0 and no body driven away from another, an error e
// falls at least as fast as exp(-t/max u) in the norm max |e_i|/u_i, so that in max |e_i| all the
// errors made at a rate r add up to r max u (1 + log(max u/min u)) at most. Else to the end.
double Run::memory_of(const Linearised& system) const {
  const double whole = operation_.duration.value() * static_cast<double>(operation_.cycles);
  const Matrix K = -kernel::jacobian(flows_.ports(), flows_.bodies(), system.flows.slopes);
  for (Index i = 0; i < K.rows(); ++i) {
    for (Index j = 0; j < K.cols(); ++j) {
      if (i != j && K(i, j) > 0.0) {
        return whole;
      }
    }
  }
  const Vector u = K.partialPivLu().solve(system.capacities);
  if (!u.allFinite() || !(u.minCoeff() > 0.0)) {
    return whole;
  }
  return std::min(whole, u.maxCoeff() * (1.0 + std::log(u.maxCoeff() / u.minCoeff())));
}

// The length with which a step ends where a watch leaves its piece, if it should not go so far.
std::optional<double> Run::shorter(const Interval& interval, const Linearised& system,
                                   const SingleStretch& whole, const Step& step) const {
  const double since = t_ - interval.begin;
  const double half = 0.5 * step.length;
  const auto growth = [half](const Matrix& A) {
    // exp(A t) in the greatest norm, by the logarithmic norm of A.
    double most = 0.0;
    for (Index i = 0; i < A.rows(); ++i) {
      most = std::max(most, A.row(i).cwiseAbs().sum() - std::abs(A(i, i)) + A(i, i));
    }
    return std::exp(std::min(most * half, 50.0));
  };
  const auto first_exit = [&](const Linearised& part, const SingleStretch& single, double begin,
                              const Vector& T) {
    const Matrix& A = single.matrix();
    const auto motion_at = [&](double time) {
      Motion motion;
      motion.moved = single.moved(time);
      motion.rate = part.rate + A * motion.moved + time * part.bend;
      return motion;
    };
    return kernel::first_exit(watches_, interval, begin, T, half, {A, part.bend, growth(A)},
                              motion_at);
  };
  std::optional<double> exit = first_exit(system, whole, since, T_);
  if (!exit) {
    exit = first_exit(step.middle, *step.second, since + half, step.middle_T);
    if (exit) {
      *exit += half;
    }
  }
  // The halves need not agree with the end better than this: the next step goes the rest.
  constexpr double near_enough = 1.0 - 1e-6;
  double length = exit && *exit < near_enough * step.length ? *exit : step.length;
  // Extrapolation may put the end beyond what both halves say.
  for (const Watch& watch : watches_) {
    const double now = kernel::watched(watch, interval, since, T_);
    const double then = kernel::watched(watch, interval, since + step.length, step.T);
    for (const double level : {kernel::upper_exit(watch), kernel::lower_exit(watch)}) {
      const double sign = level > now ? 1.0 : -1.0;
      if (std::isfinite(level) && sign * (then - level) > kernel::exit_width) {
        length = std::min(length, step.length * std::max(0.0, (level - now) / (then - now)));
      }
    }
  }
  return length < step.length ? std::optional(length) : std::nullopt;
}

void Run::accept(const Interval& interval, const Linearised& system, const Step& step) {
  Vector heats(T_.size());
  for (std::size_t i = 0; i < heats_.size(); ++i) {
    heats[at_index(i)] = heats_[i].value();
  }
  const Vector correction = 0.5 * (step.heats - step.half_heats);
  const double half = 0.5 * step.length;
  Stretch first;
  first.begin = now();
  first.length = half;
  first.start = T_;
  first.rate = system.rate;
  first.bend = system.bend;
  first.relinearised = {system.flows.slopes, system.capacities, heats, correction};
  Stretch second;
  second.begin = now() + half;
  second.length = half;
  second.start = step.middle_T;
  second.rate = step.middle.rate;
  second.bend = step.middle.bend;
  second.relinearised = {step.middle.flows.slopes, step.middle.capacities,
                         heats + step.middle_heats + correction, correction};
  parts_->stretches.push_back(std::move(first));
  parts_->stretches.push_back(std::move(second));
  ++parts_->steps;
  take(interval, step.length, step.heats, step.port_heats);
}

void Run::run_relinearised(const Interval& interval) {
  // Half of the accuracy asked for, since estimates are estimates.
  constexpr double share_of_accuracy = 0.5;
  constexpr double safety = 0.9;
  constexpr double least_factor = 0.1;
  constexpr double most_factor = 5.0;
  const Linearised system = linearised(interval, t_, T_);
  const Matrix A = matrix_of(system);
  const double allowed_rate = share_of_accuracy * options_.accuracy.value() / memory_of(system);
  const double rounding =
      16.0 * std::numeric_limits<double>::epsilon() * std::max(1.0, T_.cwiseAbs().maxCoeff());
  const double left = interval.end - t_;
  // To begin with, a fraction of the stretch; the estimate shortens or lengthens it.
  constexpr double first_share = 1.0 / 64.0;
  double length = planned_ > 0.0 ? planned_ : first_share * left;
  bool cut = false;
  if (length >= left) {
    length = left;
    cut = true;
  }
  for (;;) {
    count_step();
    if (!(t_ + 0.25 * length > t_)) {
      throw Stop(Outcome::failed,
                 "no step of re-linearising is short enough" + at_time(now()) + fastest(system));
    }
    const SingleStretch whole(A, system.rate, system.bend, length);
    const std::optional<Step> step = step_of(interval, system, whole, length);
    if (!step) {
      length *= least_factor;
      cut = false;
      continue;
    }
    const double allowed = allowed_rate * length + rounding;
    const double error = error_of(*step);
    // The error per time falls with the second power of the step at least, with the third once the
    // defects of neighbouring steps tell of one another.
    const double ratio = allowed / std::max(error, least_factor * rounding);
    const double wished = safety * (ratio < 1.0 ? std::sqrt(ratio) : std::cbrt(ratio));
    if (error > allowed) {
      length *= std::clamp(wished, least_factor, safety);
      cut = false;
      continue;
    }
    if (!watches_.empty()) {
      if (const auto until_exit = shorter(interval, system, whole, *step)) {
        length = *until_exit;
        cut = true;
        continue;
      }
    }
    const double next = length * std::clamp(wished, least_factor, most_factor);
    planned_ = cut ? std::max(planned_, next) : next;
    accept(interval, system, *step);
    last_defect_ = step->defect / (length * length * length);
    last_length_ = length;
    pass_watches(interval);
    return;
  }
}

}  // namespace

Solution solve(const Network& network, const Operation& operation, const SolveOptions& options) {
  check_operation(network, operation, options);
  return Solution(Run(network, operation, options).result());
}

}  // namespace lashband::heat
