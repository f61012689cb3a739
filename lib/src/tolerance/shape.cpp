#include "lashband/tolerance/shape.hpp"

#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <sstream>
#include <string>
#include <utility>

#include "lashband/error.hpp"

// Symbols: s = 1/(3 C_p), sigma of the normal density before it is truncated; t = 1/s = 3 C_p.
namespace lashband::tolerance {
namespace {

using Gauss = boost::math::quadrature::gauss<double, 30>;

constexpr std::size_t most_points = 1000;
constexpr double sqrt_2 = std::numbers::sqrt2;
constexpr double least_truncated_capability = 1e-6;
constexpr double greatest_truncated_capability = 1e6;
/// Up to this many sigma a 30-point Gauss rule gives integrals of the normal density to rounding.
constexpr double sigmas_of_one_rule = 3.0;

std::string text(double value) {
  std::ostringstream out;
  out << value;
  return out.str();
}

/// Normal probability between two points, in sigma; not relative where both lie far to one side.
double normal_between(double from, double to) {
  return 0.5 * (std::erf(to / sqrt_2) - std::erf(from / sqrt_2));
}

double normal_below(double u) {
  return 0.5 * std::erfc(-u / sqrt_2);
}

double normal_density(double u) {
  return std::exp(-0.5 * u * u) / (sqrt_2 * std::sqrt(std::numbers::pi));
}

/// Probability of [-1, y] under the truncated normal density, for y <= 0.
double truncated_below(double y, double t) {
  const double within = normal_between(-t, t);
  // Near the limit the difference of two probabilities would cancel.
  if ((1.0 + y) * t <= 1.0) {
    return t * Gauss::integrate([t](double x) { return normal_density(t * x); }, -1.0, y) / within;
  }
  return (normal_below(t * y) - normal_below(-t)) / within;
}

double linear(const Shape::Point& a, const Shape::Point& b, double y) {
  return a.density + (b.density - a.density) * ((y - a.y) / (b.y - a.y));
}

/// The panel of the table that y lies in, as the index of its left point.
std::size_t panel(const std::vector<Shape::Point>& points, double y) {
  const auto right = std::upper_bound(points.begin() + 1, points.end() - 1, y,
                                      [](double x, const Shape::Point& p) { return x < p.y; });
  return static_cast<std::size_t>(right - points.begin()) - 1;
}

double area(const Shape::Point& a, const Shape::Point& b) {
  return 0.5 * (b.y - a.y) * (a.density + b.density);
}

void check_capability(double capability) {
  if (!(capability > 0.0) || !std::isfinite(capability)) {
    throw DomainError("the capability C_p is " + text(capability) +
                      ", but must be finite and above 0");
  }
}

}  // namespace

Shape Shape::uniform() {
  return {};
}

Shape Shape::normal(double capability) {
  check_capability(capability);
  Shape shape;
  shape.kind_ = Kind::normal;
  shape.capability_ = capability;
  return shape;
}

Shape Shape::truncated_normal(double capability) {
  check_capability(capability);
  if (!(capability >= least_truncated_capability && capability <= greatest_truncated_capability)) {
    throw DomainError("the capability C_p of a truncated normal density is " + text(capability) +
                      ", but must lie from 1e-6 to 1e6");
  }
  Shape shape;
  shape.kind_ = Kind::truncated_normal;
  shape.capability_ = capability;
  return shape;
}

Shape Shape::triangular(double mode) {
  if (!(mode >= -1.0 && mode <= 1.0)) {
    throw DomainError("the mode of a triangular density is " + text(mode) +
                      ", but must lie within -1 to 1");
  }
  Shape shape;
  shape.kind_ = Kind::triangular;
  shape.mode_ = mode;
  return shape;
}

Shape Shape::tabulated(std::vector<Point> points) {
  if (points.size() < 2 || points.size() > most_points) {
    throw DomainError("a table of densities has " + std::to_string(points.size()) +
                      " points, but needs 2 to " + std::to_string(most_points));
  }
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!(points[i].y >= -1.0 && points[i].y <= 1.0)) {
      throw DomainError("a table of densities has the place " + text(points[i].y) +
                        ", but must stay within -1 to 1");
    }
    if (!(points[i].density >= 0.0) || !std::isfinite(points[i].density)) {
      throw DomainError("the density at " + text(points[i].y) + " is " + text(points[i].density) +
                        ", but must be finite and not negative");
    }
    if (i > 0 && !(points[i - 1].y < points[i].y)) {
      throw DomainError("a table of densities has " + text(points[i].y) + " after " +
                        text(points[i - 1].y) + ", but its places must rise");
    }
  }
  double whole = 0.0;
  for (std::size_t i = 1; i < points.size(); ++i) {
    whole += area(points[i - 1], points[i]);
  }
  if (!(whole > 0.0) || !std::isfinite(1.0 / whole) || !std::isfinite(whole)) {
    throw DomainError("the area of a table of densities is " + text(whole) +
                      ", but must be finite and above 0");
  }
  for (Point& point : points) {
    point.density /= whole;
  }
  Shape shape;
  shape.kind_ = Kind::tabulated;
  shape.below_points_.assign(points.size(), 0.0);
  shape.above_points_.assign(points.size(), 0.0);
  for (std::size_t i = 1; i < points.size(); ++i) {
    shape.below_points_[i] = shape.below_points_[i - 1] + area(points[i - 1], points[i]);
  }
  for (std::size_t i = points.size() - 1; i-- > 0;) {
    shape.above_points_[i] = shape.above_points_[i + 1] + area(points[i], points[i + 1]);
  }
  shape.points_ = std::move(points);
  return shape;
}

double Shape::least() const {
  switch (kind_) {
    case Kind::normal:
      return -std::numeric_limits<double>::infinity();
    case Kind::tabulated:
      return points_.front().y;
    default:
      return -1.0;
  }
}

double Shape::greatest() const {
  switch (kind_) {
    case Kind::normal:
      return std::numeric_limits<double>::infinity();
    case Kind::tabulated:
      return points_.back().y;
    default:
      return 1.0;
  }
}

double Shape::mean() const {
  if (kind_ == Kind::triangular) {
    return mode_ / 3.0;
  }
  double sum = 0.0;
  for (std::size_t i = 1; i < points_.size(); ++i) {
    const Point& a = points_[i - 1];
    const Point& b = points_[i];
    sum += (b.y - a.y) / 6.0 * ((2.0 * a.y + b.y) * a.density + (a.y + 2.0 * b.y) * b.density);
  }
  return sum;
}

double Shape::sigma() const {
  switch (kind_) {
    case Kind::uniform:
      return 1.0 / std::numbers::sqrt3;
    case Kind::normal:
      return 1.0 / (3.0 * capability_);
    case Kind::triangular:
      return std::sqrt((3.0 + mode_ * mode_) / 18.0);
    case Kind::truncated_normal: {
      const double t = 3.0 * capability_;
      if (t <= sigmas_of_one_rule) {
        // 1 - 2 t phi/within would cancel.
        return std::sqrt(
            t *
            Gauss::integrate([t](double y) { return y * y * normal_density(t * y); }, -1.0, 1.0) /
            normal_between(-t, t));
      }
      return std::sqrt(1.0 - 2.0 * t * normal_density(t) / normal_between(-t, t)) / t;
    }
    case Kind::tabulated:
      break;
  }
  const double centre = mean();
  double sum = 0.0;
  for (std::size_t i = 1; i < points_.size(); ++i) {
    const double u = points_[i - 1].y - centre;
    const double v = points_[i].y - centre;
    sum += (v - u) / 12.0 *
           (points_[i - 1].density * (3.0 * u * u + 2.0 * u * v + v * v) +
            points_[i].density * (u * u + 2.0 * u * v + 3.0 * v * v));
  }
  return std::sqrt(sum);
}

double Shape::density(double y) const {
  if (kind_ == Kind::normal) {
    const double t = 3.0 * capability_;
    return t * normal_density(t * y);
  }
  if (!(y >= least() && y <= greatest())) {
    return 0.0;
  }
  switch (kind_) {
    case Kind::triangular:
      if (y < mode_ || mode_ == 1.0) {
        return (1.0 + y) / (1.0 + mode_);
      }
      return (1.0 - y) / (1.0 - mode_);
    case Kind::truncated_normal: {
      const double t = 3.0 * capability_;
      return t * normal_density(t * y) / normal_between(-t, t);
    }
    case Kind::tabulated: {
      const std::size_t i = panel(points_, y);
      return linear(points_[i], points_[i + 1], y);
    }
    default:
      return 0.5;
  }
}

double Shape::below(double y) const {
  if (kind_ == Kind::normal) {
    return normal_below(3.0 * capability_ * y);
  }
  if (y <= least()) {
    return 0.0;
  }
  if (y >= greatest()) {
    return 1.0;
  }
  switch (kind_) {
    case Kind::triangular:
      return y <= mode_ ? 0.5 * (1.0 + y) * (1.0 + y) / (1.0 + mode_)
                        : 1.0 - 0.5 * (1.0 - y) * (1.0 - y) / (1.0 - mode_);
    case Kind::truncated_normal:
      return y <= 0.0 ? truncated_below(y, 3.0 * capability_)
                      : 1.0 - truncated_below(-y, 3.0 * capability_);
    case Kind::tabulated: {
      const std::size_t i = panel(points_, y);
      return below_points_[i] + area(points_[i], {y, linear(points_[i], points_[i + 1], y)});
    }
    default:
      return 0.5 * (1.0 + y);
  }
}

double Shape::above(double y) const {
  if (y <= least()) {
    return 1.0;
  }
  if (y >= greatest()) {
    return 0.0;
  }
  switch (kind_) {
    case Kind::triangular:
      return y <= mode_ ? 1.0 - 0.5 * (1.0 + y) * (1.0 + y) / (1.0 + mode_)
                        : 0.5 * (1.0 - y) * (1.0 - y) / (1.0 - mode_);
    case Kind::tabulated: {
      const std::size_t i = panel(points_, y);
      return above_points_[i + 1] +
             area({y, linear(points_[i], points_[i + 1], y)}, points_[i + 1]);
    }
    default:
      return below(-y);
  }
}

double Shape::quantile(double p) const {
  if (!(p > 0.0 && p < 1.0)) {
    throw DomainError("the probability of a quantile is " + text(p) +
                      ", but must lie between 0 and 1");
  }
  switch (kind_) {
    case Kind::normal:
      return -sqrt_2 * boost::math::erfc_inv(2.0 * p) / (3.0 * capability_);
    case Kind::triangular: {
      const double at_mode = 0.5 * (1.0 + mode_);
      return p <= at_mode ? -1.0 + std::sqrt(2.0 * p * (1.0 + mode_))
                          : 1.0 - std::sqrt(2.0 * (1.0 - p) * (1.0 - mode_));
    }
    case Kind::truncated_normal: {
      const double t = 3.0 * capability_;
      const double lower = std::min(p, 1.0 - p);
      const double within = normal_between(-t, t);
      // The share of the whole normal distribution that lies below; exact up to rounding.
      const double u = -sqrt_2 * boost::math::erfc_inv(2.0 * (normal_below(-t) + lower * within));
      double y = std::clamp(u / t, -1.0, 0.0);
      // Two steps of Newton's rule on the form that does not cancel near the limit.
      for (int i = 0; i < 2; ++i) {
        const double slope = t * normal_density(t * y) / within;
        if (slope > 0.0) {
          y = std::clamp(y - (truncated_below(y, t) - lower) / slope, -1.0, 0.0);
        }
      }
      return p <= 0.5 ? y : -y;
    }
    case Kind::tabulated: {
      const auto right = std::lower_bound(below_points_.begin() + 1, below_points_.end() - 1, p);
      const auto i = static_cast<std::size_t>(right - below_points_.begin()) - 1;
      const Point& a = points_[i];
      const Point& b = points_[i + 1];
      const double slope = (b.density - a.density) / (b.y - a.y);
      const double rest = p - below_points_[i];
      const double root = std::sqrt(std::max(0.0, a.density * a.density + 2.0 * slope * rest));
      const double width = rest > 0.0 ? 2.0 * rest / (a.density + root) : 0.0;
      return std::min(b.y, a.y + width);
    }
    default:
      return 2.0 * p - 1.0;
  }
}

}  // namespace lashband::tolerance
