#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/design/loops.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// Results as plain data. Renderers read these and nothing else.
namespace lashband::design {

/// The 0.135, 50 and 99.865 percentiles over built units: mean -+ 3 sigma of a normal.
template <class Q>
struct Percentiles {
  Q low{};
  Q mid{};
  Q high{};
};

/// A gap in one measure: at the mid of every tolerance, at the ends of the worst case, at the ends
/// of the root-sum-square band, and its percentiles.
///
/// `nominal` has the shafts in the middle of their float and true teeth. `low` and `rss_low` are
/// ends of j_least, `high` and `rss_high` of j_greatest.
template <class Q>
struct ResultBand {
  Q nominal{};
  Q low{};
  Q high{};
  std::optional<Q> rss_low{};  ///< empty where not worked out
  std::optional<Q> rss_high{};
  std::optional<Percentiles<Q>> least{};     ///< of j_least
  std::optional<Percentiles<Q>> greatest{};  ///< of j_greatest
};

/// Backlash of one mesh in every measure.
struct BacklashBands {
  ResultBand<units::Length> j_wt;
  ResultBand<units::Length> j_bt;
  ResultBand<units::Length> j_bn;
  std::optional<ResultBand<units::Length>> j_r;  ///< no root sum square, no percentiles
  ResultBand<units::Length> j_r_iso;             ///< likewise
  ResultBand<units::Angle> phi_1;
  ResultBand<units::Angle> phi_2;
  /// j_bt with all float taken up and run-out against it: negative means binding. `low` and `high`
  /// are the ends of its own worst case; the percentiles stand in `least`.
  ResultBand<units::Length> j_bind;
  /// False where the cycle is bounded, not resolved: unequal base pitches and eps_alpha below 1.
  bool cycle_resolved = true;
};

/// How likely a built unit fails at one state.
struct FailureProbability {
  double binds = 0.0;  ///< P(j_bind < 0)
  /// P(j_least below the least backlash asked for); empty where none is asked for.
  std::optional<double> below_least;
  /// P(j_greatest above the greatest backlash asked for).
  std::optional<double> above_greatest;
};

/// A ring that turns in its seat, by one seat at one state: worst case.
struct LooseRing {
  std::string bearing;
  bool outer = true;
  units::Length by;  ///< greatest diametral looseness of the worst case
  std::string state;
};

/// What a mean mesh force does to a mesh: all of it opens the unloaded flank.
struct MeshLoad {
  units::Force force;              ///< F_bt on the base tangent; above 0: gear 1 drives
  units::Length shafts;            ///< opening of the axes: shafts that cross their float, at mid
  units::Length separation;        ///< opening of the axes: shafts, bearings and walls that give
  units::Length ring;              ///< opening of the axes: elastomer rings that give
  units::Length tooth_deflection;  ///< F_bt / k_m, of j_bt
};

/// One mesh at one state.
struct MeshState {
  std::size_t state = 0;  ///< index into BacklashResult::states
  units::Length a;
  units::Angle alpha_wt;
  double eps_alpha = 0.0;
  double eps_beta = 0.0;
  units::Length c_1;
  units::Length c_2;
  units::Length base_pitch_mismatch;
  double eps_alpha_low = 0.0;             ///< worst case, for the requirement
  units::Length tip_clearance_low;        ///< the smaller of c_1 and c_2 in the worst case
  units::Length interference_margin_low;  ///< the smaller of both gears in the worst case
  /// How far the tips of a gear in a ring gear clear the ring's beside the path of contact, in the
  /// worst case; empty elsewhere.
  std::optional<units::Length> tip_fouling_low;
  BacklashBands gap;
  /// Radial float at the gear, diametral, at mid and in the worst case; empty without bearings.
  std::optional<ResultBand<units::Length>> float_1, float_2;
  /// Under load: both shafts across their float along the line of action, and the separation.
  /// Nominal and worst case of j_wt; empty without bearings and separation.
  std::optional<ResultBand<units::Length>> j_wt_loaded;
  std::optional<units::Angle> tilt;             ///< of one axis against the other; walls only
  std::optional<units::Length> tilt_over_face;  ///< over the smaller face width
  FailureProbability failure;
  /// What j_wt_loaded is made of, where the torsional model gives the forces.
  std::optional<MeshLoad> load{};
};

/// How likely a built unit fails at some state of all those of the design.
struct SampledProbability {
  double value = 0.0;
  double standard_error = 0.0;
};
struct AnywhereProbability {
  SampledProbability binds;
  std::optional<SampledProbability> below_least;
  std::optional<SampledProbability> above_greatest;
};

/// What was sampled, where it was.
struct Sampling {
  std::uint64_t seed = 0;
  std::uint64_t samples = 0;
  std::string instruction_set;
};

struct MeshResult {
  std::string id;
  std::string gear_1;
  std::string gear_2;
  Basis basis = Basis::worst_case;  ///< of its requirements, and of `least` and `greatest`
  std::vector<MeshState> states;
  /// Places in `states` of the lowest low end and the highest high end on the basis judged.
  std::optional<std::size_t> least;
  std::optional<std::size_t> greatest;
  /// What temperature alone does: greatest less least nominal j_wt over the states.
  units::Length swing;
  /// Percentiles and probabilities of `states` are sampled: contributors are correlated.
  bool percentiles_sampled = false;
  std::optional<AnywhereProbability> anywhere;  ///< where it was sampled
  std::vector<LooseRing> loose_rings;           ///< at the state where each is loosest
};

/// The carrier at one state, shared by all meshes.
struct CarrierStateResult {
  std::size_t state = 0;
  thermal::CarrierState carrier;
};

/// One requirement, judged over all states.
struct RequirementRow {
  enum class Kind { length, ratio, angle };
  std::string mesh;  ///< or what else is judged: "loop A-B, B-C, C-A", "lost motion pump - crank A"
  std::string what;  ///< "least_backlash", ..., "no_binding", "no_loop_binding"
  Kind kind = Kind::length;
  double limit = 0.0;  ///< SI
  double found = 0.0;  ///< SI
  std::string state;   ///< id of the state where it was found
  Basis basis = Basis::worst_case;
  bool met = false;
};

/// Something found that a designer should know, or a note of the reader.
struct Warning {
  std::string kind;
  std::string carrier;  ///< only where carriers are compared and it does not hold for all of them
  std::string subject;
  std::string state;  ///< may be empty
  std::string text;
};

/// A state that could not be computed.
struct Failure {
  std::string subject;
  std::string state;
  std::string text;
};

struct Provenance {
  std::string title;
  std::string digest;
};

struct BacklashResult {
  Provenance input;
  std::string carrier;
  std::vector<std::string> zones;
  std::vector<State> states;
  std::vector<CarrierStateResult> carrier_states;  ///< in the order of states
  std::vector<MeshResult> meshes;
  /// Closed ways of the train: as many as are independent, then sums of them that bind.
  std::vector<LoopResult> loops;
  std::vector<RequirementRow> requirements;
  std::vector<Warning> warnings;
  std::vector<Failure> failures;
  std::optional<Sampling> sampling;

  [[nodiscard]] bool all_requirements_met() const;
};

/// The joint of an insert carrier over all states. Empty where the carrier has no such thing.
struct JointSummary {
  std::optional<units::Force> force_low;  ///< a friction joint's reach included
  std::optional<units::Force> force_high;
  std::optional<units::Length> squeeze_left;  ///< the least
  std::optional<units::Length> stretch_left;  ///< the least
};

/// What the torsional model says with a carrier, at the conditions with a speed. What it is
/// required to keep stands with the other requirements of the carrier.
struct TorsionSummary {
  /// Infinite where a mesh that carries no mean force is shaken.
  std::optional<double> greatest_rattle_index{};
  std::string mesh{};
  std::string rattle_condition{};
  std::optional<double> least_margin{};  ///< between an excitation and a natural frequency
  std::string excitation{};
  std::string margin_condition{};
};

/// One carrier of the comparison.
struct CarrierRow {
  bool in_use = false;
  BacklashResult result;
  JointSummary joint;
  std::optional<TorsionSummary> torsion{};  ///< where the design has a torsional model
};

/// One contribution to the spread of a mesh, by contributor.
struct BudgetRow {
  std::string contributor;  ///< "E_sn gA"
  std::string what;         ///< "tooth thickness of gA"
  std::string tolerance;    ///< its band as text: "-110 um .. -70 um"
  /// What this one alone makes of j_wt, everything else at its mid: j_greatest less j_least.
  units::Length range;
  /// Share of the variance of j_least, by first-order sensitivities; all of a state add up to 1.
  double share = 0.0;
  // What halving the band gains: how much narrower the band becomes.
  units::Length gain_worst_case;
  std::optional<units::Length> gain_percentile;  ///< empty where contributors are correlated
};

/// The budget of one mesh at one state, or over all states of the design.
struct Budget {
  std::string mesh;
  std::string state;                  ///< id of the state; "envelope" over all of them
  std::string least_at, greatest_at;  ///< of the envelope: the states of the ends
  ResultBand<units::Length> j_wt;     ///< the band that is made up
  /// What temperature alone does to the nominal j_wt: from the reference temperature to the state;
  /// over the envelope, greatest less least.
  units::Length temperature;
  std::vector<BudgetRow> rows;  ///< greatest share first
};

struct BudgetResult {
  Provenance input;
  std::string carrier;
  std::vector<Budget> budgets;  ///< by mesh: the envelope, every condition and soak point, the
                                ///< extremes of each history
  std::vector<Warning> warnings;
  std::vector<Failure> failures;
  BacklashResult backlash;  ///< that it was made from
};

struct CarriersResult {
  Provenance input;
  std::vector<CarrierRow> rows;
  std::vector<Warning> warnings;
};

}  // namespace lashband::design
