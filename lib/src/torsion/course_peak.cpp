#include "torsion/course_peak.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <complex>
#include <functional>
#include <iterator>
#include <numbers>
#include <numeric>
#include <queue>
#include <unsupported/Eigen/FFT>
#include <utility>

namespace lashband::torsion::kernel {
namespace {

using Complex = std::complex<double>;

constexpr double full_turn = 2.0 * std::numbers::pi;
constexpr std::size_t points_a_period = 8;

// Sum of S_m e^(i 2 pi m j / points) at every point j.
std::vector<Complex> transformed(const std::vector<Complex>& spectrum) {
  if (spectrum.size() == 1) {
    return spectrum;
  }
  std::vector<Complex> course(spectrum.size());
  Eigen::FFT<double> transform;
  transform.SetFlag(Eigen::FFT<double>::Unscaled);
  transform.inv(course, spectrum);
  return course;
}

// Value and two derivatives.
struct Local {
  double value = 0.0;
  double slope = 0.0;
  double bend = 0.0;
};

// The course over the common divisor of its orders, with values and slopes on a grid.
struct Grid {
  std::vector<Harmonic> harmonics{};
  long long divisor = 0;
  std::size_t points = 1;
  double step = 0.0;
  double sum = 0.0;     // of |a|
  double second = 0.0;  // of n^2 |a|, the greatest second derivative there can be
  double third = 0.0;   // of n^3 |a|
  std::vector<double> values{};
  std::vector<double> slopes{};
};

Grid grid_of(const std::vector<Harmonic>& harmonics) {
  Grid grid;
  for (const Harmonic& harmonic : harmonics) {
    if (harmonic.amplitude != Complex{}) {
      grid.harmonics.push_back(harmonic);
      grid.divisor = std::gcd(grid.divisor, harmonic.order);
    }
  }
  if (grid.harmonics.empty()) {
    return grid;
  }
  long long highest = 0;
  for (Harmonic& harmonic : grid.harmonics) {
    harmonic.order /= grid.divisor;
    highest = std::max(highest, harmonic.order);
    const auto n = static_cast<double>(harmonic.order);
    const double magnitude = std::abs(harmonic.amplitude);
    grid.sum += magnitude;
    grid.second += n * n * magnitude;
    grid.third += n * n * n * magnitude;
  }
  grid.points = std::bit_ceil(points_a_period * static_cast<std::size_t>(highest));
  grid.step = full_turn / static_cast<double>(grid.points);
  // The values as real part and the slopes as imaginary part of one transform.
  std::vector<Complex> spectrum(grid.points);
  for (const Harmonic& harmonic : grid.harmonics) {
    const auto place = static_cast<std::size_t>(harmonic.order);
    const Complex half = 0.5 * harmonic.amplitude;
    const Complex half_slope = half * Complex{0.0, static_cast<double>(harmonic.order)};
    spectrum[place] += half + Complex{0.0, 1.0} * half_slope;
    spectrum[grid.points - place] += std::conj(half) + Complex{0.0, 1.0} * std::conj(half_slope);
  }
  const std::vector<Complex> course = transformed(spectrum);
  grid.values.reserve(grid.points);
  grid.slopes.reserve(grid.points);
  for (const Complex& point : course) {
    grid.values.push_back(point.real());
    grid.slopes.push_back(point.imag());
  }
  return grid;
}

// From `centre` radians after a grid point, half a width to both sides.
struct Cell {
  std::size_t point = 0;
  double centre = 0.0;
  double half_width = 0.0;
  double bound = 0.0;
  bool operator<(const Cell& other) const { return bound < other.bound; }
};

// The greatest value of the course, or of the course turned over (sign -1).
class PeakSearch {
 public:
  PeakSearch(const Grid& grid, double sign) : grid_(grid), sign_(sign) {}
  [[nodiscard]] CourseEnd greatest();

 private:
  [[nodiscard]] Local at(std::size_t point, double delta) const;
  [[nodiscard]] double bound(const Local& local, double half_width) const;
  [[nodiscard]] std::vector<Cell> cells_to_refine() const;
  void climb(std::size_t point, double delta);

  const Grid& grid_;
  double sign_;
  double best_ = 0.0;
  std::size_t best_point_ = 0;
  double best_delta_ = 0.0;
};

// The turns that an order has made at a grid point are whole steps of the grid, so that nothing is
// lost at high orders.
Local PeakSearch::at(std::size_t point, double delta) const {
  Local local;
  for (const Harmonic& harmonic : grid_.harmonics) {
    const auto n = static_cast<double>(harmonic.order);
    const std::size_t steps = static_cast<std::size_t>(harmonic.order) * point % grid_.points;
    const double angle = grid_.step * static_cast<double>(steps) + n * delta;
    const double c = std::cos(angle);
    const double s = std::sin(angle);
    const double along = harmonic.amplitude.real() * c - harmonic.amplitude.imag() * s;
    const double across = harmonic.amplitude.real() * s + harmonic.amplitude.imag() * c;
    local.value += along;
    local.slope -= n * across;
    local.bend -= n * n * along;
  }
  return {sign_ * local.value, sign_ * local.slope, sign_ * local.bend};
}

// Above every value within the half width.
double PeakSearch::bound(const Local& local, double half_width) const {
  const double slope = std::fabs(local.slope);
  const double rest = grid_.third * half_width * half_width * half_width / 6.0;
  if (slope < -local.bend * half_width) {
    return local.value - 0.5 * slope * slope / local.bend + rest;
  }
  return local.value + slope * half_width + 0.5 * local.bend * half_width * half_width + rest;
}

// Newton's method on the derivative, not further than a step away. The best value is kept.
void PeakSearch::climb(std::size_t point, double delta) {
  constexpr int most_steps = 30;
  for (int i = 0; i < most_steps; ++i) {
    const Local local = at(point, delta);
    if (local.value > best_) {
      best_ = local.value;
      best_point_ = point;
      best_delta_ = delta;
    }
    if (!(local.bend < 0.0)) {
      return;
    }
    const double next = delta - local.slope / local.bend;
    if (!(std::fabs(next) <= grid_.step) || next == delta) {
      return;
    }
    delta = next;
  }
}

std::vector<Cell> PeakSearch::cells_to_refine() const {
  const double half = 0.5 * grid_.step;
  const double most_bend = 0.5 * grid_.second * half * half;
  std::vector<Cell> cells;
  for (std::size_t i = 0; i < grid_.points; ++i) {
    const double most = sign_ * grid_.values[i] + std::fabs(grid_.slopes[i]) * half + most_bend;
    if (most > best_) {
      cells.push_back({i, 0.0, half, most});
    }
  }
  return cells;
}

CourseEnd PeakSearch::greatest() {
  const auto [least, most] = std::minmax_element(grid_.values.begin(), grid_.values.end());
  const auto start = std::distance(grid_.values.begin(), sign_ > 0.0 ? most : least);
  best_point_ = static_cast<std::size_t>(start);
  best_ = at(best_point_, 0.0).value;
  climb(best_point_, 0.0);
  const double rounding = 1e-14 * grid_.sum;
  std::priority_queue<Cell> queue(std::less<Cell>{}, cells_to_refine());
  while (!queue.empty() && queue.top().bound > best_ + rounding) {
    const Cell cell = queue.top();
    queue.pop();
    const double own = bound(at(cell.point, cell.centre), cell.half_width);
    if (!(own > best_ + rounding)) {
      continue;
    }
    climb(cell.point, cell.centre);
    const double half = 0.5 * cell.half_width;
    for (const double centre : {cell.centre - half, cell.centre + half}) {
      const double half_bound = bound(at(cell.point, centre), half);
      if (half_bound > best_ + rounding) {
        queue.push({cell.point, centre, half, half_bound});
      }
    }
  }
  const auto divisor = static_cast<double>(grid_.divisor);
  const double period = full_turn / divisor;
  double phase = (grid_.step * static_cast<double>(best_point_) + best_delta_) / divisor;
  phase += phase < 0.0 ? period : 0.0;
  return {sign_ * best_, phase < period ? phase : 0.0};
}

}  // namespace

std::vector<double> sampled(const std::vector<Harmonic>& harmonics, std::size_t points) {
  std::vector<Complex> spectrum(points);
  for (const Harmonic& harmonic : harmonics) {
    // At the points an order looks like its remainder.
    spectrum[static_cast<std::size_t>(harmonic.order) % points] += harmonic.amplitude;
  }
  const std::vector<Complex> course = transformed(spectrum);
  std::vector<double> result;
  result.reserve(points);
  for (const Complex& value : course) {
    result.push_back(value.real());
  }
  return result;
}

CourseEnds ends_of(const std::vector<Harmonic>& harmonics) {
  const Grid grid = grid_of(harmonics);
  if (grid.harmonics.empty()) {
    return {};
  }
  return {PeakSearch(grid, -1.0).greatest(), PeakSearch(grid, 1.0).greatest()};
}

}  // namespace lashband::torsion::kernel
