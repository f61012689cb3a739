#pragma once

#include <cstddef>
#include <set>
#include <string>

#include "lashband/design/results.hpp"
#include "lashband/report/view.hpp"

namespace lashband::report {

/// The states of a mesh that a table shows: every condition, and a soak sweep thinned to a few
/// points and the extremes.
class ShownStates {
 public:
  ShownStates(const design::BacklashResult& result, const design::MeshResult& mesh,
              const View& view);

  /// Places in MeshResult::states, in order.
  [[nodiscard]] const std::set<std::size_t>& places() const { return shown_; }
  /// One line that says so, or nothing.
  [[nodiscard]] std::string what_was_left_out() const;

 private:
  std::set<std::size_t> shown_;
  std::size_t soak_points_ = 0;
  std::size_t soak_shown_ = 0;
};

}  // namespace lashband::report
