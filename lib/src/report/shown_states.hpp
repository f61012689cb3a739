#pragma once

#include <cstddef>
#include <set>
#include <string>
#include <vector>

#include "lashband/design/results.hpp"
#include "lashband/report/view.hpp"

namespace lashband::report {

/// Of the moments of one history, given as places in MeshResult::states in order of time, the ones
/// that tell how the mesh goes: its ends, its least and greatest backlash, where its requirements
/// are tightest, those at `wanted` times, and as many of the others as make up `count`, each the
/// one that the nominal backlash of those chosen before misses most.
[[nodiscard]] std::set<std::size_t> telling_places(const design::BacklashResult& result,
                                                   const design::MeshResult& mesh,
                                                   const std::vector<std::size_t>& moments,
                                                   const std::vector<units::Time>& wanted,
                                                   std::size_t count);

/// The states of a mesh that a table shows: every condition, a soak sweep thinned to a few points,
/// of each history a few moments, and the extremes.
class ShownStates {
 public:
  ShownStates(const design::BacklashResult& result, const design::MeshResult& mesh,
              const View& view);

  /// Places in MeshResult::states, in order.
  [[nodiscard]] const std::set<std::size_t>& places() const { return shown_; }
  /// A line for the sweep and for each history that says so, or nothing.
  [[nodiscard]] std::string what_was_left_out() const;

 private:
  // A sweep or a history.
  struct Series {
    std::string name;
    std::size_t all = 0;
    std::size_t shown = 0;
  };
  [[nodiscard]] Series series_of(const std::string& name,
                                 const std::vector<std::size_t>& places) const;

  std::set<std::size_t> shown_;
  Series soak_;
  std::vector<Series> histories_;
};

}  // namespace lashband::report
