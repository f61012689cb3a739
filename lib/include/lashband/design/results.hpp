#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// Results as plain data. Renderers read these and nothing else.
namespace lashband::design {

/// A result at the mid of every tolerance and at the ends of the worst case.
template <class Q>
struct ResultBand {
  Q nominal;
  Q low;
  Q high;
};

/// Backlash of one mesh in every measure. `nominal` is least over the mesh cycle; `low` is the low
/// end of the least, `high` the high end of the greatest over the cycle.
struct BacklashBands {
  ResultBand<units::Length> j_wt;
  ResultBand<units::Length> j_bt;
  ResultBand<units::Length> j_bn;
  std::optional<ResultBand<units::Length>> j_r;
  ResultBand<units::Length> j_r_iso;
  ResultBand<units::Angle> phi_1;
  ResultBand<units::Angle> phi_2;
  /// j_bt with all float taken up (least over the cycle at both ends): negative means binding.
  ResultBand<units::Length> j_bind;
  /// False where the cycle is bounded, not resolved: unequal base pitches and eps_alpha below 1.
  bool cycle_resolved = true;
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
  BacklashBands gap;
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
};

/// The carrier at one state, shared by all meshes.
struct CarrierStateResult {
  std::size_t state = 0;
  thermal::CarrierState carrier;
};

/// One requirement, judged over all states.
struct RequirementRow {
  enum class Kind { length, ratio };
  std::string mesh;
  std::string what;  ///< "least_backlash", ..., "no_binding"
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
  std::vector<RequirementRow> requirements;
  std::vector<Warning> warnings;
  std::vector<Failure> failures;

  [[nodiscard]] bool all_requirements_met() const;
};

/// The joint of an insert carrier over all states. Empty where the carrier has no such thing.
struct JointSummary {
  std::optional<units::Force> force_low;  ///< a friction joint's reach included
  std::optional<units::Force> force_high;
  std::optional<units::Length> squeeze_left;  ///< the least
  std::optional<units::Length> stretch_left;  ///< the least
};

/// One carrier of the comparison.
struct CarrierRow {
  bool in_use = false;
  BacklashResult result;
  JointSummary joint;
};

struct CarriersResult {
  Provenance input;
  std::vector<CarrierRow> rows;
  std::vector<Warning> warnings;
};

}  // namespace lashband::design
