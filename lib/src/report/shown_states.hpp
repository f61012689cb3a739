#pragma once

#include <cstddef>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "lashband/design/results.hpp"
#include "lashband/report/view.hpp"

namespace lashband::report {

/// What is shown state by state: its states in their order, and how it goes over them.
struct StateCourse {
  struct At {
    std::size_t state = 0;  ///< index into BacklashResult::states
    double nominal = 0.0;
    double low = 0.0;   ///< on the basis judged
    double high = 0.0;  ///< likewise
  };
  std::vector<At> at{};
  std::optional<std::size_t> least{}, greatest{};  ///< places in `at`
  std::string judged_as{};                         ///< RequirementRow::mesh of its requirements
};

/// j_wt of a mesh.
[[nodiscard]] StateCourse course_of(const design::MeshResult& mesh);

/// Of the moments of one history, given as places in MeshResult::states in order of time, the ones
/// that tell how the mesh goes: its ends, its least and greatest backlash, where its requirements
/// are tightest, those at `wanted` times, and as many of the others as make up `count`, each the
/// one that the nominal backlash of those chosen before misses most.
[[nodiscard]] std::set<std::size_t> telling_places(const design::BacklashResult& result,
                                                   const design::MeshResult& mesh,
                                                   const std::vector<std::size_t>& moments,
                                                   const std::vector<units::Time>& wanted,
                                                   std::size_t count);

/// The same for a course, `moments` places in StateCourse::at.
[[nodiscard]] std::set<std::size_t> telling_places(const design::BacklashResult& result,
                                                   const StateCourse& course,
                                                   const std::vector<std::size_t>& moments,
                                                   const std::vector<units::Time>& wanted,
                                                   std::size_t count);

/// The states that a table shows: every condition, a soak sweep thinned to a few points,
/// of each history a few moments, and the extremes.
class ShownStates {
 public:
  ShownStates(const design::BacklashResult& result, const design::MeshResult& mesh,
              const View& view);
  ShownStates(const design::BacklashResult& result, const StateCourse& course, const View& view);

  /// Places in MeshResult::states or StateCourse::at, in order.
  [[nodiscard]] const std::set<std::size_t>& places() const { return shown_; }
  /// A line for the sweep and for each history that says so and who shows a history whole, or
  /// nothing.
  [[nodiscard]] std::string what_was_left_out(
      const std::string& shows_all = "lashband warmup shows it over time") const;

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
