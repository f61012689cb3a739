#include "heat/exits.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include "heat/message.hpp"

namespace lashband::heat::kernel {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

// The least t above 0 with y' t + M t^2/2 = distance.
double soonest(double rate, double most_bend, double distance) {
  const double root = std::sqrt(rate * rate + 2.0 * most_bend * distance);
  if (rate > 0.0) {
    return 2.0 * distance / (rate + root);
  }
  return most_bend > 0.0 ? (root - rate) / most_bend : infinite;
}

struct Watched {
  double level = 0.0;
  double rate = 0.0;
};

Watched watched_at(const Watch& watch, const Interval& interval, double since, const Vector& T,
                   const Motion& motion) {
  Watched result;
  for (const Place& place : watch.places) {
    if (place.kind == Place::Kind::body) {
      const auto i = static_cast<Eigen::Index>(place.index);
      result.level += T[i] + motion.moved[i];
      result.rate += motion.rate[i];
    } else {
      const Line& line = interval.boundaries[place.index];
      result.level += line.value + line.slope * since;
      result.rate += line.slope;
    }
  }
  const auto count = static_cast<double>(watch.places.size());
  return {result.level / count, result.rate / count};
}

}  // namespace

double upper_exit(const Watch& watch) {
  return watch.piece < watch.levels.size() ? watch.levels[watch.piece] + 2.0 * exit_width
                                           : infinite;
}

double lower_exit(const Watch& watch) {
  return watch.piece > 0 ? watch.levels[watch.piece - 1] - 2.0 * exit_width : -infinite;
}

std::size_t piece_at(const Watch& watch, double level) {
  return static_cast<std::size_t>(
      std::upper_bound(watch.levels.begin(), watch.levels.end(), level) - watch.levels.begin());
}

double watched(const Watch& watch, const Interval& interval, double since, const Vector& T) {
  const Vector none = Vector::Zero(T.size());
  return watched_at(watch, interval, since, T, {none, none, none}).level;
}

std::optional<double> first_exit(const std::vector<Watch>& watches, const Interval& interval,
                                 double since, const Vector& T, double length,
                                 const LinearSystem& system,
                                 const std::function<Motion(double)>& motion_at) {
  // Each pass goes at least a rounding of the time; a thousand are never needed but by numbers that
  // are no numbers.
  constexpr int most_passes = 100000;
  double time = 0.0;
  for (int pass = 0; pass < most_passes; ++pass) {
    const Motion motion = motion_at(time);
    const double most_bend =
        system.growth * (system.A * motion.rate + system.bend).cwiseAbs().maxCoeff();
    double step = infinite;
    for (const Watch& watch : watches) {
      const Watched now = watched_at(watch, interval, since + time, T, motion);
      const double up = upper_exit(watch) - now.level;
      const double down = now.level - lower_exit(watch);
      if (up <= exit_width || down <= exit_width) {
        return time;
      }
      step =
          std::min({step, soonest(now.rate, most_bend, up), soonest(-now.rate, most_bend, down)});
    }
    if (!(time + step < length)) {
      return std::nullopt;
    }
    constexpr double least_share = 4.0 * std::numeric_limits<double>::epsilon();
    time = std::min(length, time + std::max(step, least_share * length));
  }
  throw ComputationError("no end is found to the crossings of the levels of thermostats");
}

}  // namespace lashband::heat::kernel
