#pragma once

#include <complex>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"
#include "lashband/units/quantities.hpp"

/// The torsional model of a train: natural frequencies, forced response, rattle index.
///
/// Simplifications: linear, the teeth of every mesh stay in contact (where the rattle index is
/// above 1 they do not, and the forces shown are those of teeth that could pull); shafts turn
/// uniformly but for small vibrations; inertias are lumped; bearings are stiff; the mesh stiffness
/// is its mean over the mesh cycle; the torque of bearings and other constant drag counts for the
/// mean alone. Shafts count in the sense in which each turns. Derived in docs/theory/torsion.md.
namespace lashband::design {

/// A body of the model.
struct TorsionInertia {
  enum class Kind { station, rim, damper };
  Kind kind = Kind::station;
  std::string id{};     ///< of the station, gear or damper
  std::string shaft{};  ///< that it turns with, at `ratio` times the speed of the reference
  double ratio = 1.0;   ///< signed
  units::Inertia inertia{};
};

/// A spring or damper of the model, between two bodies or a body and the case.
struct TorsionElement {
  enum class Kind { segment, mesh, elastomer, damper, drag };
  Kind kind = Kind::segment;
  std::string id{};
  std::size_t inertia_1 = 0;  ///< index into TorsionResult::inertias
  std::optional<std::size_t> inertia_2{};
};

/// An element at a condition. Of a mesh force and stiffness act on the base tangent; else they are
/// a torque and a torsional stiffness.
struct ElementState {
  double stiffness = 0.0;  ///< N/m or N m/rad, of slow vibration: with the dynamic factor
  double mean = 0.0;       ///< N or N m
  double greatest = 0.0;   ///< over a full cycle, mean included, at the speed of the condition
  double least = 0.0;
};

/// A natural frequency.
struct NaturalMode {
  units::Frequency frequency{};                  ///< without damping; 0 of a free motion
  std::optional<double> damping_ratio{};         ///< of the damped mode nearest to it
  std::optional<units::Frequency> damped{};      ///< |lambda| / 2 pi of that one
  std::vector<double> shape{};                   ///< by inertia, the greatest 1
  std::vector<double> strain_share{};            ///< by element, sum 1; empty of a free motion
  std::vector<std::size_t> nodes{};              ///< elements whose ends turn against each other
  std::vector<double> frequency_by_stiffness{};  ///< d ln f / d ln k, by element
  std::vector<double> frequency_by_inertia{};    ///< d ln f / d ln J, by inertia
};

/// What shakes the train, as multiples of the speed of the reference shaft.
struct ExcitationLine {
  std::string id{};  ///< "torque load", "mesh A-B"
  double order = 0.0;
  double order_of_source = 0.0;  ///< of its own shaft, or the harmonic of the mesh
};

/// Where an excitation meets a natural frequency.
struct Crossing {
  std::size_t line = 0;            ///< index into TorsionResult::lines
  std::size_t mode = 0;            ///< index into TorsionCondition::modes
  units::AngularVelocity speed{};  ///< of the reference shaft
  std::optional<double> margin{};  ///< at the condition's speed: f_excitation / f_n - 1
};

/// A mesh under vibration.
struct MeshVibration {
  std::size_t mesh = 0;  ///< index into Design::meshes
  units::Force mean{};
  units::Force least{};  ///< min of s F, s the sign of the mean
  bool unloaded = false;
  std::optional<double> rattle_index{};      ///< Lambda; empty where unloaded
  std::vector<double> index_by_stiffness{};  ///< d Lambda / d ln k, by element
  std::vector<double> index_by_inertia{};    ///< d Lambda / d ln J, by inertia
};

/// The response at one speed.
struct SweepPoint {
  units::AngularVelocity speed{};                     ///< of the reference shaft
  std::vector<double> dynamic{};                      ///< by element: half of greatest less least
  std::vector<std::optional<double>> rattle_index{};  ///< by mesh of the model
  std::vector<units::Force> least_force{};
};

/// How far a shaft is wound up against another, and how it swings about that: every shaft against
/// the reference, then the pairs whose lost motion is asked for.
struct WindUp {
  std::string shaft{};
  std::string against{};
  units::Angle mean{};         ///< of the shaft behind the place the tooth numbers give it
  units::Angle phase_error{};  ///< half of what it swings over a full cycle
};

/// An elastomer at a condition.
struct ElastomerState {
  enum class Status { given, settled, above_range, runs_away, not_found };
  std::size_t element = 0;
  units::Temperature temperature{};
  Status status = Status::given;          ///< how the temperature was found
  units::TorsionalStiffness stiffness{};  ///< of slow vibration: with the dynamic factor
  double loss_factor = 0.0;               ///< at the order that strains it most
  units::Angle mean_twist{};
  units::Angle greatest_twist{};         ///< over a full cycle, either way
  std::optional<double> shear_strain{};  ///< at the inner diameter, at the greatest twist
  units::Power heat{};
  units::Energy heat_per_cycle{};  ///< over a full cycle
};

/// The moment of momentum of the train, and what the case feels of its changes.
struct CaseReaction {
  units::Inertia inertia{};        ///< sum of J r: torque on the case = - inertia d omega/dt
  units::Inertia greatest_part{};  ///< the greatest |J r| of a shaft, to compare with
  struct Cancelling {
    std::string shaft{};
    units::Inertia inertia{};  ///< that makes the sum 0 when it is added to this shaft
  };
  std::vector<Cancelling> cancelling{};
  units::Torque vibration{};  ///< half of greatest less least torque on the case over a full cycle
};

/// Powers at the condition's speed; what goes in is dissipated.
struct TorsionPower {
  units::Power driven{};  ///< by mean torques that drive, the balancing one included
  units::Power loads{};   ///< taken by mean torques that load
  units::Power drag{};
  units::Power vibration_in{};   ///< by alternating torques and transmission errors
  units::Power vibration_out{};  ///< dissipated by vibration
};

struct TorsionCondition {
  std::string id{};
  units::AngularVelocity speed{};  ///< of the reference shaft: what follows holds there
  /// The speed is that of the condition or was asked for, and requirements are judged at it;
  /// otherwise it is the top of the sweep.
  bool speed_judged = false;
  std::vector<ElementState> elements{};
  std::vector<NaturalMode> modes{};
  std::vector<Crossing> crossings{};  ///< nearest first
  std::vector<MeshVibration> meshes{};
  std::vector<WindUp> wind_up{};
  std::vector<ElastomerState> elastomers{};
  CaseReaction reaction{};
  units::Torque balance{};  ///< that the driver takes up
  TorsionPower power{};
  std::vector<SweepPoint> sweep{};
};

struct TorsionResult {
  Provenance input{};
  std::string carrier{};
  std::string reference{};
  std::string driver{};
  std::vector<TorsionInertia> inertias{};
  std::vector<TorsionElement> elements{};
  std::vector<std::size_t> meshes{};  ///< elements that are meshes, in the order of the design
  std::vector<ExcitationLine> lines{};
  /// Revolutions of the reference shaft until everything repeats; empty where nothing excites.
  std::optional<double> revolutions_per_cycle{};
  std::vector<TorsionCondition> conditions{};
  std::vector<RequirementRow> requirements{};
  std::vector<Warning> warnings{};
  std::vector<Failure> failures{};

  [[nodiscard]] bool all_requirements_met() const;
};

struct TorsionQuestion {
  std::optional<units::AngularVelocity> speed{};  ///< of the reference shaft, for every condition
  bool sweep = true;                              ///< over the speeds of the settings
};

/// The torsional model at every condition, with the carrier at `carrier`. Throws DomainError where
/// the design has no torsion settings. What cannot be computed at a condition is a failure there.
[[nodiscard]] TorsionResult torsion_of(const Design& design, std::size_t carrier,
                                       const RunOptions& options,
                                       const TorsionQuestion& question = {});

/// The same from a run of the design that is at hand.
[[nodiscard]] TorsionResult torsion_of(const Design& design, const BacklashResult& backlash,
                                       const RunOptions& options,
                                       const TorsionQuestion& question = {});

}  // namespace lashband::design
