#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/train/exact_ratio.hpp"

/// Shafts joined by meshes: which turns how fast, and where the train closes upon itself.
///
/// Simplifications: shafts are rigid and teeth do not slip, so that tooth numbers alone count. With
/// z_1 and z_2 the teeth of a mesh,
///   omega_2 / omega_1 = -z_1 / z_2 external,   +z_1 / |z_2| internal.
/// Derived in docs/theory/train.md.
namespace lashband::train {

/// Two gears in mesh, by the shafts that they are fixed to.
struct Mesh {
  enum class Kind {
    external,  ///< the shafts turn against each other
    internal,  ///< gear 2 is a ring gear: they turn the same way
  };
  std::string id{};
  std::size_t shaft_1 = 0;
  std::size_t shaft_2 = 0;
  int teeth_1 = 0;  ///< z_1 > 0
  int teeth_2 = 0;  ///< |z_2| > 0
  Kind kind = Kind::external;
};

/// A mesh as a way passes it.
struct Step {
  std::size_t mesh = 0;
  bool forward = true;  ///< from its shaft 1 to its shaft 2
};

/// A closed way over meshes, each shaft on it once.
struct Loop {
  std::vector<Step> steps{};
};

/// A loop whose meshes ask a shaft to turn in two ways at once.
struct LoopFault {
  Loop loop{};
  /// Speed of the first shaft of the loop as the loop hands it back, over its own: not 1.
  ExactRatio product{};
  /// An odd number of external meshes; otherwise the tooth numbers do not work out.
  bool reversed = false;
};

/// The first loop that cannot turn, or nothing: the meshes are put in one after another, and the
/// first one that asks for another speed closes it. Throws DomainError as Train does for a single
/// mesh.
[[nodiscard]] std::optional<LoopFault> loop_fault(std::size_t shafts,
                                                  const std::vector<Mesh>& meshes);

/// "crank A - A-I - idler - I-B - crank B - B-A - crank A", shafts and meshes in turn.
[[nodiscard]] std::string text_of(const Loop& loop, const std::vector<std::string>& shafts,
                                  const std::vector<Mesh>& meshes);

/// A train that can turn. Ratios are exact.
class Train {
 public:
  /// Throws DomainError where a mesh names a shaft that is not there, joins a shaft to itself, has
  /// a tooth count below 1, or where a loop cannot turn; the message lists the loop.
  Train(std::vector<std::string> shafts, std::vector<Mesh> meshes);

  [[nodiscard]] const std::vector<std::string>& shafts() const { return shafts_; }
  [[nodiscard]] const std::vector<Mesh>& meshes() const { return meshes_; }

  /// Shafts joined by meshes form a group; groups are numbered by their first shafts.
  [[nodiscard]] std::size_t groups() const { return first_shafts_.size(); }
  [[nodiscard]] std::size_t group(std::size_t shaft) const { return group_[shaft]; }
  [[nodiscard]] std::size_t first_shaft(std::size_t group) const { return first_shafts_[group]; }

  /// Speed of a shaft over that of the first shaft of its group. Exact, as all ratios are.
  [[nodiscard]] const ExactRatio& ratio(std::size_t shaft) const { return ratio_[shaft]; }
  /// Speed of shaft `of` over that of shaft `to`. Throws DomainError where no way joins them.
  [[nodiscard]] ExactRatio ratio(std::size_t of, std::size_t to) const;

  /// A way of fewest meshes; of two with as few, that over the meshes that come first. Empty where
  /// `from` is `to`. Throws DomainError where no way joins them.
  [[nodiscard]] std::vector<Step> way(std::size_t from, std::size_t to) const;

  /// As many loops as are independent, as they arise when the meshes are put in one after another:
  /// each mesh that joins two shafts of one group closes a loop, as short as there is through it
  /// and the meshes before it. It is the first of the loop's steps, passed forward. Every closed
  /// way is a sum of loops, with whole numbers.
  [[nodiscard]] const std::vector<Loop>& loops() const { return loops_; }
  /// Whether a mesh lies on any closed way.
  [[nodiscard]] bool on_a_loop(std::size_t mesh) const { return on_a_loop_[mesh]; }

  /// Two meshes are of one block where a closed way passes both; a mesh on no closed way is a block
  /// of its own. Blocks hang together at single shafts, so that each can be judged for itself.
  [[nodiscard]] std::size_t blocks() const { return blocks_; }
  [[nodiscard]] std::size_t block(std::size_t mesh) const { return block_[mesh]; }

 private:
  std::vector<std::string> shafts_;
  std::vector<Mesh> meshes_;
  std::vector<std::size_t> group_;
  std::vector<std::size_t> first_shafts_;
  std::vector<ExactRatio> ratio_;
  std::vector<Loop> loops_;
  std::vector<bool> on_a_loop_;
  std::size_t blocks_ = 0;
  std::vector<std::size_t> block_;                   // by mesh
  std::vector<std::vector<std::size_t>> meshes_at_;  // by shaft, in their order
};

}  // namespace lashband::train
