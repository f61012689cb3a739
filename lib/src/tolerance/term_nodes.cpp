#include "tolerance/term_nodes.hpp"

#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <cmath>
#include <cstddef>
#include <limits>

namespace lashband::tolerance::kernel {
namespace {

/// Up to `exponent` over its half-width a rule integrates e^{-z y} to 4e-15 of its greatest value,
/// z real, imaginary or in between: found by trial against sinh(z)/z.
struct Rule {
  double exponent;
  void (*append)(const Shape&, double, double, Nodes&);
};

template <unsigned points>
void append_rule(const Shape& shape, double low, double high, Nodes& into) {
  using Gauss = boost::math::quadrature::gauss<double, points>;
  const double mid = 0.5 * (low + high);
  const double half = 0.5 * (high - low);
  const auto append = [&](double x, double weight) {
    const double y = mid + half * x;
    into.place.push_back(y);
    into.weight.push_back(weight * half * shape.density(y));
  };
  for (std::size_t i = 0; i < Gauss::abscissa().size(); ++i) {
    const double x = Gauss::abscissa()[i];
    const double weight = Gauss::weights()[i];
    append(x, weight);
    if (x > 0.0) {
      append(-x, weight);
    }
  }
}

constexpr Rule rules[] = {{1.0, append_rule<7>},   {3.0, append_rule<10>},
                          {8.0, append_rule<15>},  {14.0, append_rule<20>},
                          {20.0, append_rule<25>}, {27.0, append_rule<30>}};
constexpr double greatest_rule_exponent = 27.0;

/// Panels of a truncated normal density are at most this many sigma to each side of their middle.
constexpr double panel_half_in_sigmas = 3.0;
/// What such a panel adds to the exponent, per sigma of its half-width (by trial as above).
constexpr double exponent_per_sigma = 3.0;
/// Beyond this many sigma a normal density is below the least double.
constexpr double farthest_sigmas = 38.0;

void append_panel(const Shape& shape, double low, double high, double exponent, Nodes& into) {
  const double half = 0.5 * (high - low);
  double needed = exponent * half;
  if (shape.kind() == Shape::Kind::truncated_normal) {
    const double per_sigma = 3.0 * shape.capability();
    const double half_in_sigmas = half * per_sigma;
    const double mid_in_sigmas = std::abs(0.5 * (low + high)) * per_sigma;
    needed += half_in_sigmas * (exponent_per_sigma + mid_in_sigmas);
  }
  if (needed > greatest_rule_exponent) {
    const double mid = 0.5 * (low + high);
    append_panel(shape, low, mid, exponent, into);
    append_panel(shape, mid, high, exponent, into);
    return;
  }
  for (const Rule& rule : rules) {
    if (needed <= rule.exponent) {
      rule.append(shape, low, high, into);
      return;
    }
  }
}

}  // namespace

std::vector<double> panel_ends(const Shape& shape) {
  std::vector<double> ends;
  switch (shape.kind()) {
    case Shape::Kind::triangular:
      ends = {-1.0, shape.mode(), 1.0};
      ends.erase(std::unique(ends.begin(), ends.end()), ends.end());
      return ends;
    case Shape::Kind::truncated_normal: {
      const double per_sigma = 3.0 * shape.capability();
      const double end = std::min(1.0, farthest_sigmas / per_sigma);
      const int panels = static_cast<int>(std::ceil(end * per_sigma / panel_half_in_sigmas));
      for (int i = 0; i <= panels; ++i) {
        ends.push_back(end * (2.0 * i / panels - 1.0));
      }
      return ends;
    }
    case Shape::Kind::tabulated:
      for (const Shape::Point& point : shape.points()) {
        ends.push_back(point.y);
      }
      return ends;
    default:
      return {-1.0, 1.0};
  }
}

Nodes nodes(const Shape& shape, double exponent) {
  Nodes result;
  const std::vector<double> ends = panel_ends(shape);
  for (std::size_t i = 1; i < ends.size(); ++i) {
    append_panel(shape, ends[i - 1], ends[i], exponent, result);
  }
  return result;
}

std::vector<Break> breaks(const Shape& shape) {
  switch (shape.kind()) {
    case Shape::Kind::uniform:
      return {{-1.0, 0.5, 0.0}, {1.0, -0.5, 0.0}};
    case Shape::Kind::triangular: {
      const double m = shape.mode();
      if (m == -1.0) {
        return {{-1.0, 1.0, -0.5}, {1.0, 0.0, 0.5}};
      }
      if (m == 1.0) {
        return {{-1.0, 0.0, 0.5}, {1.0, -1.0, -0.5}};
      }
      const double rise = 1.0 / (1.0 + m);
      const double fall = 1.0 / (1.0 - m);
      return {{-1.0, 0.0, rise}, {m, 0.0, -rise - fall}, {1.0, 0.0, fall}};
    }
    case Shape::Kind::tabulated: {
      std::vector<Break> result;
      double slope = 0.0;
      const std::vector<Shape::Point>& points = shape.points();
      for (std::size_t i = 0; i < points.size(); ++i) {
        const bool last = i + 1 == points.size();
        const double next =
            last ? 0.0
                 : (points[i + 1].density - points[i].density) / (points[i + 1].y - points[i].y);
        const double jump = i == 0 ? points[i].density : (last ? -points[i].density : 0.0);
        result.push_back({points[i].y, jump, next - slope});
        slope = next;
      }
      return result;
    }
    default:
      return {};
  }
}

}  // namespace lashband::tolerance::kernel
