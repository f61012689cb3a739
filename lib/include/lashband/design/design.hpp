#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/requirements.hpp"
#include "lashband/geometry/centre_distance.hpp"
#include "lashband/geometry/toothed_body.hpp"
#include "lashband/materials/material.hpp"
#include "lashband/thermal/carrier.hpp"
#include "lashband/thermal/solid.hpp"
#include "lashband/thermal/temperature_state.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// A gear train as the user has described it, checked and with every name resolved. From here on no
/// text, JSON or file name exists; io makes a Design, the analyses read it.
namespace lashband::design {

struct Shaft {
  std::string id;
  std::optional<geometry::Point> at;
};

struct Gear {
  std::string id;
  std::size_t shaft = 0;                           ///< index into Design::shafts
  geometry::ToothedBody body;                      ///< as drawn, with E_sn = 0
  units::Band<units::Length> thickness_allowance;  ///< E_sni, E_sns; both 0 where not given
  thermal::Solid solid;
};

struct Mesh {
  std::string id;
  std::size_t gear_1 = 0;  ///< index into Design::gears
  std::size_t gear_2 = 0;
  units::Length centre_distance;                         ///< L at the reference temperature
  units::Band<units::Length> centre_distance_deviation;  ///< both 0 where not given
  MeshRequirements require;
};

/// A named state of temperature, speed and load.
struct Condition {
  std::string id;
  thermal::TemperatureState temperatures;
  std::optional<units::AngularVelocity> speed;
};

/// All zones at one temperature, from one end to the other in equal steps.
struct Soak {
  units::Temperature from;
  units::Temperature to;
  std::size_t points = 0;
};

/// What the reader found worth saying. `subject` names what it is about ("gear gA"), may be empty.
struct Note {
  std::string kind;
  std::string subject;
  std::string text;
};

struct Design {
  std::string title;
  std::string digest;  ///< SHA-256 of the input, in hexadecimal
  units::Temperature reference_temperature = units::iso_1_reference();
  std::vector<std::string> zones;
  std::vector<thermal::Carrier> carriers;
  std::size_t carrier_in_use = 0;
  std::vector<Shaft> shafts;
  std::vector<Gear> gears;
  std::vector<Mesh> meshes;
  std::vector<Condition> conditions;
  std::optional<Soak> soak;
  std::vector<Note> notes;
};

/// One temperature state of a design: a condition or a point of the soak sweep.
struct State {
  std::string id;         ///< the condition's id, or "soak -35 degC"
  std::string condition;  ///< the condition's id, or "soak"
  thermal::TemperatureState temperatures;
};

/// Every state of the design in the order of results: conditions, then the soak sweep.
[[nodiscard]] std::vector<State> states_of(const Design& design);

}  // namespace lashband::design
