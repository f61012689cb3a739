#pragma once

#include <string>
#include <utility>
#include <vector>

#include "lashband/units/quantities.hpp"

namespace lashband::heat {

template <class Q>
struct SchedulePoint {
  units::Time at;
  Q value;
};

namespace detail {
/// Throws DomainError unless there is a point, all is finite, times do not fall, and no more than
/// two points share a time.
void check_schedule(const std::vector<double>& times, const std::vector<double>& values);
/// Linear between points, constant outside; at a jump the value after it, or with `before` the one
/// before it.
[[nodiscard]] double schedule_value(const std::vector<double>& times,
                                    const std::vector<double>& values, double time, bool before);
}  // namespace detail

/// A quantity over time: linear between its points, constant before the first and after the last.
/// Two points at one time are a jump from the first value to the second. Immutable.
template <class Q>
class Schedule {
 public:
  /// Constant at all times.
  explicit Schedule(Q value) : Schedule(std::vector<SchedulePoint<Q>>{{units::Time(), value}}) {}

  /// Throws DomainError unless there is a point, times and values are finite, times do not fall,
  /// and no more than two points share a time.
  explicit Schedule(const std::vector<SchedulePoint<Q>>& points) {
    times_.reserve(points.size());
    values_.reserve(points.size());
    for (const SchedulePoint<Q>& point : points) {
      times_.push_back(point.at.value());
      values_.push_back(point.value.value());
    }
    detail::check_schedule(times_, values_);
  }

  /// The value at a time; at a jump the one after it. Exact at the points.
  [[nodiscard]] Q at(units::Time time) const {
    return Q::from_value(detail::schedule_value(times_, values_, time.value(), false));
  }
  /// The same, at a jump the value before it.
  [[nodiscard]] Q before(units::Time time) const {
    return Q::from_value(detail::schedule_value(times_, values_, time.value(), true));
  }

  /// The points, in SI units (levels in degC): kernels read these.
  [[nodiscard]] const std::vector<double>& times_in_seconds() const { return times_; }
  [[nodiscard]] const std::vector<double>& values() const { return values_; }

 private:
  std::vector<double> times_;
  std::vector<double> values_;
};

}  // namespace lashband::heat
