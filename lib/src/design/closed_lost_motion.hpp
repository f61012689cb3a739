#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <vector>

#include "band/gap_sum.hpp"
#include "lashband/train/closure.hpp"
#include "lost_motion_base.hpp"

namespace lashband::design {

class ClosedPair;

/// Lost motion of several pairs that are joined by more than one way, or whose draws are
/// correlated: the least of the ways, which no sum can tell. Worst cases go to the end that the
/// first-order effect of each draw asks for, asked again from there as long as that helps.
class ClosedLostMotion {
 public:
  /// `base` must outlive the object.
  explicit ClosedLostMotion(const LostMotionBase& base);
  ClosedLostMotion(const ClosedLostMotion&) = delete;
  ClosedLostMotion& operator=(const ClosedLostMotion&) = delete;
  ClosedLostMotion(ClosedLostMotion&&) = delete;
  ClosedLostMotion& operator=(ClosedLostMotion&&) = delete;
  ~ClosedLostMotion();

  /// Takes up a pair; its number.
  std::size_t add(std::size_t of, std::size_t held);

  /// Meshes that a pair depends on.
  [[nodiscard]] const std::vector<std::size_t>& meshes(std::size_t pair) const;

  /// More meshes than that are not followed draw by draw: the ends are those of each mesh by
  /// itself, the bores as drawn, and there is no root sum square and no sampling.
  static constexpr std::size_t most_followed = 200;
  [[nodiscard]] bool is_large(std::size_t pair) const {
    return meshes(pair).size() > most_followed;
  }

  /// Everything but percentiles.
  [[nodiscard]] LostMotionState at(std::size_t number, std::size_t usable) const;

  /// Where percentiles of a pair go.
  struct Wanted {
    std::size_t pair = 0;
    LostMotionState* state = nullptr;
  };
  /// Samples pairs at one state, all of the same units; the numbers do not depend on the threads.
  void sample(const std::vector<Wanted>& wanted, std::size_t usable, const RunOptions& options,
              std::uint64_t samples) const;

 private:
  const LostMotionBase& base_;
  train::Closure closure_;
  std::vector<std::unique_ptr<ClosedPair>> pairs_;
};

}  // namespace lashband::design
