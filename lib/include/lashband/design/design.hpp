#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "lashband/bearing/preload.hpp"
#include "lashband/design/history.hpp"
#include "lashband/design/requirements.hpp"
#include "lashband/design/torsion_settings.hpp"
#include "lashband/geometry/centre_distance.hpp"
#include "lashband/geometry/toothed_body.hpp"
#include "lashband/materials/material.hpp"
#include "lashband/spectrum/lines.hpp"
#include "lashband/thermal/carrier.hpp"
#include "lashband/thermal/solid.hpp"
#include "lashband/thermal/temperature_state.hpp"
#include "lashband/tolerance/toleranced.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// A gear train as the user has described it, checked and with every name resolved. From here on no
/// text, JSON or file name exists; io makes a Design, the analyses read it.
namespace lashband::design {

/// A fit of two cylinders. Interference = deviation of the inner part - deviation of the outer
/// part.
struct Fit {
  tolerance::Toleranced<units::Length> bore{};   ///< deviation of the outer part: a housing, a ring
  tolerance::Toleranced<units::Length> shaft{};  ///< deviation of the inner part: a ring, a shaft
};

/// A rolling bearing in its seat. Diameters at the reference temperature.
struct Bearing {
  std::string id{};                                  ///< "crank A bearing 1"
  std::optional<units::Length> at{};                 ///< place along the shaft
  tolerance::Toleranced<units::Length> clearance{};  ///< G_0, diametral, before mounting
  std::optional<units::Length> bore{};               ///< d
  std::optional<units::Length> outside_diameter{};   ///< D
  std::optional<units::Length> outer_raceway{};      ///< estimated where not given
  std::optional<units::Length> inner_raceway{};
  std::optional<Fit> outer_fit{};  ///< outer ring in its seat; empty: neither loose nor tight
  std::optional<Fit> inner_fit{};  ///< inner ring on the shaft
  std::optional<units::Length> seat_outside{};  ///< of the wall around; empty: thick
  units::Length shaft_bore{};                   ///< 0: solid
  /// Rings and balls; empty: the clearance does not change with temperature. Needed with a fit.
  std::optional<thermal::Solid> rings{};
  units::TemperatureDifference inner_excess{};  ///< inner ring warmer than the outer; balls between
  std::optional<thermal::Solid> seat{};         ///< empty: the carrier's own
  std::optional<spectrum::RollingElements> inside{};  ///< for its frequencies
};

/// Two bearings set against each other along the shaft: no radial float until temperature has used
/// up the travel.
struct Preload {
  bearing::Arrangement arrangement{};
  units::Length travel{};  ///< axial, at the reference temperature
  units::Angle contact_angle{};
  units::Length span{};         ///< L_x between the seats
  thermal::Solid case_solid{};  ///< what holds the seats apart
};

struct Shaft {
  std::string id{};
  std::optional<geometry::Point> at{};
  std::vector<Bearing> bearings{};
  std::optional<Preload> preload{};
  std::optional<thermal::Solid> solid{};  ///< needed with an inner fit or a preload
  /// Diameter of the zone in which the axis of its bores lies (ISO 1101); each of the two
  /// coordinates is normal with +-3 sigma over the zone.
  std::optional<units::Length> position_tolerance{};
  /// How far the shaft can move along its axis, from stop to stop; 0 or more.
  std::optional<tolerance::Toleranced<units::Length>> axial_float{};
};

struct Gear {
  std::string id{};
  std::size_t shaft = 0;       ///< index into Design::shafts
  geometry::ToothedBody body;  ///< as drawn, with E_sn = 0
  std::optional<tolerance::Toleranced<units::Length>> thickness_allowance{};  ///< E_sni, E_sns
  thermal::Solid solid{};
  std::optional<units::Length> at{};  ///< place of the middle of the face along the shaft
  std::optional<tolerance::Toleranced<units::Length>> run_out{};          ///< F_r
  std::optional<tolerance::Toleranced<units::Length>> pitch_deviation{};  ///< f_pb, 0 or more
  std::optional<tolerance::Toleranced<units::Length>> helix_deviation{};  ///< F_beta, signed slope
  std::optional<units::Band<units::Length>> tip_diameter_deviation{};
  /// Direction of the centre of a tooth with the shaft at rest, from x towards y.
  std::optional<units::Angle> tooth_at{};
};

/// Axes out of parallel: signed deviations over a length of axis (ISO/TR 10064-3).
struct AxisParallelism {
  std::optional<tolerance::Toleranced<units::Length>>
      f_sigma_delta{};                                                 ///< in the plane of the axes
  std::optional<tolerance::Toleranced<units::Length>> f_sigma_beta{};  ///< across it
  units::Length over{};
};

/// Opening of the centre distance under load, along the line of centres.
struct Separation {
  std::optional<units::Length> fixed{};          ///< at any load
  std::optional<units::Compliance> per_force{};  ///< times the mesh force of the condition
};

/// A contribution of the user's own.
struct OwnTerm {
  enum class On { centre_distance, normal_backlash };
  std::string id{};
  On on = On::normal_backlash;
  tolerance::Toleranced<units::Length> value{};
};

struct Mesh {
  std::string id{};
  std::size_t gear_1 = 0;  ///< index into Design::gears
  std::size_t gear_2 = 0;
  units::Length centre_distance{};  ///< L at the reference temperature
  std::optional<tolerance::Toleranced<units::Length>> centre_distance_deviation{};
  std::optional<AxisParallelism> parallelism{};
  std::optional<units::Angle> run_out_phase{};  ///< between the high points of a 1:1 pair, if timed
  std::optional<tolerance::Toleranced<units::Length>> wear{};  ///< opens the normal backlash
  std::optional<Separation> separation{};
  std::vector<OwnTerm> own_terms{};
  MeshRequirements require;
};

/// Solids whose elongations scatter together: one draw for all of them.
struct ExpansionGroup {
  std::string id{};
  std::vector<std::string> materials{};  ///< ids
  double uncertainty = 0.0;              ///< relative, the limits of the band
  tolerance::Shape shape = tolerance::Shape::normal();
};

/// Two contributors that do not vary independently, by their ids in the budget.
struct Correlation {
  std::string first{};
  std::string second{};
  double coefficient = 0.0;  ///< of the normal scores
};

struct ShaftSpeed {
  std::size_t shaft = 0;
  units::AngularVelocity speed{};  ///< signed
};

/// A named state of temperature, speed and load.
struct Condition {
  std::string id{};
  thermal::TemperatureState temperatures;
  /// Of the shaft that speeds are referred to.
  std::optional<units::AngularVelocity> speed{};
  /// Of one shaft in each group that has one, the reference's group included.
  std::vector<ShaftSpeed> speeds{};
  std::vector<std::optional<units::Force>> mesh_force{};  ///< F_bt by mesh; empty: not given
};

/// How far one shaft turns while another is held.
struct LostMotionPair {
  std::size_t of = 0;
  std::size_t held = 0;
  std::optional<units::Angle> greatest{};  ///< allowed
  Basis basis = Basis::worst_case;
};

/// The bores sit in an arm that turns.
struct PlanetArm {
  std::string id{};
  std::size_t held = 0;  ///< the shaft that does not turn
};

/// The train as a whole.
struct TrainSettings {
  std::size_t reference = 0;  ///< the shaft that speeds and orders are referred to
  bool reference_given = false;
  std::optional<PlanetArm> arm{};
  std::vector<LostMotionPair> lost_motion{};  ///< asked for
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
  TrainSettings train;
  std::vector<spectrum::Excitation> excitations;
  std::vector<ExpansionGroup> expansion_groups;
  std::vector<Correlation> correlations;
  std::vector<Condition> conditions;
  std::optional<Soak> soak;
  std::optional<ThermalNetwork> thermal_network;
  std::vector<History> histories;
  std::vector<Note> notes;
  std::optional<TorsionSettings> torsion{};
};

/// One temperature state of a design: a condition, a point of the soak sweep, or a moment of a
/// history.
struct State {
  std::string id;         ///< the condition's id, "soak -35 degC", or "cold start at 140 s"
  std::string condition;  ///< the condition's id, "soak", or the history's id
  std::size_t order = 0;  ///< index into Design::conditions; of a soak point or moment, its number
  thermal::TemperatureState temperatures;
  std::optional<units::Time> time{};  ///< of a moment, from the start of its history
  /// Of a moment: how far its history has made the friction joint of each wall slip before it.
  std::vector<thermal::JointSlip> slips{};
};

/// Every state that stands in the design itself, in the order of results: conditions, then the soak
/// sweep. Moments of histories follow in results; they are chosen where something happens.
[[nodiscard]] std::vector<State> states_of(const Design& design);

}  // namespace lashband::design
