#pragma once

#include <cmath>
#include <cstddef>
#include <memory>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "lashband/heat/transient.hpp"
#include "lashband/materials/material.hpp"

/// Networks for tests, all invented, and their right-hand side once more, written from the equation
/// in the header and not from the library's sources.
namespace lashband::test {

using heat::Place;
using units::celsius;
using units::from_si;

[[nodiscard]] inline Place body(std::size_t i) {
  return {Place::Kind::body, i};
}
[[nodiscard]] inline Place boundary(std::size_t i) {
  return {Place::Kind::boundary, i};
}
[[nodiscard]] inline units::Time seconds(double value) {
  return from_si<units::Time>(value);
}
[[nodiscard]] inline units::Power watts(double value) {
  return from_si<units::Power>(value);
}
[[nodiscard]] inline units::ThermalConductance watts_per_kelvin(double value) {
  return from_si<units::ThermalConductance>(value);
}
[[nodiscard]] inline units::HeatCapacity joules_per_kelvin(double value) {
  return from_si<units::HeatCapacity>(value);
}
[[nodiscard]] inline units::TemperatureDifference kelvins(double value) {
  return from_si<units::TemperatureDifference>(value);
}
[[nodiscard]] inline heat::Schedule<units::Temperature> steady(double degrees) {
  return heat::Schedule<units::Temperature>(celsius(degrees));
}
[[nodiscard]] inline heat::Schedule<units::Power> steady_power(double value) {
  return heat::Schedule<units::Power>(watts(value));
}

template <class Q>
[[nodiscard]] heat::Schedule<Q> schedule(const std::vector<std::pair<double, double>>& points) {
  std::vector<heat::SchedulePoint<Q>> list;
  list.reserve(points.size());
  for (const auto& [time, value] : points) {
    list.push_back({seconds(time), Q::from_value(value)});
  }
  return heat::Schedule<Q>(list);
}

[[nodiscard]] inline std::vector<units::Time> moments(double end, int count) {
  std::vector<units::Time> result;
  result.reserve(static_cast<std::size_t>(count) + 1);
  for (int i = 0; i <= count; ++i) {
    result.push_back(seconds(i == count ? end : end * i / count));
  }
  return result;
}

/// An input q exp(-(T - from)/width): churning falls so with the viscosity of warming oil.
struct Churning {
  std::size_t body = 0;
  std::size_t feels = 0;
  double power = 0.0;  ///< W at `from`
  double from = 0.0;   ///< degC
  double width = 0.0;  ///< K
};

/// A network with what it goes through.
struct MadeNetwork {
  std::string name;
  heat::Network network;
  heat::Operation operation;
  std::vector<Churning> churning{};
  bool linear = true;
};

/// Steel with a specific heat over temperature, invented, -60 to 250 degC.
[[nodiscard]] inline std::shared_ptr<const materials::Material> made_steel() {
  materials::MaterialRecord record;
  record.id = "made steel";
  record.family = "carbon_steel";
  record.range = {celsius(-60), celsius(250)};
  record.specific_heat = materials::PropertyTable<units::SpecificHeat>{
      {{celsius(-60), from_si<units::SpecificHeat>(420)},
       {celsius(20), from_si<units::SpecificHeat>(460)},
       {celsius(60), from_si<units::SpecificHeat>(490)},
       {celsius(250), from_si<units::SpecificHeat>(540)}}};
  record.conductivity = materials::PropertyTable<units::Conductivity>{
      {{celsius(-60), from_si<units::Conductivity>(52)},
       {celsius(20), from_si<units::Conductivity>(49)},
       {celsius(45), from_si<units::Conductivity>(44)},
       {celsius(250), from_si<units::Conductivity>(40)}}};
  record.sources["all"] = "invented";
  return std::make_shared<const materials::Material>(std::move(record));
}

/// The same with one value each.
[[nodiscard]] inline std::shared_ptr<const materials::Material> made_brass() {
  materials::MaterialRecord record;
  record.id = "made brass";
  record.family = "copper_alloy";
  record.range = {celsius(-60), celsius(200)};
  record.specific_heat = from_si<units::SpecificHeat>(380);
  record.conductivity = from_si<units::Conductivity>(110);
  record.sources["all"] = "invented";
  return std::make_shared<const materials::Material>(std::move(record));
}

class Draw {
 public:
  explicit Draw(unsigned seed) : engine_(seed) {}
  /// Even on a scale of logarithms. Not a library distribution: these differ between libraries.
  [[nodiscard]] double between(double low, double high) {
    const double share = static_cast<double>(engine_()) / 4294967296.0;
    return low * std::pow(high / low, share);
  }
  [[nodiscard]] std::size_t below(std::size_t count) { return engine_() % count; }

 private:
  std::mt19937 engine_;
};

[[nodiscard]] inline std::string numbered(const char* what, std::size_t i) {
  return what + std::to_string(i);
}

enum class Streams { none, some };

/// Bodies in a random tree with cross links, two boundaries, power and ambient over time with jumps
/// and ramps; with streams an oil circuit through every third body and a through-flow of coolant.
[[nodiscard]] inline MadeNetwork random_network(unsigned seed, std::size_t count, Streams streams) {
  Draw draw(seed);
  std::vector<heat::Body> bodies;
  std::vector<heat::Conductance> conductances;
  std::vector<heat::Stream> flows;
  for (std::size_t i = 0; i < count; ++i) {
    bodies.push_back({numbered("body ", i), joules_per_kelvin(draw.between(20, 8000))});
    if (i > 0) {
      conductances.push_back({numbered("tree ", i), body(i), body(draw.below(i)),
                              watts_per_kelvin(draw.between(0.5, 40))});
    }
  }
  for (std::size_t i = 0; i < count / 2; ++i) {
    const std::size_t a = draw.below(count);
    const std::size_t b = draw.below(count);
    if (a != b) {
      conductances.push_back(
          {numbered("cross ", i), body(a), body(b), watts_per_kelvin(draw.between(0.1, 10))});
    }
    conductances.push_back(
        {numbered("film ", i), boundary(0), body(a), watts_per_kelvin(draw.between(0.5, 15))});
  }
  if (streams == Streams::some) {
    const double oil = draw.between(20, 60);
    for (std::size_t i = 0; i < count; i += 3) {
      const std::size_t next = i + 3 < count ? i + 3 : 0;
      if (next != i) {
        flows.push_back({numbered("oil ", i), body(i), body(next), watts_per_kelvin(oil)});
      }
    }
    const double coolant = draw.between(5, 20);
    flows.push_back({"coolant in", boundary(1), body(1), watts_per_kelvin(coolant)});
    flows.push_back({"coolant on", body(1), body(2), watts_per_kelvin(coolant)});
  }
  heat::Operation operation;
  operation.duration = seconds(3600);
  operation.start.assign(count, celsius(-30));
  operation.boundaries = {schedule<units::Temperature>({{0, -30}, {900, -30}, {1800, 25}}),
                          schedule<units::Temperature>({{600, 10}, {600, 40}})};
  for (std::size_t i = 0; i < 1 + count / 4; ++i) {
    const double power = draw.between(50, 600);
    operation.inputs.push_back(
        {numbered("loss ", i), draw.below(count),
         schedule<units::Power>(
             {{0, power}, {720, power}, {720, 0.2 * power}, {1500, 1.5 * power}, {2400, power}})});
  }
  return {numbered("random ", seed),
          heat::Network(std::move(bodies), {{"ambient"}, {"coolant"}}, std::move(conductances),
                        std::move(flows)),
          std::move(operation)};
}

/// Equal bodies with nothing but a flow from one to the next: the matrix has one eigenvalue and one
/// eigenvector.
[[nodiscard]] inline MadeNetwork chain(std::size_t count) {
  std::vector<heat::Body> bodies;
  std::vector<heat::Stream> flows;
  for (std::size_t i = 0; i < count; ++i) {
    bodies.push_back({numbered("body ", i), joules_per_kelvin(1000)});
    flows.push_back(
        {numbered("oil ", i), i == 0 ? boundary(0) : body(i - 1), body(i), watts_per_kelvin(20)});
  }
  heat::Operation operation;
  operation.duration = seconds(3600);
  operation.start.assign(count, celsius(20));
  operation.boundaries = {schedule<units::Temperature>({{0, 80}, {1200, 80}, {1200, 30}})};
  operation.inputs = {{"loss", count / 2, steady_power(250)}};
  return {"chain", heat::Network(std::move(bodies), {{"supply"}}, {}, std::move(flows)),
          std::move(operation)};
}

inline void add_churning(MadeNetwork& made, const Churning& churning) {
  heat::TemperatureDependentInput input;
  input.id = numbered("churning ", made.churning.size());
  input.body = churning.body;
  input.feels = body(churning.feels);
  input.power = [churning](units::Time, units::Temperature T) {
    return watts(churning.power * std::exp(-(T.value() - churning.from) / churning.width));
  };
  made.operation.dependent_inputs.push_back(std::move(input));
  made.churning.push_back(churning);
  made.linear = false;
}

enum class Kind { thermostat, specific_heat, churning, throttle, all };

/// A random network in which things depend on temperature.
[[nodiscard]] inline MadeNetwork dependent_network(unsigned seed, std::size_t count, Kind kind) {
  MadeNetwork made = random_network(seed, count, Streams::some);
  std::vector<heat::Body> bodies = made.network.bodies();
  std::vector<heat::Conductance> conductances = made.network.conductances();
  std::vector<heat::Stream> flows = made.network.streams();
  const bool all = kind == Kind::all;
  if (kind == Kind::thermostat || all) {
    flows.back().thermostat =
        heat::Thermostat{body(1), {{celsius(-20), 0.1}, {celsius(0), 0.7}, {celsius(25), 1.0}}};
    conductances.front().thermostat =
        heat::Thermostat{body(0), {{celsius(-10), 1.0}, {celsius(15), 0.3}}};
  }
  if (kind == Kind::specific_heat || all) {
    for (std::size_t i = 0; i < count; i += 2) {
      bodies[i].capacity =
          heat::MassOfMaterial{from_si<units::Mass>(1.0 + static_cast<double>(i)), made_steel()};
    }
    conductances.back().value = heat::ConductingWall{made_steel(), from_si<units::Area>(0.002),
                                                     from_si<units::Length>(0.02)};
  }
  if (kind == Kind::churning || all) {
    add_churning(made, {0, 0, 400, -30, 25});
    add_churning(made, {count - 1, 2, 150, 0, 40});
  }
  if (kind == Kind::throttle || all) {
    made.operation.throttles = {
        {heat::Throttle::Of::stream, 0,
         schedule<units::Ratio>({{0, 0}, {300, 0}, {1000, 1}, {2000, 1}, {2000, 0.4}})},
        {heat::Throttle::Of::conductance, 1,
         schedule<units::Ratio>({{200, 1}, {2600, 2}, {2600, 0.5}})}};
  }
  made.name += numbered(" kind ", static_cast<std::size_t>(kind));
  made.network = heat::Network(std::move(bodies), made.network.boundaries(),
                               std::move(conductances), std::move(flows));
  made.linear = false;
  return made;
}

/// Body temperatures' rates of change at a time of the cycle, from what the header says. At the
/// time `end_of_stretch` schedules have the value before a jump.
[[nodiscard]] inline std::vector<double> rates(const MadeNetwork& made, double time, bool before,
                                               const double* T) {
  const heat::Network& network = made.network;
  const heat::Operation& operation = made.operation;
  const auto value = [&](const auto& of) {
    return (before ? of.before(seconds(time)) : of.at(seconds(time))).value();
  };
  const auto level = [&](const Place& place) {
    return place.kind == Place::Kind::body ? T[place.index]
                                           : value(operation.boundaries[place.index]);
  };
  const auto opening = [&](const std::optional<heat::Thermostat>& thermostat) {
    if (!thermostat) {
      return 1.0;
    }
    const double felt = level(thermostat->feels);
    const auto& points = thermostat->points;
    if (felt <= points.front().temperature.value()) {
      return points.front().opening;
    }
    for (std::size_t i = 1; i < points.size(); ++i) {
      const double low = points[i - 1].temperature.value();
      const double high = points[i].temperature.value();
      if (felt <= high) {
        return points[i - 1].opening +
               (points[i].opening - points[i - 1].opening) * (felt - low) / (high - low);
      }
    }
    return points.back().opening;
  };
  const auto share = [&](heat::Throttle::Of of, std::size_t index) {
    for (const heat::Throttle& throttle : operation.throttles) {
      if (throttle.of == of && throttle.index == index) {
        return value(throttle.share);
      }
    }
    return 1.0;
  };
  std::vector<double> power(network.bodies().size(), 0.0);
  for (const heat::HeatInput& input : operation.inputs) {
    power[input.body] += value(input.power);
  }
  for (const heat::TemperatureDependentInput& input : operation.dependent_inputs) {
    power[input.body] += input.power(seconds(time), celsius(level(input.feels))).value();
  }
  for (std::size_t i = 0; i < network.conductances().size(); ++i) {
    const heat::Conductance& one = network.conductances()[i];
    const double first = level(one.first);
    const double second = level(one.second);
    double G = 0.0;
    if (const auto* given = std::get_if<units::ThermalConductance>(&one.value)) {
      G = given->value();
    } else {
      const auto& wall = std::get<heat::ConductingWall>(one.value);
      G = (wall.material->conductivity(celsius(0.5 * (first + second))) * wall.area / wall.length)
              .value();
    }
    const double flow =
        G * opening(one.thermostat) * share(heat::Throttle::Of::conductance, i) * (first - second);
    if (one.first.kind == Place::Kind::body) {
      power[one.first.index] -= flow;
    }
    if (one.second.kind == Place::Kind::body) {
      power[one.second.index] += flow;
    }
  }
  for (std::size_t i = 0; i < network.streams().size(); ++i) {
    const heat::Stream& one = network.streams()[i];
    power[one.to.index] += one.capacity_rate.value() * opening(one.thermostat) *
                           share(heat::Throttle::Of::stream, i) * (level(one.from) - level(one.to));
  }
  for (std::size_t i = 0; i < power.size(); ++i) {
    const auto& capacity = network.bodies()[i].capacity;
    if (const auto* given = std::get_if<units::HeatCapacity>(&capacity)) {
      power[i] /= given->value();
    } else {
      const auto& part = std::get<heat::MassOfMaterial>(capacity);
      power[i] /= (part.mass * part.material->specific_heat(celsius(T[i]))).value();
    }
  }
  return power;
}

}  // namespace lashband::test
