#include "heat/flows.hpp"

#include <algorithm>
#include <cmath>
#include <exception>
#include <utility>
#include <variant>

#include "heat/message.hpp"
#include "lashband/materials/material.hpp"

namespace lashband::heat::kernel {
namespace {

using Index = Eigen::Index;

Index at_index(std::size_t i) {
  return static_cast<Index>(i);
}

std::optional<std::size_t> body_of(const Place& place) {
  return place.kind == Place::Kind::body ? std::optional(place.index) : std::nullopt;
}

struct Moment {
  const Interval& interval;
  double since;  // the beginning of the interval
  const Vector& T;

  [[nodiscard]] double temperature(const Place& place) const {
    if (place.kind == Place::Kind::body) {
      return T[at_index(place.index)];
    }
    const Line& line = interval.boundaries[place.index];
    return line.value + line.slope * since;
  }
  [[nodiscard]] double rate(const Place& place) const {
    return place.kind == Place::Kind::body ? 0.0 : interval.boundaries[place.index].slope;
  }
};

// Central differences of an input that the user gives: h^2/6 of its third derivative is left, which
// for viscosity (exponential over some 30 K) is 1e-10 of the slope, as is what rounding leaves.
constexpr double temperature_step = 1e-3;
// The same over time, of the interval between two of its kinks.
constexpr double time_step_share = 1e-4;

class DependentInput {
 public:
  DependentInput(const TemperatureDependentInput& input, const Interval& interval)
      : input_(&input), interval_(&interval) {}

  [[nodiscard]] double power(double t, double T) const {
    double value = 0.0;
    try {
      value = input_->power(units::Time::from_value(t), units::celsius(T)).value();
    } catch (const std::exception& error) {
      throw ComputationError(named("input", input_->id) + ": " + error.what());
    }
    if (!std::isfinite(value)) {
      std::string text = named("input", input_->id);
      text += " gives no finite power at ";
      text += number_text(T);
      text += " degC and ";
      text += number_text(t);
      text += " s of the cycle";
      throw ComputationError(text);
    }
    return value;
  }

  [[nodiscard]] double over_temperature(double t, double T, double here) const {
    // An input may end where its data do: one side then serves.
    const std::optional<double> below = tried(t, T - temperature_step);
    const std::optional<double> above = tried(t, T + temperature_step);
    if (below && above) {
      return (*above - *below) / (2.0 * temperature_step);
    }
    if (above) {
      return (*above - here) / temperature_step;
    }
    return below ? (here - *below) / temperature_step : (power(t, T + temperature_step) - here);
  }

  [[nodiscard]] double over_time(double t, double T, double here) const {
    const double step = time_step_share * (interval_->end - interval_->begin);
    if (t - step >= interval_->begin && t + step < interval_->end) {
      return (power(t + step, T) - power(t - step, T)) / (2.0 * step);
    }
    // Beyond an end of the interval another law may hold.
    const double d = t - step < interval_->begin ? step : -step;
    return (4.0 * power(t + d, T) - power(t + 2.0 * d, T) - 3.0 * here) / (2.0 * d);
  }

 private:
  [[nodiscard]] std::optional<double> tried(double t, double T) const {
    try {
      return power(t, T);
    } catch (const Error&) {
      return std::nullopt;
    }
  }

  const TemperatureDependentInput* input_;
  const Interval* interval_;
};

Watch thermostat_watch(const Thermostat& thermostat) {
  Watch watch;
  watch.places = {thermostat.feels};
  watch.levels.reserve(thermostat.points.size());
  for (const Thermostat::Point& point : thermostat.points) {
    watch.levels.push_back(point.temperature.value());
  }
  return watch;
}

Curve opening_curve(const Thermostat& thermostat) {
  Curve curve;
  for (const Thermostat::Point& point : thermostat.points) {
    curve.degrees.push_back(point.temperature.value());
    curve.values.push_back(point.opening);
  }
  return curve;
}

// Value and slope of an opening on a piece that counts the flat ends too.
Line opening_on(const Curve& curve, std::size_t piece, double temperature) {
  if (piece == 0) {
    return {curve.values.front(), 0.0};
  }
  if (piece == curve.degrees.size()) {
    return {curve.values.back(), 0.0};
  }
  return {curve.on(piece - 1, temperature), curve.slope(piece - 1)};
}

}  // namespace

Flows::Flows(const Network& network, const Operation& operation)
    : operation_(&operation), bodies_(network.bodies().size()) {
  for (const HeatInput& input : operation.inputs) {
    add_port({}, input.body, {});
  }
  for (const TemperatureDependentInput& input : operation.dependent_inputs) {
    std::vector<std::size_t> slots;
    if (const auto body = body_of(input.feels)) {
      slots.push_back(*body);
    }
    add_port({}, input.body, std::move(slots));
  }
  const auto add = [this](Branch branch, const std::optional<Thermostat>& thermostat,
                          std::optional<std::size_t> giver) {
    std::vector<std::size_t> slots;
    for (const Place& place : {branch.from, branch.to}) {
      if (const auto body = body_of(place)) {
        slots.push_back(*body);
      }
    }
    if (branch.conductivity && !branch.conductivity->degrees.empty()) {
      Watch watch;
      watch.places = {branch.from, branch.to};
      // The end lines go on beyond the first and last points.
      watch.levels.assign(branch.conductivity->degrees.begin() + 1,
                          branch.conductivity->degrees.end() - 1);
      branch.wall_watch = watches_.size();
      watches_.push_back(std::move(watch));
    }
    if (thermostat) {
      branch.opening = opening_curve(*thermostat);
      branch.feels = thermostat->feels;
      branch.thermostat_watch = watches_.size();
      watches_.push_back(thermostat_watch(*thermostat));
      if (const auto body = body_of(thermostat->feels)) {
        slots.push_back(*body);
      }
    }
    add_port(giver, body_of(branch.to), std::move(slots));
    branches_.push_back(std::move(branch));
  };
  for (const Conductance& conductance : network.conductances()) {
    Branch branch;
    branch.from = conductance.first;
    branch.to = conductance.second;
    if (const auto* value = std::get_if<units::ThermalConductance>(&conductance.value)) {
      branch.factor = value->value();
    } else {
      const auto& wall = std::get<ConductingWall>(conductance.value);
      branch.factor = wall.area.value() / wall.length.value();
      branch.conductivity = curve_of(*wall.material->record().conductivity);
    }
    add(std::move(branch), conductance.thermostat, body_of(conductance.first));
  }
  for (const Stream& stream : network.streams()) {
    Branch branch;
    branch.stream = true;
    branch.from = stream.from;
    branch.to = stream.to;
    branch.factor = stream.capacity_rate.value();
    add(std::move(branch), stream.thermostat, std::nullopt);
  }
}

void Flows::add_port(std::optional<std::size_t> giver, std::optional<std::size_t> taker,
                     std::vector<std::size_t> slots) {
  Port port;
  port.giver = giver;
  port.taker = taker;
  port.first_slot = slots_;
  slots_ += slots.size();
  port.slots = std::move(slots);
  ports_.push_back(std::move(port));
}

std::vector<Watch> Flows::watches() const {
  return watches_;
}

LinearFlows Flows::at(const Interval& interval, const std::vector<Watch>& watches, double t,
                      const Vector& T) const {
  LinearFlows flows;
  flows.flow = Vector::Zero(at_index(ports_.size()));
  flows.bend = Vector::Zero(at_index(ports_.size()));
  flows.slopes = Vector::Zero(at_index(slots_));
  for (std::size_t i = 0; i < interval.inputs.size(); ++i) {
    const Line& line = interval.inputs[i];
    flows.flow[at_index(i)] = line.value + line.slope * (t - interval.begin);
    flows.bend[at_index(i)] = line.slope;
  }
  add_dependent(interval, t, T, flows);
  for (std::size_t i = 0; i < branches_.size(); ++i) {
    add_branch(i, interval, watches, t, T, flows);
  }
  return flows;
}

void Flows::add_dependent(const Interval& interval, double t, const Vector& T,
                          LinearFlows& flows) const {
  const Moment moment{interval, t - interval.begin, T};
  for (std::size_t i = 0; i < operation_->dependent_inputs.size(); ++i) {
    const TemperatureDependentInput& given = operation_->dependent_inputs[i];
    const std::size_t number = operation_->inputs.size() + i;
    const DependentInput input(given, interval);
    const double felt = moment.temperature(given.feels);
    const double here = input.power(t, felt);
    const double slope = input.over_temperature(t, felt, here);
    flows.flow[at_index(number)] = here;
    flows.bend[at_index(number)] =
        input.over_time(t, felt, here) + slope * moment.rate(given.feels);
    if (!ports_[number].slots.empty()) {
      flows.slopes[at_index(ports_[number].first_slot)] = slope;
    }
  }
}

void Flows::add_branch(std::size_t index, const Interval& interval,
                       const std::vector<Watch>& watches, double t, const Vector& T,
                       LinearFlows& flows) const {
  const Branch& branch = branches_[index];
  const Moment moment{interval, t - interval.begin, T};
  const double from = moment.temperature(branch.from);
  const double to = moment.temperature(branch.to);
  const double difference = from - to;
  const Line& share_line = interval.shares[index];
  const double share = share_line.value + share_line.slope * moment.since;

  double factor = branch.factor;
  double factor_slope = 0.0;  // over the mean temperature of a wall
  if (branch.conductivity) {
    const std::size_t piece =
        branch.conductivity->degrees.empty() ? 0 : watches[branch.wall_watch].piece;
    factor *= branch.conductivity->on(piece, 0.5 * (from + to));
    factor_slope = branch.factor * branch.conductivity->slope(piece);
  }
  Line opening{1.0, 0.0};
  if (branch.opening) {
    opening = opening_on(*branch.opening, watches[branch.thermostat_watch].piece,
                         moment.temperature(branch.feels));
  }

  const double open = share * opening.value;
  const double by_from = open * (factor + 0.5 * factor_slope * difference);
  const double by_to = open * (-factor + 0.5 * factor_slope * difference);
  const double by_felt = share * opening.slope * factor * difference;
  const std::size_t number =
      operation_->inputs.size() + operation_->dependent_inputs.size() + index;
  flows.flow[at_index(number)] = open * factor * difference;
  double bend = share_line.slope * opening.value * factor * difference +
                by_from * moment.rate(branch.from) + by_to * moment.rate(branch.to);
  Index slot = at_index(ports_[number].first_slot);
  for (const auto& [place, slope] :
       {std::pair(branch.from, by_from), std::pair(branch.to, by_to)}) {
    if (place.kind == Place::Kind::body) {
      flows.slopes[slot++] = slope;
    }
  }
  if (branch.opening) {
    bend += by_felt * moment.rate(branch.feels);
    if (branch.feels.kind == Place::Kind::body) {
      flows.slopes[slot] = by_felt;
    }
  }
  flows.bend[at_index(number)] = bend;
}

bool Flows::linear(const Branch& branch, const std::vector<Watch>& watches) {
  if (branch.conductivity && !branch.conductivity->degrees.empty() &&
      branch.conductivity->slope(watches[branch.wall_watch].piece) != 0.0) {
    return false;
  }
  return !branch.opening ||
         opening_on(*branch.opening, watches[branch.thermostat_watch].piece, 0.0).slope == 0.0;
}

bool Flows::linear(const Interval& interval, const std::vector<Watch>& watches) const {
  if (!operation_->dependent_inputs.empty()) {
    return false;
  }
  for (std::size_t i = 0; i < branches_.size(); ++i) {
    const bool shut = interval.shares[i].value == 0.0 && interval.shares[i].slope == 0.0;
    if (!shut && branches_[i].factor != 0.0 &&
        (interval.shares[i].slope != 0.0 || !linear(branches_[i], watches))) {
      return false;
    }
  }
  return true;
}

bool Flows::symmetric(const LinearFlows& flows) const {
  const std::size_t first = operation_->inputs.size() + operation_->dependent_inputs.size();
  for (std::size_t i = 0; i < branches_.size(); ++i) {
    const Port& port = ports_[first + i];
    if (branches_[i].stream &&
        !flows.slopes.segment(at_index(port.first_slot), at_index(port.slots.size())).isZero(0.0)) {
      return false;
    }
  }
  return true;
}

Matrix jacobian(const std::vector<Port>& ports, std::size_t bodies, const Vector& slopes) {
  Matrix result = Matrix::Zero(at_index(bodies), at_index(bodies));
  for (const Port& port : ports) {
    for (std::size_t i = 0; i < port.slots.size(); ++i) {
      const double slope = slopes[at_index(port.first_slot + i)];
      if (port.taker) {
        result(at_index(*port.taker), at_index(port.slots[i])) += slope;
      }
      if (port.giver) {
        result(at_index(*port.giver), at_index(port.slots[i])) -= slope;
      }
    }
  }
  return result;
}

Vector Flows::by_body(const Vector& by_port) const {
  Vector result = Vector::Zero(at_index(bodies_));
  for (std::size_t p = 0; p < ports_.size(); ++p) {
    if (ports_[p].taker) {
      result[at_index(*ports_[p].taker)] += by_port[at_index(p)];
    }
    if (ports_[p].giver) {
      result[at_index(*ports_[p].giver)] -= by_port[at_index(p)];
    }
  }
  return result;
}

Vector Flows::heats(const LinearFlows& flows, double time, const Vector& area) const {
  Vector result = time * flows.flow + (0.5 * time * time) * flows.bend;
  for (std::size_t p = 0; p < ports_.size(); ++p) {
    for (std::size_t i = 0; i < ports_[p].slots.size(); ++i) {
      result[at_index(p)] +=
          flows.slopes[at_index(ports_[p].first_slot + i)] * area[at_index(ports_[p].slots[i])];
    }
  }
  return result;
}

}  // namespace lashband::heat::kernel
