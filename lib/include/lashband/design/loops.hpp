#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/requirements.hpp"
#include "lashband/train/closure.hpp"
#include "lashband/units/quantities.hpp"

/// Closed loops of a train: whether they can be assembled, and what is left until they bind.
///
/// Simplifications: the bores keep their pattern as the carrier grows; run-outs count at their
/// least; the shafts stand in the middle of their float, and all of it taken up is an upper bound,
/// since a shaft's float serves only one direction at a time.
namespace lashband::design {

/// One loop at one state. A margin is by how much j_bt of each of its meshes can shrink until the
/// loop binds; negative where it binds.
struct LoopState {
  std::size_t state = 0;       ///< index into the states of the result that holds it
  units::Length margin{};      ///< as drawn
  units::Length margin_low{};  ///< the low end of the worst case
  std::optional<units::Length> margin_rss_low{};  ///< of the root sum square; empty: nothing varies
  /// The margins with all float taken up: these decide whether the loop binds.
  units::Length taken_up{};
  units::Length taken_up_low{};
  std::optional<units::Length> taken_up_rss_low{};
  /// How far one bore alone, everything else as drawn, can be off its place until the loop binds
  /// with the shafts in the middle of their float, by the bore and the direction where it is least;
  /// empty where the loop binds as drawn or its shafts have no places.
  std::optional<units::Length> bore_reserve{};
  std::size_t bore = 0;  ///< index into LoopResult::shafts
};

struct LoopResult {
  std::vector<std::string> shafts{};  ///< in the order of the loop
  std::vector<std::string> meshes{};  ///< each to the next shaft; the first closes the loop
  train::ClosedBy closed_by = train::ClosedBy::unknown;
  /// What is left over at the reference temperature as drawn, in pitches of the mesh that closes
  /// it.
  double offset = 0.0;
  std::vector<std::string> set_on{};  ///< shafts on which a gear is turned at assembly
  /// As drawn, at the reference temperature. Empty where it cannot be told.
  std::optional<bool> can_be_assembled{};
  Basis basis = Basis::worst_case;  ///< that its requirement is judged on
  std::vector<LoopState> states{};
  std::optional<std::size_t> least{};  ///< place in `states` of the least margin on the basis
};

}  // namespace lashband::design
