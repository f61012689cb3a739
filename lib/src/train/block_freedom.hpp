#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "lashband/train/train.hpp"

/// One block of a train with freedom in its meshes: shortest paths and negative cycles.
///
/// A long double has the digits to spare and, more important, exponents for the speeds of a
/// thousand compound stages.
namespace lashband::train::kernel {

/// What one mesh leaves free, as numbers.
struct Play {
  long double gap = 0.0L;         // m
  long double base_pitch = 0.0L;  // m
  long double offset = 0.0L;      // pitches
};

/// A cycle with its sums, in any unit of rotation.
struct Cycle {
  std::vector<Step> steps{};
  long double shortfall = 0.0L;  // m, above 0
};

class BlockFreedom {
 public:
  /// `block` lists the meshes of a block, two or more.
  BlockFreedom(const std::vector<Mesh>& meshes, const std::vector<Play>& play,
               std::vector<std::size_t> block);

  /// The one whose rotation counts as positive.
  [[nodiscard]] std::size_t first_shaft() const { return shafts_.front(); }
  [[nodiscard]] const std::optional<Cycle>& tightest() const { return tightest_; }

  /// How far shaft `of` turns, in revolutions of its own, while shaft `held` is held. Both are of
  /// the block, which does not bind.
  [[nodiscard]] long double revolutions(std::size_t of, std::size_t held) const;

 private:
  struct Arc {
    std::size_t from = 0;  // places in shafts_
    std::size_t to = 0;
    Step step{};
    long double cost = 0.0L;    // of the rotation q of `to` beyond that of `from`
    long double growth = 0.0L;  // of the cost, per metre of gap
  };

  [[nodiscard]] std::size_t place_of(std::size_t shaft) const;
  void find_speeds();
  void find_offsets();
  void make_arcs();
  [[nodiscard]] std::vector<std::size_t> negative_cycle(long double shortfall);
  [[nodiscard]] std::vector<std::size_t> cycle_of_parents(
      const std::vector<std::size_t>& parent) const;
  void find_tightest();
  [[nodiscard]] std::vector<Step> shortest_path(std::size_t from, std::size_t to) const;
  [[nodiscard]] long double pitches(std::size_t mesh) const;

  const std::vector<Mesh>& meshes_;
  const std::vector<Play>& play_;
  std::vector<std::size_t> block_;
  std::vector<std::size_t> shafts_{};
  std::vector<long double> speed_{};         // by place, that of the first being 1
  std::vector<std::optional<Step>> back_{};  // by place, towards the first
  std::vector<std::size_t> depth_{};         // by place
  std::vector<long double> offset_{};        // by place in block_: 0 on the tree of back_
  std::vector<Arc> arcs_{};
  std::vector<long double> potential_{};  // by place
  std::optional<Cycle> tightest_{};
};

}  // namespace lashband::train::kernel
