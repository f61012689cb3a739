// Writes made networks as JSON, each with what it goes through and with its temperatures by the
// library, for tests/scipy/heat_network.py.
//
//   heat_cases FILE
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>

#include "made_networks.hpp"

using namespace lashband;
using namespace lashband::heat;
using namespace lashband::test;

namespace {

constexpr double accuracy_in_kelvin = 1e-4;

nlohmann::json as_json(const Place& place) {
  return {place.kind == Place::Kind::body ? "body" : "boundary", place.index};
}

template <class Q>
nlohmann::json as_json(const Schedule<Q>& schedule) {
  return {{"times", schedule.times_in_seconds()}, {"values", schedule.values()}};
}

nlohmann::json as_json(const std::optional<Thermostat>& thermostat) {
  if (!thermostat) {
    return nullptr;
  }
  nlohmann::json json{{"feels", as_json(thermostat->feels)}, {"points", nlohmann::json::array()}};
  for (const Thermostat::Point& point : thermostat->points) {
    json["points"].push_back({point.temperature.value(), point.opening});
  }
  return json;
}

template <class Q>
nlohmann::json as_json(const materials::PropertyRecord<Q>& record) {
  nlohmann::json json = nlohmann::json::array();
  for (const auto& point : std::get<materials::PropertyTable<Q>>(record).points) {
    json.push_back({point.temperature.value(), point.value.value()});
  }
  return json;
}

nlohmann::json network_as_json(const Network& network) {
  nlohmann::json json{{"bodies", nlohmann::json::array()},
                      {"conductances", nlohmann::json::array()},
                      {"streams", nlohmann::json::array()}};
  for (const Body& one : network.bodies()) {
    if (const auto* capacity = std::get_if<units::HeatCapacity>(&one.capacity)) {
      json["bodies"].push_back({{"capacity", capacity->value()}});
    } else {
      const auto& part = std::get<MassOfMaterial>(one.capacity);
      json["bodies"].push_back(
          {{"mass", part.mass.value()},
           {"specific_heat", as_json(*part.material->record().specific_heat)}});
    }
  }
  for (const Conductance& one : network.conductances()) {
    nlohmann::json row{{"first", as_json(one.first)},
                       {"second", as_json(one.second)},
                       {"thermostat", as_json(one.thermostat)}};
    if (const auto* value = std::get_if<units::ThermalConductance>(&one.value)) {
      row["value"] = value->value();
    } else {
      const auto& wall = std::get<ConductingWall>(one.value);
      row["area_over_length"] = (wall.area / wall.length).value();
      row["conductivity"] = as_json(*wall.material->record().conductivity);
    }
    json["conductances"].push_back(row);
  }
  for (const Stream& one : network.streams()) {
    json["streams"].push_back({{"from", as_json(one.from)},
                               {"to", as_json(one.to)},
                               {"thermostat", as_json(one.thermostat)},
                               {"rate", one.capacity_rate.value()}});
  }
  return json;
}

nlohmann::json as_json(const MadeNetwork& made) {
  const Operation& operation = made.operation;
  nlohmann::json json = network_as_json(made.network);
  json["name"] = made.name;
  json["duration"] = operation.duration.value();
  for (const units::Temperature& level : operation.start) {
    json["start"].push_back(level.value());
  }
  for (const auto& schedule : operation.boundaries) {
    json["boundaries"].push_back(as_json(schedule));
  }
  json["inputs"] = nlohmann::json::array();
  for (const HeatInput& input : operation.inputs) {
    json["inputs"].push_back({{"body", input.body}, {"power", as_json(input.power)}});
  }
  json["churning"] = nlohmann::json::array();
  for (const Churning& one : made.churning) {
    json["churning"].push_back({{"body", one.body},
                                {"feels", one.feels},
                                {"power", one.power},
                                {"from", one.from},
                                {"width", one.width}});
  }
  json["throttles"] = nlohmann::json::array();
  for (const Throttle& throttle : operation.throttles) {
    json["throttles"].push_back(
        {{"of", throttle.of == Throttle::Of::stream ? "streams" : "conductances"},
         {"index", throttle.index},
         {"share", as_json(throttle.share)}});
  }

  SolveOptions options;
  options.accuracy = kelvins(accuracy_in_kelvin);
  const Solution solution = solve(made.network, operation, options);
  if (solution.outcome() != Outcome::done) {
    std::fprintf(stderr, "%s: %s\n", made.name.c_str(), solution.message().c_str());
    std::exit(1);
  }
  json["linear"] = made.linear;
  json["accuracy"] = accuracy_in_kelvin;
  for (const units::Time& kink : solution.kinks()) {
    json["kinks"].push_back(kink.value());
  }
  const std::vector<units::Time> times = moments(operation.duration.value(), 36);
  const auto rows = solution.at(times);
  for (std::size_t i = 0; i < times.size(); ++i) {
    json["times"].push_back(times[i].value());
    nlohmann::json row = nlohmann::json::array();
    for (const units::Temperature& level : rows[i]) {
      row.push_back(level.value());
    }
    json["temperatures"].push_back(row);
  }
  return json;
}

}  // namespace

int main(int count, char** words) {
  if (count != 2) {
    std::fprintf(stderr, "usage: heat_cases FILE\n");
    return 2;
  }
  nlohmann::json cases = nlohmann::json::array();
  for (const MadeNetwork& made :
       {random_network(1, 3, Streams::none), random_network(4, 17, Streams::some),
        random_network(5, 40, Streams::some), chain(12), dependent_network(7, 9, Kind::thermostat),
        dependent_network(7, 9, Kind::specific_heat), dependent_network(7, 9, Kind::churning),
        dependent_network(7, 9, Kind::throttle), dependent_network(8, 12, Kind::all)}) {
    cases.push_back(as_json(made));
  }
  std::ofstream file(words[1]);
  file << cases;
  return file.good() ? 0 : 1;
}
