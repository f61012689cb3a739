#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <utility>

#include "heat/message.hpp"
#include "heat/solution_parts.hpp"

namespace lashband::heat {
namespace {

using kernel::Matrix;
using kernel::Motion;
using kernel::require;
using kernel::Stretch;
using kernel::Vector;
using Rows = std::vector<std::vector<units::Temperature>>;

// From this number of equally spaced moments in a stretch it pays to build the way between them.
constexpr std::size_t row_of_moments = 6;

std::vector<units::Temperature> levels(const Vector& T) {
  std::vector<units::Temperature> result;
  result.reserve(static_cast<std::size_t>(T.size()));
  for (const double degrees : T) {
    result.push_back(units::celsius(degrees));
  }
  return result;
}

// The moments are equal steps but for the rounding of times themselves.
bool equally_spaced(const std::vector<double>& moments) {
  const double step = (moments.back() - moments.front()) / static_cast<double>(moments.size() - 1);
  const double rounding = 4.0 * std::numeric_limits<double>::epsilon() * moments.back();
  for (std::size_t i = 0; i < moments.size(); ++i) {
    if (!(std::abs(moments[i] - moments.front() - static_cast<double>(i) * step) <= rounding)) {
      return false;
    }
  }
  return step > 0.0;
}

// x(t + step) = x + D x + P_1 (b0 + b1 t) + P_2 b1.
void add_equal_steps(const Stretch& stretch, const std::vector<double>& moments, Motion motion,
                     Rows& rows) {
  const double step = (moments.back() - moments.front()) / static_cast<double>(moments.size() - 1);
  const kernel::Way way = stretch.propagator->way(step);
  const Vector constant = way.first * stretch.rate + way.second * stretch.bend;
  const Vector growing = way.first * stretch.bend;
  Vector change(constant.size());
  for (std::size_t i = 0; i < moments.size(); ++i) {
    rows.push_back(levels(stretch.start + motion.moved));
    const double since = moments.front() - stretch.begin + static_cast<double>(i) * step;
    change.noalias() = way.growth * motion.moved;
    change += constant + since * growing;
    motion.moved += change;
  }
}

void add_linear(const Stretch& stretch, const std::vector<double>& moments, Rows& rows) {
  Motion motion = kernel::beginning(stretch.rate);
  stretch.propagator->advance(moments.front() - stretch.begin, stretch.bend, motion);
  if (moments.size() >= row_of_moments && equally_spaced(moments)) {
    add_equal_steps(stretch, moments, std::move(motion), rows);
    return;
  }
  double last = moments.front();
  for (const double moment : moments) {
    if (moment > last) {
      stretch.propagator->advance(moment - last, stretch.bend, motion);
      last = moment;
    }
    rows.push_back(levels(stretch.start + motion.moved));
  }
}

void add_relinearised(const Solution::Parts& parts, const Stretch& stretch,
                      const std::vector<double>& moments, Rows& rows) {
  const kernel::Relinearised& half = *stretch.relinearised;
  const Matrix A = half.capacities.cwiseInverse().asDiagonal() *
                   kernel::jacobian(parts.ports, parts.contents.size(), half.slopes);
  const kernel::SingleStretch single(A, stretch.rate, stretch.bend, stretch.length);
  for (const double moment : moments) {
    const double since = std::min(moment - stretch.begin, stretch.length);
    const double share = since / stretch.length;
    const Vector heats = half.heats + half.capacities.cwiseProduct(single.moved(since)) +
                         (share * share * share) * half.correction;
    std::vector<units::Temperature> row;
    row.reserve(parts.contents.size());
    for (std::size_t i = 0; i < parts.contents.size(); ++i) {
      row.push_back(
          units::celsius(parts.contents[i].temperature(heats[static_cast<Eigen::Index>(i)])));
    }
    rows.push_back(std::move(row));
  }
}

}  // namespace

Outcome Solution::outcome() const {
  return parts_->outcome;
}
const std::string& Solution::message() const {
  return parts_->message;
}
units::Time Solution::end() const {
  return units::Time::from_value(parts_->end);
}
std::size_t Solution::cycles() const {
  return parts_->cycles;
}
std::size_t Solution::steps() const {
  return parts_->steps;
}
const std::vector<units::Time>& Solution::kinks() const {
  return parts_->kinks;
}
const EnergyAccount& Solution::energy() const {
  return parts_->energy;
}

std::vector<std::vector<units::Temperature>> Solution::at(
    const std::vector<units::Time>& times) const {
  const std::string what = "times of a solution";
  for (std::size_t i = 0; i < times.size(); ++i) {
    const double time = times[i].value();
    require(time >= 0.0 && time <= parts_->end, what, "each must lie within the solution", time,
            " s");
    require(i == 0 || times[i - 1] <= times[i], what, "they must not fall", time, " s");
  }
  Rows rows;
  rows.reserve(times.size());
  const std::vector<Stretch>& stretches = parts_->stretches;
  std::vector<double> moments;
  for (std::size_t i = 0; i < times.size();) {
    // The last stretch that begins at or before the time.
    const auto behind =
        std::upper_bound(stretches.begin(), stretches.end(), times[i].value(),
                         [](double time, const Stretch& other) { return time < other.begin; });
    if (behind == stretches.begin()) {
      rows.push_back(levels(parts_->start));
      ++i;
      continue;
    }
    const Stretch& stretch = *std::prev(behind);
    moments.clear();
    while (i < times.size() && (behind == stretches.end() || times[i].value() < behind->begin)) {
      moments.push_back(times[i].value());
      ++i;
    }
    if (stretch.relinearised) {
      add_relinearised(*parts_, stretch, moments, rows);
    } else {
      add_linear(stretch, moments, rows);
    }
  }
  return rows;
}

}  // namespace lashband::heat
