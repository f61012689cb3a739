#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

#include "lashband/train/train.hpp"
#include "lashband/units/quantities.hpp"

/// How far shafts can turn against each other: gaps in series along a train, and the least of the
/// ways where it closes.
///
/// Simplifications: rigid shafts and teeth; each mesh has the gap it is given, wherever it stands.
namespace lashband::train {

/// What one mesh leaves free, along the line of action.
struct MeshFreedom {
  units::Length gap{};         ///< j_bt and whatever else lets the gears turn; negative: it binds
  units::Length base_pitch{};  ///< p_bt > 0
  /// From where the middle of the gap would be with all shafts at rest, in pitches; see Closure.
  /// Only its sum around loops counts.
  double offset = 0.0;
};

/// A closed way that leaves no room: a single mesh there and back, or a loop, passed in the sense
/// in which its constraints q_2 - q_1 <= gap / (2 p_bt |w|) - offset / w add up to less than 0.
struct BindingCycle {
  std::vector<Step> steps{};
  /// By how much j_bt of every mesh of it would have to grow until it is free.
  units::Length shortfall{};
};

/// The train with a freedom in every mesh.
///
/// With q_i the rotation of shaft i over its ratio (rotations of the first shaft of the group),
/// mesh e from shaft 1 to shaft 2 and w_e = z_1 r_1 pitches per revolution,
///   | offset_e / w_e - (q_1 - q_2) | <= gap_e / (2 p_bt,e |w_e|)
/// are difference constraints: how far two shafts can turn against each other is a sum of two
/// shortest paths, and a negative cycle is a train that binds. Paths are sought block by block and
/// their sums taken at the scale of the shaft asked for, so that a train over many orders of
/// magnitude costs no digits. Derived in docs/theory/train.md.
class Freedom {
 public:
  /// One entry a mesh of the train. Throws DomainError where the number differs, a base pitch is
  /// not above 0, a number is not finite, or the speeds within a block differ by more than 1e4000.
  Freedom(const Train& train, const std::vector<MeshFreedom>& meshes);

  /// A cycle that binds in this group, the tightest of all (by shortfall); empty where none does.
  /// Throws DomainError where there is no such group. Accuracy of the shortfall 1e-15 relative to
  /// the gaps and offsets of the cycle.
  [[nodiscard]] const std::optional<BindingCycle>& binding(std::size_t group) const;

  /// How far shaft `of` turns while shaft `held` is held. Exact but for rounding: 1e-12 pitches of
  /// the meshes between. Empty where their group binds; 0 of a shaft against itself. Throws
  /// DomainError where no way joins them or the angle is beyond the range of doubles.
  [[nodiscard]] std::optional<units::Angle> lost_motion(std::size_t of, std::size_t held) const;

 private:
  class State;
  std::shared_ptr<const State> state_;
};

/// What one loop leaves: by how much j_bt of each of its meshes can shrink until it binds, the mesh
/// there and back left out:
///   margin = (sum gap_e / (2 p_bt,e |w_e|) - |sum +-offset_e / w_e|) / sum 1 / (2 p_bt,e |w_e|).
/// Negative where it binds. Throws DomainError where the number of meshes differs.
[[nodiscard]] units::Length loop_margin(const Train& train, const Loop& loop,
                                        const std::vector<MeshFreedom>& meshes);

/// sum +-offset_e / w_e of a loop, in pitches of the mesh that closes it (the first of its steps),
/// passed as the loop passes it: an offset of that mesh alone comes back as it is. Throws
/// DomainError where the number of meshes differs.
[[nodiscard]] double loop_offset(const Train& train, const Loop& loop,
                                 const std::vector<double>& offset_by_mesh);

}  // namespace lashband::train
