#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "lashband/excitation/pressure_trace.hpp"
#include "lashband/excitation/speed_scaling.hpp"
#include "lashband/losses/oil_viscosity.hpp"
#include "lashband/materials/elastomer.hpp"
#include "lashband/thermal/solid.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// What the torsional model of a train is made of, as the user describes it. Every shaft turns in
/// its own sense: angles and torques of a shaft count positive in the sense in which it turns.
namespace lashband::design {

/// A round body about the axis; `solid` gives density and shear modulus, empty: that of the shaft.
struct Cylinder {
  units::Length outside_diameter{};
  units::Length bore{};  ///< 0: solid
  units::Length length{};
  std::optional<thermal::Solid> solid{};
};

/// A part of a shaft that turns as one: everything on it, and what stiff pieces of shaft join.
struct Station {
  std::string id{};  ///< that of the shaft where it has one station only
  std::size_t shaft = 0;
  std::vector<std::size_t> gears{};  ///< indices into Design::gears
  std::optional<units::Inertia> inertia{};
  std::vector<Cylinder> bodies{};
};

/// A piece of shaft between two stations of one shaft. Half of its inertia counts for each.
struct ShaftSegment {
  std::size_t station_1 = 0;
  std::size_t station_2 = 0;
  std::variant<units::TorsionalStiffness, Cylinder> build{};
  double loss_factor = 0.0;  ///< eta, of the material and of the joints on it
};

/// The rubber or the like between two bodies that turn against each other.
struct Elastomer {
  /// A ring bonded to a hub and a rim.
  struct Ring {
    units::Length inner_diameter{};
    units::Length outer_diameter{};
    units::Length width{};
  };
  /// Stiffness of slow loading at the reference temperature: given, or that of a ring, whose shear
  /// modulus is the material's, given, or that of a hardness.
  std::optional<units::TorsionalStiffness> stiffness{};
  std::optional<Ring> ring{};
  std::optional<thermal::Solid> solid{};  ///< its material and zone
  std::optional<units::Pressure> shear_modulus{};
  std::optional<materials::Hardness> hardness{};
  double dynamic_factor = 1.0;  ///< dynamic stiffness over that of slow loading
  // One of these, or the loss factor or Prony terms of the material.
  std::optional<double> loss_factor{};
  std::optional<units::TorsionalDamping> damping{};
  std::optional<std::size_t> zone{};  ///< of its temperature; empty: the reference temperature
  /// Stiffness over that at the reference temperature; empty: the material's, or 1.
  std::vector<std::pair<units::Temperature, double>> temperature_factor{};
  std::optional<double> shear_strain_limit{};  ///< or the material's
  std::optional<units::Angle> end_stop{};      ///< free twist to either side
  /// To its surroundings, which have the temperature of its zone: it then heats itself.
  std::optional<units::ThermalConductance> conductance{};
};

/// The inertia of a gear's body, and what joins it to its shaft.
struct GearBody {
  std::size_t gear = 0;
  /// Given, or from bore (of a ring gear: outside diameter) to the middle of the teeth.
  std::variant<units::Inertia, units::Length> build{};
  /// Of a gear with a rim on an elastomer ring: the body above is the rim, the hub is the station.
  std::optional<Elastomer> elastomer{};
};

/// A wheel on a shaft that turns against it: tuned by a spring, or carried along by a fluid alone.
struct Damper {
  std::string id{};
  std::size_t station = 0;
  units::Inertia inertia{};
  std::optional<Elastomer> elastomer{};
  std::optional<units::TorsionalDamping> viscous{};
};

/// The body of a gear below its teeth, where that is a web (ISO 6336-1).
struct Web {
  units::Length thickness{};  ///< b_s
  units::Length rim{};        ///< s_R
};

/// A harmonic of the transmission error: how far the driven flank is behind on the base tangent,
/// Re(a e^(i (h z phi + phase))), z phi the mesh angle of gear 1.
struct TransmissionError {
  int harmonic = 1;
  units::Length amplitude{};
  units::Angle phase{};
};

struct MeshDynamics {
  std::size_t mesh = 0;
  std::optional<units::LinearStiffness> stiffness{};  ///< k_m; empty: ISO 6336-1 method B
  std::optional<Web> web_1{}, web_2{};
  double damping_ratio = 0.0;
  std::vector<TransmissionError> transmission_error{};
  /// The tooth stiffness of a lightly loaded mesh falls with the load a width, down to that at this
  /// one.
  double least_load_per_width_in_newton_per_mm = 10.0;
};

/// What brakes a shaft.
struct Drag {
  struct BearingTorque {
    double f_0 = 0.0;
    units::Length mean_diameter{};
  };
  std::string id{};
  std::size_t station = 0;
  std::variant<units::Torque, units::TorsionalDamping, BearingTorque> kind{};
};

/// The oil in the bearings.
struct DragOil {
  losses::OilViscosity viscosity;
  std::size_t zone = 0;
};

using excitation::SpeedScaling;

/// A torque that turns with a shaft: Re(a e^(i (order phi + phase))), phi the angle of the shaft.
struct TorqueOrder {
  double order = 1.0;
  units::Torque amplitude{};
  units::Angle phase{};
  SpeedScaling scaling = SpeedScaling::constant;
};

/// A piston on a crank. The crank angle rises with the shaft's rotation and counts from where the
/// crank points along the cylinder to the piston: without offset, top dead centre. The shaft's
/// angle is `top_dead_centre` there.
struct CrankMechanism {
  units::Length crank_radius{};
  units::Length rod_length{};
  units::Length offset{};  ///< of the piston's line from the crank's axis
  units::Mass reciprocating_mass{};
  units::Angle top_dead_centre{};
  std::optional<units::Length> bore{};  ///< with a trace
  std::optional<excitation::PressureTrace> pressure{};
  std::string pressure_file{};                                          ///< as the input names it
  units::Pressure ambient = units::from_si<units::Pressure>(101325.0);  ///< behind the piston
};

/// Torques on a station. `orders` repeat by multiples of the speed of its shaft.
struct ShaftTorque {
  std::string id{};
  std::size_t station = 0;
  units::Torque mean{};  ///< above 0 drives, below 0 loads
  SpeedScaling mean_scaling = SpeedScaling::constant;
  std::vector<TorqueOrder> orders{};
  std::optional<CrankMechanism> crank{};
};

/// The speed of the reference shaft, from one end to the other in equal steps.
struct SpeedSweep {
  units::AngularVelocity from{};
  units::AngularVelocity to{};
  std::size_t points = 0;
};

/// Asked of the train at every condition with a speed. Empty = not asked for.
struct TorsionRequirements {
  std::optional<double> greatest_rattle_index{};
  /// Between an excitation's frequency and a natural one, over the natural one.
  std::optional<double> least_resonance_margin{};
};

struct TorsionSettings {
  std::size_t driver = 0;  ///< shaft that takes up what the mean torques leave
  std::optional<SpeedSweep> sweep{};
  /// The speed that amplitudes scale from; empty where none scales.
  std::optional<units::AngularVelocity> scaling_speed{};
  std::vector<Station> stations{};  ///< every shaft has one or more
  std::vector<ShaftSegment> segments{};
  std::vector<GearBody> gears{};
  std::vector<MeshDynamics> meshes{};
  std::vector<Damper> dampers{};
  std::vector<Drag> drags{};
  std::optional<DragOil> oil{};
  std::vector<ShaftTorque> torques{};
  int greatest_order = 24;  ///< of the torques of cranks, times the speed of their shaft
  TorsionRequirements require{};
};

}  // namespace lashband::design
