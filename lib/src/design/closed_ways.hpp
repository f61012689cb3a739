#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "lashband/train/train.hpp"

namespace lashband::design {

/// How far two shafts can turn against each other where several ways join them, for one set of gaps
/// after another. Ways and loops are listed once, as long as they are few; in larger trains each
/// set is solved by shortest paths (train::Freedom). Revolutions of the first shaft of the group.
class ClosedWays {
 public:
  /// The train must outlive the object.
  ClosedWays(const train::Train& train, std::size_t of, std::size_t held);

  /// Meshes that take part, rising.
  [[nodiscard]] const std::vector<std::size_t>& meshes() const { return meshes_; }

  /// `half_gap` and `offset` by mesh of the train, each over |w_e| or w_e: what mesh e leaves to
  /// either side, and where its middle stands. 0 where they bind.
  [[nodiscard]] double freedom(const std::vector<double>& half_gap,
                               const std::vector<double>& offset) const;

 private:
  struct Passed {
    std::size_t mesh;
    double direction;
  };
  using Way = std::vector<Passed>;

  void list_ways();
  [[nodiscard]] double solved(const std::vector<double>& half_gap,
                              const std::vector<double>& offset) const;

  const train::Train& train_;
  std::size_t of_;
  std::size_t held_;
  double ratio_;                 // |r| of `of`
  std::vector<double> pitches_;  // by mesh of the train
  std::vector<std::size_t> meshes_;
  std::vector<Way> ways_;   // from `of` to `held`; empty: too many
  std::vector<Way> loops_;  // of their meshes
};

}  // namespace lashband::design
