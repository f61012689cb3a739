#include "lashband/heat/network.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string_view>
#include <utility>

#include "heat/message.hpp"

namespace lashband::heat {
namespace {

using kernel::named;
using kernel::require;

// By how much more than flows in may flow out of a body, relative to the flow: rates come as
// rounded sums.
constexpr double flow_slack = 1e-9;

template <class Entry>
void check_ids(const char* what, const std::vector<Entry>& entries) {
  std::vector<std::string_view> ids;
  ids.reserve(entries.size());
  for (const Entry& entry : entries) {
    ids.push_back(entry.id);
  }
  std::sort(ids.begin(), ids.end());
  const auto twice = std::adjacent_find(ids.begin(), ids.end());
  if (twice != ids.end()) {
    throw DomainError(named(what, std::string(*twice)) + " stands twice in its list");
  }
}

void check_number(double value, bool zero_allowed, const std::string& what, const char* rule,
                  const char* unit) {
  require((zero_allowed ? value >= 0.0 : value > 0.0) && std::isfinite(value), what, rule, value,
          unit);
}

void check_body(const Body& body) {
  const std::string what = named("body", body.id);
  if (const auto* capacity = std::get_if<units::HeatCapacity>(&body.capacity)) {
    check_number(capacity->value(), false, what, "the heat capacity must be above 0 J/K", " J/K");
    return;
  }
  const auto& part = std::get<MassOfMaterial>(body.capacity);
  check_number(part.mass.value(), false, what, "the mass must be above 0 kg", " kg");
  require(part.material != nullptr, what, "a mass needs a material");
  require(part.material->record().specific_heat.has_value(), what,
          "its material must have a specific heat");
}

void check_place(const std::string& what, const Place& place, std::size_t bodies,
                 std::size_t boundaries) {
  const bool of_body = place.kind == Place::Kind::body;
  require(place.index < (of_body ? bodies : boundaries), what,
          of_body ? "there is no body at that place" : "there is no boundary at that place");
}

void check_thermostat(const std::string& what, const std::optional<Thermostat>& thermostat,
                      std::size_t bodies, std::size_t boundaries) {
  if (!thermostat) {
    return;
  }
  check_place(what + ", thermostat", thermostat->feels, bodies, boundaries);
  require(thermostat->points.size() >= 2, what, "a thermostat must have at least two points");
  for (std::size_t i = 0; i < thermostat->points.size(); ++i) {
    const Thermostat::Point& point = thermostat->points[i];
    const double degrees = point.temperature.value();
    require(std::isfinite(degrees), what, "a temperature of its thermostat must be finite", degrees,
            " degC");
    require(i == 0 || degrees > thermostat->points[i - 1].temperature.value(), what,
            "the temperatures of its thermostat must rise", degrees, " degC");
    require(point.opening >= 0.0 && point.opening <= 1.0, what,
            "an opening of its thermostat must be from 0 to 1", point.opening, "");
  }
}

void check_conductance(const Conductance& conductance, std::size_t bodies, std::size_t boundaries) {
  const std::string what = named("conductance", conductance.id);
  check_place(what, conductance.first, bodies, boundaries);
  check_place(what, conductance.second, bodies, boundaries);
  require(!(conductance.first == conductance.second), what, "it must not join a place to itself");
  if (const auto* value = std::get_if<units::ThermalConductance>(&conductance.value)) {
    check_number(value->value(), true, what, "it must be 0 W/K or more", " W/K");
  } else {
    const auto& wall = std::get<ConductingWall>(conductance.value);
    require(wall.material != nullptr, what, "a wall needs a material");
    require(wall.material->record().conductivity.has_value(), what,
            "its material must have a conductivity");
    check_number(wall.area.value(), false, what, "the area of a wall must be above 0 m2", " m2");
    check_number(wall.length.value(), false, what, "the length of a wall must be above 0 m", " m");
  }
  check_thermostat(what, conductance.thermostat, bodies, boundaries);
}

void check_stream(const Stream& stream, std::size_t bodies, std::size_t boundaries) {
  const std::string what = named("stream", stream.id);
  check_place(what, stream.from, bodies, boundaries);
  check_place(what, stream.to, bodies, boundaries);
  require(stream.to.kind == Place::Kind::body, what, "it must end at a body");
  require(!(stream.from == stream.to), what, "it must not join a place to itself");
  check_number(stream.capacity_rate.value(), true, what, "its capacity rate must be 0 W/K or more",
               " W/K");
  check_thermostat(what, stream.thermostat, bodies, boundaries);
}

void check_flows(const std::vector<Body>& bodies, const std::vector<Stream>& streams) {
  std::vector<double> in(bodies.size(), 0.0);
  std::vector<double> out(bodies.size(), 0.0);
  for (const Stream& stream : streams) {
    in[stream.to.index] += stream.capacity_rate.value();
    if (stream.from.kind == Place::Kind::body) {
      out[stream.from.index] += stream.capacity_rate.value();
    }
  }
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    if (!(out[i] <= in[i] * (1.0 + flow_slack))) {
      std::string text = named("body", bodies[i].id);
      text += ": no more may flow out by streams than the ";
      text += kernel::number_text(in[i]);
      text += " W/K that flow in, not ";
      text += kernel::number_text(out[i]);
      text += " W/K";
      throw DomainError(text);
    }
  }
}

bool ever_open(const std::optional<Thermostat>& thermostat) {
  return !thermostat ||
         std::any_of(thermostat->points.begin(), thermostat->points.end(),
                     [](const Thermostat::Point& point) { return point.opening > 0.0; });
}

bool joins(const Conductance& conductance) {
  const auto* value = std::get_if<units::ThermalConductance>(&conductance.value);
  return (value == nullptr || value->value() > 0.0) && ever_open(conductance.thermostat);
}

// Sets of bodies that are joined, and whether a set reaches a boundary.
class JoinedBodies {
 public:
  explicit JoinedBodies(std::size_t count) : parent_(count), anchored_(count, false) {
    std::iota(parent_.begin(), parent_.end(), std::size_t{0});
  }

  void join(const Place& a, const Place& b) {
    if (a.kind == Place::Kind::boundary && b.kind == Place::Kind::boundary) {
      return;
    }
    if (a.kind == Place::Kind::boundary || b.kind == Place::Kind::boundary) {
      anchored_[root(a.kind == Place::Kind::body ? a.index : b.index)] = true;
      return;
    }
    const std::size_t first = root(a.index);
    const std::size_t second = root(b.index);
    // The lower index stays, so that groups come in the order of their first bodies.
    parent_[std::max(first, second)] = std::min(first, second);
    anchored_[std::min(first, second)] = anchored_[first] || anchored_[second];
  }

  [[nodiscard]] std::size_t root(std::size_t body) {
    while (parent_[body] != body) {
      parent_[body] = parent_[parent_[body]];
      body = parent_[body];
    }
    return body;
  }
  [[nodiscard]] bool anchored(std::size_t body) { return anchored_[root(body)]; }

 private:
  std::vector<std::size_t> parent_;
  std::vector<bool> anchored_;
};

}  // namespace

Network::Network(std::vector<Body> bodies, std::vector<Boundary> boundaries,
                 std::vector<Conductance> conductances, std::vector<Stream> streams)
    : bodies_(std::move(bodies)),
      boundaries_(std::move(boundaries)),
      conductances_(std::move(conductances)),
      streams_(std::move(streams)) {
  require(!bodies_.empty(), "thermal network", "there must be at least one body");
  check_ids("body", bodies_);
  check_ids("boundary", boundaries_);
  check_ids("conductance", conductances_);
  check_ids("stream", streams_);
  std::for_each(bodies_.begin(), bodies_.end(), check_body);
  for (const Conductance& conductance : conductances_) {
    check_conductance(conductance, bodies_.size(), boundaries_.size());
  }
  for (const Stream& stream : streams_) {
    check_stream(stream, bodies_.size(), boundaries_.size());
  }
  check_flows(bodies_, streams_);
}

std::vector<std::vector<std::size_t>> Network::floating_groups() const {
  JoinedBodies joined(bodies_.size());
  for (const Conductance& conductance : conductances_) {
    if (joins(conductance)) {
      joined.join(conductance.first, conductance.second);
    }
  }
  for (const Stream& stream : streams_) {
    if (stream.capacity_rate.value() > 0.0 && ever_open(stream.thermostat)) {
      joined.join(stream.from, stream.to);
    }
  }
  std::vector<std::vector<std::size_t>> groups;
  std::vector<std::size_t> group_of(bodies_.size(), bodies_.size());
  for (std::size_t i = 0; i < bodies_.size(); ++i) {
    if (joined.anchored(i)) {
      continue;
    }
    std::size_t& group = group_of[joined.root(i)];
    if (group == bodies_.size()) {
      group = groups.size();
      groups.emplace_back();
    }
    groups[group].push_back(i);
  }
  return groups;
}

}  // namespace lashband::heat
