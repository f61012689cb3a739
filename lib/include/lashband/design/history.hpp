#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "lashband/heat/network.hpp"
#include "lashband/heat/schedule.hpp"
#include "lashband/heat/transient.hpp"
#include "lashband/losses/oil_viscosity.hpp"
#include "lashband/thermal/temperature_state.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// Temperatures over time, as the user gives them: rows of a record, or a thermal network and what
/// it goes through.
namespace lashband::design {

/// The oil whose viscosity bearings and teeth feel.
struct Oil {
  std::size_t body = 0;  ///< of the network: its temperature is the oil's
  losses::OilViscosity viscosity;
  units::Density density{};
};

/// A power that a history gives, or the same one in every history.
struct GivenPower {
  std::optional<units::Power> always{};  ///< where a history says nothing
};

/// A share of the power that a history gives for a shaft.
struct PowerShare {
  std::size_t shaft = 0;
  double share = 0.0;
};

/// Tooth friction, P_V = P mu H_V, from the power that a history gives for a shaft.
struct MeshLoss {
  std::size_t mesh = 0;
  std::size_t shaft = 0;  ///< one of the mesh's two
  /// mu_m; empty: by the formula, with the values below, the shaft's speed and the network's oil.
  std::optional<double> friction{};
  units::Length roughness{};  ///< R_a
  double lubricant_factor = 1.0;
};

/// The no-load torque of a bearing in the network's oil, at the speed that a history gives for its
/// shaft.
struct BearingLoss {
  std::size_t shaft = 0;
  double f_0 = 0.0;
  units::Length mean_diameter{};
};

/// Where heat comes from.
struct HeatSource {
  std::string id{};
  std::size_t body = 0;
  std::variant<GivenPower, PowerShare, MeshLoss, BearingLoss> kind{};
};

/// The network of a train.
struct ThermalNetwork {
  heat::Network network;
  /// By zone of the design: the body or boundary that has its temperature. Empty for a zone that
  /// the network leaves out, which nothing is then in.
  std::vector<std::optional<heat::Place>> zones{};
  std::optional<Oil> oil{};
  std::vector<HeatSource> sources{};
};

/// What the network goes through in one history.
struct NetworkRun {
  std::vector<units::Temperature> start{};                       ///< by body
  std::vector<heat::Schedule<units::Temperature>> boundaries{};  ///< by boundary
  std::vector<std::optional<heat::Schedule<units::AngularVelocity>>> shaft_speed{};  ///< by shaft
  std::vector<std::optional<heat::Schedule<units::Power>>> shaft_power{};            ///< by shaft
  std::vector<std::optional<heat::Schedule<units::Power>>> source_power{};           ///< by source
  std::vector<heat::Throttle> throttles{};
  units::Time duration{};  ///< of one cycle
  std::size_t cycles = 1;  ///< at most
  std::optional<units::TemperatureDifference> until_periodic{};
  units::TemperatureDifference accuracy = units::TemperatureDifference::from_value(1e-4);
};

/// Rows of temperatures, linear between them. Times rise strictly; the first need not be 0.
struct TemperatureRecord {
  std::string file;  ///< as the input names it
  std::vector<units::Time> times{};
  std::vector<thermal::TemperatureState> rows{};
};

struct History {
  std::string id{};
  std::variant<TemperatureRecord, NetworkRun> course;
  /// Spacing of the moments that `warmup` tells; empty: a 120th of the history's length.
  std::optional<units::Time> interval{};
};

}  // namespace lashband::design
