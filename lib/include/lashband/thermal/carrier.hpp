#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "lashband/thermal/solid.hpp"
#include "lashband/units/quantities.hpp"

/// The carrier of the bores: what sets the centre distances over temperature.
///
/// Simplifications: every solid has one temperature; strains are uniform over the carrier, so every
/// centre distance on it takes the same strain; insert and case are two springs side by side over
/// the locating span. Bending of plate and wall as a bimetal is not modelled.
namespace lashband::thermal {

/// One solid at one temperature.
struct PlainCarrier {
  Solid solid;
};

/// A solid that makes up a share of the way between two bores.
struct PathSegment {
  Solid solid;
  double share = 0.0;
};

/// Solids in series between the bores; the shares add up to 1.
struct PathCarrier {
  std::vector<PathSegment> segments;
};

/// An insert or a case, stiff by its section (k = E A / L_J) or by a given stiffness: one of both.
struct HeldPart {
  Solid solid;
  std::optional<units::Area> section;
  std::optional<units::LinearStiffness> stiffness;
};

struct RigidJoint {};

struct ElasticJoint {
  units::LinearStiffness stiffness;
};

/// Free travel before the case squeezes or stretches the insert; empty = that way it never presses.
struct ClearanceJoint {
  std::optional<units::Length> squeeze;
  std::optional<units::Length> stretch;
  std::optional<units::LinearStiffness> stiffness;  ///< empty = rigid once in contact
};

/// A bolted face that slips at the slip force, either way.
struct FrictionJoint {
  units::Force slip_force;
  std::optional<units::LinearStiffness> stiffness;  ///< empty = rigid before it slips
};

using Joint = std::variant<RigidJoint, ElasticJoint, ClearanceJoint, FrictionJoint>;

/// A plate or cartridge that carries the bores, held in a case by one joint over the locating span.
struct InsertCarrier {
  HeldPart insert;
  HeldPart case_part;
  /// L_J; needed by elastic and clearance joints and wherever a stiffness is given.
  std::optional<units::Length> locating_span;
  Joint joint;
};

/// What carries the bores at one place along the shafts.
using Build = std::variant<PlainCarrier, PathCarrier, InsertCarrier>;

/// A wall with bearings, at its place along the shafts.
struct Wall {
  units::Length at;
  Build build;
};

/// A carrier for each of two bearing walls, at different places. The centre distance goes linearly
/// with the place, between them and beyond.
struct WallsCarrier {
  Wall first;
  Wall second;
};

struct Carrier {
  std::string id;
  std::variant<PlainCarrier, PathCarrier, InsertCarrier, WallsCarrier> build;
};

/// Least and greatest of a quantity.
template <class Q>
struct Extent {
  Q low{};
  Q high{};
};

/// How far a friction joint has been taken either way by all states of a design, the reference
/// state included: the extent of the relative free elongation eps_C - eps_I.
using JointEnvelope = Extent<double>;

/// How far a friction joint has slipped at a moment of a history: the relative free elongation
/// eps_C - eps_I at which its force would now be zero. From assembly at the reference temperature
/// on, and the extent that going through the history again makes of it.
struct JointSlip {
  double first = 0.0;
  Extent<double> reach;
};

/// What a friction joint's history can do is not a scatter: the strain at its least, on first
/// loading, and at its greatest.
enum class Loading { least, first, greatest };

/// How the strain of the centre distances follows from the elongations of the carrier's solids, in
/// the order of `solids_of`, at one temperature state; moduli are those of the state:
///   strain = offset + sum share_k eps_k + sum over the knees of
///            gain dead(offset + sum share_k eps_k; low, high)
///   dead(x; low, high) = x - low below low, x - high above high, else 0
struct StrainLaw {
  struct Knee {
    double gain = 0.0;
    double offset = 0.0;
    std::vector<double> share;
    double low = 0.0;
    double high = 0.0;
  };
  double offset = 0.0;
  std::vector<double> share;
  std::vector<Knee> knees;

  /// The strain for these elongations.
  [[nodiscard]] double strain(const std::vector<double>& elongations) const;
  /// Its derivative with each elongation there; at the corner of a knee, that of the flat side.
  [[nodiscard]] std::vector<double> slopes(const std::vector<double>& elongations) const;
};

/// Strain of the centre distances at one wall.
struct WallStrain {
  units::Length at;
  double strain = 0.0;  ///< friction joints: on first loading
  Extent<double> reach;
};

/// The state of a carrier at one temperature state.
struct CarrierState {
  double strain = 0.0;  ///< of every centre distance; friction joints: on first loading
  Extent<double>
      strain_reach;  ///< what a friction joint's history can make of it; else both = strain
  /// Where each wall has its own; `strain` and `strain_reach` are then their means.
  std::vector<WallStrain> walls;

  /// Strain and reach at a place along the shafts; without walls, or without a place, the above.
  [[nodiscard]] double strain_at(const std::optional<units::Length>& at) const;
  [[nodiscard]] Extent<double> reach_at(const std::optional<units::Length>& at) const;

  /// Force in the joint, positive where the case stretches the insert; insert carriers only. Of
  /// several inserts the one with the greatest force, either way.
  std::optional<units::Force> joint_force;
  std::optional<Extent<units::Force>> joint_force_reach;  ///< friction joints only

  /// Free travel left before the case squeezes the insert, Delta + squeeze. Negative: it is
  /// squeezed by that much and no longer floats. Clearance joints with that stop only.
  std::optional<units::Length> squeeze_left;
  /// The same towards stretching, stretch - Delta.
  std::optional<units::Length> stretch_left;
};

/// Zones that the carrier's solids name, with the material of each.
[[nodiscard]] std::vector<Solid> solids_of(const Carrier& carrier);

/// Which of `solids_of` a bearing sits in at a place along the shafts: the plain solid, the first
/// segment of a path, the insert; with two walls, that of the nearer one.
[[nodiscard]] std::size_t bore_solid_index(const Carrier& carrier,
                                           const std::optional<units::Length>& at);

/// For each wall (one for carriers without walls) the relative free elongation eps_C - eps_I of an
/// insert over `states`, with 0 at the reference state; {0, 0} for other builds.
[[nodiscard]] std::vector<JointEnvelope> joint_envelopes(
    const Carrier& carrier, const std::vector<TemperatureState>& states,
    const Reference& reference);

/// The slip of each wall's friction joint after each of `states`, which follow one another; by
/// state, then by wall. Empty for carriers without a friction joint. The joint is assembled without
/// force at the reference state, and every way from one state to the next is taken in one
/// direction.
///
///   F = k (x - p) limited to the slip force, p = x - F/k after it     x = eps_C - eps_I
///
/// (play operator; docs/theory/carriers.md). `reach` spans the first run and the one after it,
/// which all later ones repeat. Throws MaterialError as carrier_state does.
[[nodiscard]] std::vector<std::vector<JointSlip>> joint_slips(
    const Carrier& carrier, const std::vector<TemperatureState>& states,
    const Reference& reference);

/// Strain of the centre distances, joint force and free travel left.
///
///   Delta = L_J (eps_C - eps_I)     1/k = 1/k_I + 1/k_C + 1/k_joint     strain = eps_I + F/(k_I
///   L_J) rigid: k_joint infinite, F = k Delta          elastic: F = k Delta clearance: F = k
///   (Delta + squeeze) below -squeeze, k (Delta - stretch) above stretch, else 0 friction: F = k
///   Delta limited to the slip force on first loading; after any history within the envelope F lies
///   in
///     [max(-F_s, k(Delta - Delta_max) + min(k Delta_max, F_s)),
///      min( F_s, k(Delta - Delta_min) + max(k Delta_min, -F_s))]
/// At a moment of a history, `slips` by wall say where its friction joints have slipped to, and
/// F follows from them instead.
/// (two springs side by side, play operator; derived in docs/theory/carriers.md). E is taken at
/// each solid's temperature, section and span as drawn. Exact to 1e-14 of the strain. Throws
/// MaterialError outside a material's range or where E is lacking.
[[nodiscard]] CarrierState carrier_state(const Carrier& carrier, const TemperatureState& state,
                                         const Reference& reference,
                                         const std::vector<JointEnvelope>& envelopes,
                                         const std::vector<JointSlip>& slips = {});

/// The law behind `carrier_state` at a place along the shafts, for elongations that differ from
/// those of the state (material scatter). The friction band is that of the nominal envelope, moved
/// with the elongations and limited to the slip force. Exact.
[[nodiscard]] StrainLaw strain_law(const Carrier& carrier, const TemperatureState& state,
                                   const Reference& reference,
                                   const std::vector<JointEnvelope>& envelopes, Loading loading,
                                   const std::optional<units::Length>& at,
                                   const std::vector<JointSlip>& slips = {});

}  // namespace lashband::thermal
