#include "lashband/heat/schedule.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>

#include "heat/message.hpp"

namespace lashband::heat::detail {

using kernel::require;

void check_schedule(const std::vector<double>& times, const std::vector<double>& values) {
  const std::string what = "schedule";
  require(!times.empty(), what, "there must be at least one point");
  for (std::size_t i = 0; i < times.size(); ++i) {
    require(std::isfinite(times[i]), what, "the time of a point must be finite", times[i], " s");
    require(std::isfinite(values[i]), what, "the value of a point must be finite", values[i],
            " (SI unit)");
    require(i < 1 || times[i] >= times[i - 1], what, "the times of points must not fall", times[i],
            " s");
    require(i < 2 || times[i] > times[i - 2], what, "no more than two points may share a time",
            times[i], " s");
  }
}

double schedule_value(const std::vector<double>& times, const std::vector<double>& values,
                      double time, bool before) {
  // The first point behind `time`; at a jump `before` stops at its first point.
  const auto next = before ? std::lower_bound(times.begin(), times.end(), time)
                           : std::upper_bound(times.begin(), times.end(), time);
  const auto i = static_cast<std::size_t>(std::distance(times.begin(), next));
  if (i == 0) {
    return values.front();
  }
  if (i == times.size()) {
    return values.back();
  }
  const double share = (time - times[i - 1]) / (times[i] - times[i - 1]);
  // Exact at both points.
  return (1.0 - share) * values[i - 1] + share * values[i];
}

}  // namespace lashband::heat::detail
