#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "lashband/materials/material.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// A lumped thermal network: bodies that store heat, what joins them, and the surroundings whose
/// temperature is given.
///
/// Simplifications: each body has one temperature (its inner resistance is small beside that of its
/// surface: Biot number h L/k under about 0.1); streams hold no heat of their own between bodies.
namespace lashband::heat {

/// A capacity from mass and material; the specific heat is that at the body's temperature.
struct MassOfMaterial {
  units::Mass mass;
  std::shared_ptr<const materials::Material> material;
};

/// A body that stores heat.
struct Body {
  std::string id{};
  std::variant<units::HeatCapacity, MassOfMaterial> capacity{};
};

/// Surroundings whose temperature is given over time: ambient air, coolant.
struct Boundary {
  std::string id{};
};

/// A body or a boundary, by its place in the network's list of these.
struct Place {
  enum class Kind { body, boundary };
  Kind kind = Kind::body;
  std::size_t index = 0;
  friend bool operator==(const Place&, const Place&) = default;
};

/// How far a valve is open over a temperature that it feels: linear between its points, constant
/// outside them. Values from 0 to 1.
struct Thermostat {
  struct Point {
    units::Temperature temperature;
    double opening = 0.0;
  };
  Place feels{};
  std::vector<Point> points{};  ///< at least two, in rising order of temperature
};

/// A wall through which heat flows by conduction, k A/L with k of the material at the mean of both
/// ends' temperatures.
struct ConductingWall {
  std::shared_ptr<const materials::Material> material;
  units::Area area;
  units::Length length;
};

/// A way for heat either way, in proportion to the temperature difference: a film h A, a wall, a
/// joint.
struct Conductance {
  std::string id{};
  Place first{};
  Place second{};
  std::variant<units::ThermalConductance, ConductingWall> value{};
  std::optional<Thermostat> thermostat{};  ///< times its opening
};

/// A stream of oil or coolant that carries heat one way: it arrives with the temperature of `from`
/// and brings rho c V (T_from - T_to) to `to`.
struct Stream {
  std::string id{};
  Place from{};
  Place to{};                                 ///< a body
  units::ThermalConductance capacity_rate{};  ///< rho c V, fully open
  std::optional<Thermostat> thermostat{};     ///< times its opening
};

/// Checked on construction, immutable.
class Network {
 public:
  /// Throws DomainError, naming the entry, unless
  ///   - there is a body; ids differ within each list;
  ///   - capacities are above 0 (masses above 0, materials with a specific heat), conductances and
  ///     capacity rates 0 or more, areas and lengths of walls above 0;
  ///   - every place exists, no conductance or stream joins a place to itself, a stream ends at a
  ///     body;
  ///   - a thermostat has at least two points in rising order of temperature with openings in
  ///     [0, 1];
  ///   - no more flows out of a body by streams, fully open, than flows in (within 1e-9 of it): its
  ///     oil would run dry. What flows in and not on leaves the network.
  Network(std::vector<Body> bodies, std::vector<Boundary> boundaries,
          std::vector<Conductance> conductances, std::vector<Stream> streams);

  [[nodiscard]] const std::vector<Body>& bodies() const { return bodies_; }
  [[nodiscard]] const std::vector<Boundary>& boundaries() const { return boundaries_; }
  [[nodiscard]] const std::vector<Conductance>& conductances() const { return conductances_; }
  [[nodiscard]] const std::vector<Stream>& streams() const { return streams_; }

  /// Bodies from which no heat can ever reach a boundary, in groups that are joined among
  /// themselves: such a group floats, it keeps whatever heat it is given. Two places are joined by
  /// a conductance or a stream between them, in either direction, that is above 0 and whose
  /// thermostat opens at some temperature; a group floats if no body of it is joined to a boundary.
  /// That is all there is to streams: where none comes from a boundary no oil can leave, since no
  /// body gives more than it gets, and what a circuit carries away from a body it brings back.
  /// Throttles are not seen. Groups in the order of their first bodies, places as indexes into
  /// `bodies`.
  [[nodiscard]] std::vector<std::vector<std::size_t>> floating_groups() const;

 private:
  std::vector<Body> bodies_;
  std::vector<Boundary> boundaries_;
  std::vector<Conductance> conductances_;
  std::vector<Stream> streams_;
};

}  // namespace lashband::heat
