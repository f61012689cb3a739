#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/loops.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"
#include "lashband/train/exact_ratio.hpp"
#include "lashband/units/quantities.hpp"

/// The train as a whole: ratios, speeds, lost motion, loops.
namespace lashband::design {

struct TrainShaft {
  std::string id{};
  /// The shaft its ratio refers to: the reference, or in a group of its own the first shaft of it.
  std::string referred_to{};
  train::ExactRatio ratio{};  ///< speed over that of `referred_to`, signed; 0: it is held
  /// By condition of TrainResult::conditions; empty where no speed of its group is given.
  std::vector<std::optional<units::AngularVelocity>> speed{};
};

struct TrainMesh {
  std::string id{};
  std::string gear_1{}, gear_2{};
  std::string shaft_1{}, shaft_2{};
  int teeth_1 = 0, teeth_2 = 0;
  bool internal = false;  ///< gear 2 is a ring gear
  bool on_a_loop = false;
};

/// Lost motion at one state: how far `of` turns back and forth while `held` is held.
struct LostMotionState {
  std::size_t state = 0;  ///< index into TrainResult::backlash.states
  /// With float and axial float, over the revolutions of a unit: low ends are those of its least,
  /// high ends those of its greatest. Empty where a loop between the two binds as drawn; an end of
  /// 0 stands for binding there.
  std::optional<ResultBand<units::Angle>> total{};
  /// Standard errors of the percentiles in `total`, where they are sampled.
  std::optional<Percentiles<units::Angle>> least_error{}, greatest_error{};
  /// What backlash alone makes of it; no root sum square, no percentiles.
  std::optional<ResultBand<units::Angle>> backlash_alone{};
  /// By the mean torques of the torsional model, at conditions with a speed: how far `of` is wound
  /// up against `held`, as a magnitude.
  std::optional<units::Angle> wind_up{};
  /// `total` and twice the wind-up: how far `of` turns as those torques reverse.
  std::optional<ResultBand<units::Angle>> under_torque{};
};

/// What one mesh adds, along a way.
struct LostMotionShare {
  std::string mesh{};
  units::Angle from_backlash{};  ///< referred to the shaft `of`, as drawn
  units::Angle from_float{};
  units::Angle from_axial_float{};
};

struct LostMotion {
  std::string of{};
  std::string held{};
  std::vector<std::string> way{};  ///< meshes from `of` to `held`, a shortest way
  bool loops = false;              ///< another way joins them too: the least of all counts
  bool percentiles_sampled = false;
  std::vector<LostMotionState> states{};
  std::optional<std::size_t> least{}, greatest{};  ///< places in `states`, on the basis
  Basis basis = Basis::worst_case;
  /// Mesh by mesh at the state of the greatest, along `way`; adds up to the total where no loop
  /// helps.
  std::vector<LostMotionShare> shares{};
};

struct TrainResult {
  Provenance input{};
  std::string carrier{};
  std::string reference{};                ///< shaft
  std::optional<std::string> arm{};       ///< planet arm, and
  train::ExactRatio arm_ratio{};          ///< its speed over the reference's
  std::string held{};                     ///< with an arm, the shaft that stands still
  std::vector<std::string> conditions{};  ///< those with a speed
  std::vector<TrainShaft> shafts{};
  std::vector<TrainMesh> meshes{};
  std::vector<LostMotion> lost_motion{};
  /// Pairs of lost motion that were left out because none was asked for and the train is large.
  std::size_t lost_motion_left_out = 0;
  std::vector<RequirementRow> requirements{};  ///< of lost motion and of loops
  std::vector<Warning> warnings{};
  std::vector<Failure> failures{};
  std::optional<Sampling> sampling{};  ///< where percentiles are sampled
  BacklashResult backlash{};           ///< it was made from; its loops are the train's

  [[nodiscard]] bool all_requirements_met() const;
};

/// A pair that is asked for beside those of the design; then the design's are left out.
struct TrainQuestion {
  std::optional<LostMotionPair> pair{};
};

/// Ratios, speeds, lost motion and loops with the carrier at `carrier`. Units sampled for lost
/// motion through loops: RunOptions::samples, or 2^14.
[[nodiscard]] TrainResult train_of(const Design& design, std::size_t carrier,
                                   const RunOptions& options, const TrainQuestion& question = {});

/// The same from a run of the design that is at hand.
[[nodiscard]] TrainResult train_of(const Design& design, BacklashResult backlash,
                                   const RunOptions& options, const TrainQuestion& question = {});

}  // namespace lashband::design
