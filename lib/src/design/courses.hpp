#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"
#include "lashband/heat/transient.hpp"

namespace lashband::design {

/// The temperatures of one history over time: a record, or a network that has been solved.
class Course {
 public:
  /// The design must outlive the object. Throws DomainError where the history does not fit the
  /// design's network; what goes wrong in solving it is an outcome of `solution`.
  Course(const Design& design, std::size_t history, const RunOptions& options);

  [[nodiscard]] std::size_t index() const { return index_; }
  [[nodiscard]] const History& history() const { return design_->histories[index_]; }
  [[nodiscard]] double start() const;  ///< in s
  [[nodiscard]] double end() const;    ///< in s; where a solution got to
  /// Moments where some temperature bends, both ends included, in rising order, in s. Between two
  /// of them every temperature is smooth; in a record, linear.
  [[nodiscard]] const std::vector<double>& corners() const { return corners_; }
  /// Temperatures of the zones at these times (in s, rising, from start to end).
  [[nodiscard]] std::vector<thermal::TemperatureState> at(const std::vector<double>& times) const;
  [[nodiscard]] thermal::TemperatureState at(double time) const;
  /// The time within its cycle at a time of a repeated history, in s; at the very end that of the
  /// cycle's end.
  [[nodiscard]] double time_in_cycle(double time) const;
  /// What the network went through.
  [[nodiscard]] const heat::Operation& operation() const { return operation_; }
  /// The network's solution; null for a record.
  [[nodiscard]] const heat::Solution* solution() const { return solution_ ? &*solution_ : nullptr; }

 private:
  [[nodiscard]] const TemperatureRecord* record() const;

  const Design* design_;
  std::size_t index_;
  heat::Operation operation_{};
  std::optional<heat::Solution> solution_;
  std::vector<double> corners_;
};

/// Every history of a design as far as it can be worked out.
struct Courses {
  std::vector<Course> courses;
  std::vector<Failure> failures;
  std::vector<Warning> warnings;
};

/// The design must outlive the courses.
[[nodiscard]] Courses courses_of(const Design& design, const RunOptions& options);

/// "cold start at 140.25 s": the name of a moment.
[[nodiscard]] std::string moment_name(const std::string& history, double time_in_seconds);

}  // namespace lashband::design
