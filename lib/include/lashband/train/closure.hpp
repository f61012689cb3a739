#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/geometry/centre_distance.hpp"
#include "lashband/train/train.hpp"
#include "lashband/units/quantities.hpp"

/// Whether the teeth of a closed loop meet: where tooth and space stand when the loop comes back to
/// where it began.
///
/// Simplifications: places in the plane across the shafts; a helix adds nothing as long as phases
/// hold in one plane for all gears. Loops are taken in their order: the teeth of a mesh are chosen
/// by the first loop that it lies on, and later loops leave them.
namespace lashband::train {

/// The two gears of a mesh, as the phases of their teeth are known. Gears that are the same body
/// (an idler in two meshes) have the same number.
struct MeshGears {
  std::size_t gear_1 = 0;
  std::size_t gear_2 = 0;
};

/// A gear on its shaft.
struct GearPhase {
  std::size_t shaft = 0;
  /// phi: direction of the centre of a tooth with the shaft at rest, from the x axis towards y.
  /// Counts only where a shaft carries several gears. Gears of one shaft that have it are fixed to
  /// each other; one that lacks it is set at assembly.
  std::optional<units::Angle> tooth_at{};
};

/// How a loop was closed.
enum class ClosedBy {
  places,    ///< the places of the shafts and the phases given leave nothing to choose
  assembly,  ///< a gear is turned on its shaft at assembly until the loop closes
  unknown,   ///< a shaft of it has no place
};

struct LoopClosure {
  ClosedBy by = ClosedBy::unknown;
  /// What is left over at the places as drawn, in pitches of the mesh that closes the loop (the
  /// first of its steps), by the best choice of teeth: from above -1/2 to 1/2; of two choices as
  /// good the positive one. 0 by assembly or unknown.
  double offset = 0.0;
  /// The shaft on which a gear is turned to close this loop, once the loops before it are closed;
  /// empty unless by assembly.
  std::vector<std::size_t> set_on{};
};

/// The closure of all loops of a train.
///
/// With phi_i the direction of a tooth centre of gear i and gamma that of the line of centres from
/// gear 1 to gear 2, the offset of a mesh from the middle of its gap in pitches is
///   external  [z_1 (gamma - phi_1) + z_2 (gamma + pi - phi_2)] / 2 pi - 1/2 - n
///   internal  [z_1 (gamma + pi - phi_1) - |z_2| (gamma + pi - phi_2)] / 2 pi - 1/2 - n
/// with gear 2 the ring (gamma + pi points from the ring's axis to the pinion's) and phi_2 a tooth
/// of the ring. Around a loop the rotations of the shafts drop out, and what is left counts modulo
/// what other teeth n can change: a pitch where all meshes of the loop pass as many teeth in a
/// time, else the greatest common divisor of the shares 1/w_e that are free. Derived in
/// docs/theory/train.md.
class Closure {
 public:
  /// `gears` one entry a mesh, `phases` one a gear, `places` one a shaft. Throws DomainError where
  /// the numbers differ, speeds around a loop differ so much that the sum is beyond 1e6 pitches, a
  /// gear is not there, is on another shaft than its mesh, or has other teeth in another mesh, a
  /// number is not finite, or two shafts of a mesh stand in one place.
  Closure(const Train& train, const std::vector<MeshGears>& gears,
          const std::vector<GearPhase>& phases, std::vector<std::optional<geometry::Point>> places);

  /// In the order of the train's loops.
  [[nodiscard]] const std::vector<LoopClosure>& loops() const { return loops_; }

  /// Offset of every mesh, in its pitches, with the shafts at `places` instead, the same teeth in
  /// the same spaces and gears as they were set at assembly; at the places as drawn, sums around
  /// loops are LoopClosure::offset. A mesh of a shaft without a place is not moved by places. The
  /// line of centres must turn by less than half a turn. Accuracy 1e-15 times the tooth numbers.
  /// Throws DomainError where the number differs or two shafts of a mesh stand in one place.
  [[nodiscard]] std::vector<double> offsets(
      const std::vector<std::optional<geometry::Point>>& places) const;

  /// The same of one mesh, its shafts at these places.
  [[nodiscard]] double offset(std::size_t mesh, const std::optional<geometry::Point>& place_1,
                              const std::optional<geometry::Point>& place_2) const;

 private:
  // A mesh as the places of its shafts move it.
  struct PlacedMesh {
    std::string id{};
    std::size_t shaft_1 = 0;
    std::size_t shaft_2 = 0;
    double pitches_per_turn = 0.0;  // of the line of centres
    double offset = 0.0;            // at the places as drawn
  };

  std::vector<LoopClosure> loops_;
  std::vector<PlacedMesh> meshes_;
  std::vector<std::optional<geometry::Point>> places_;
};

}  // namespace lashband::train
