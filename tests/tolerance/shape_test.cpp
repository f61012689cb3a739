#include "lashband/tolerance/shape.hpp"

#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/triangular.hpp>
#include <boost/math/distributions/uniform.hpp>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"

namespace {

using namespace lashband;
using namespace lashband::tolerance;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();

/// Some ten roundings: what a closed form in two ways may differ by, relative.
constexpr double closed_form = 1e-14;
/// The same for values of order 1, absolute.
constexpr double absolute = 1e-15 * 4;
/// Probabilities in a far tail: e^{-t^2/2} magnifies the rounding of t by t^2, some 60 at 8 sigma.
constexpr double far_tail = 1e-13;
/// The adaptive quadrature of these tests is asked for 1e-14 a panel.
constexpr double quadrature = 1e-13;
/// Rounding of a place near 1, with the few powers of it that a tail is made of.
constexpr double place_rounding = 1e-15;
/// As the header promises for quantiles, absolute.
constexpr double quantile_accuracy = 1e-13;

struct NamedShape {
  std::string name;
  Shape shape;
  std::vector<double> bends;  ///< between these the density is smooth
};

std::vector<NamedShape> bounded_shapes() {
  return {
      {"uniform", Shape::uniform(), {-1, 1}},
      {"triangular", Shape::triangular(), {-1, 0, 1}},
      {"lopsided triangular", Shape::triangular(0.7), {-1, 0.7, 1}},
      {"falling", Shape::triangular(-1), {-1, 1}},
      {"rising", Shape::triangular(1), {-1, 1}},
      {"truncated, C_p 0.05", Shape::truncated_normal(0.05), {-1, 0, 1}},
      {"truncated, C_p 0.4", Shape::truncated_normal(0.4), {-1, 0, 1}},
      {"truncated, C_p 1", Shape::truncated_normal(1.0), {-1, -0.5, 0, 0.5, 1}},
      {"truncated, C_p 2", Shape::truncated_normal(2.0), {-1, -0.5, -0.2, 0, 0.2, 0.5, 1}},
      {"two points", Shape::tabulated({{-0.5, 1}, {0.25, 3}}), {-0.5, 0.25}},
      {"two humps",
       Shape::tabulated({{-1, 0}, {-0.6, 4}, {-0.1, 0}, {0.2, 0}, {0.5, 7}, {1, 0.5}}),
       {-1, -0.6, -0.1, 0.2, 0.5, 1}},
  };
}

template <class F>
double integral(const NamedShape& named, double from, double to, F f) {
  double sum = 0.0;
  for (std::size_t i = 1; i < named.bends.size(); ++i) {
    const double low = std::max(from, named.bends[i - 1]);
    const double high = std::min(to, named.bends[i]);
    if (low < high) {
      sum += boost::math::quadrature::gauss_kronrod<double, 31>::integrate(f, low, high, 10, 1e-14);
    }
  }
  return sum;
}

TEST_CASE("normal, uniform and triangular densities are those of Boost.Math") {
  const auto same = [](const Shape& shape, const auto& law, double from, double to) {
    CHECK_THAT(shape.mean(), WithinAbs(mean(law), absolute));
    CHECK_THAT(shape.sigma(), WithinRel(standard_deviation(law), closed_form));
    for (int i = 0; i <= 64; ++i) {
      const double y = from + (to - from) * (i / 64.0);
      CAPTURE(y);
      CHECK_THAT(shape.density(y), WithinRel(pdf(law, y), far_tail));
      CHECK_THAT(shape.below(y), WithinRel(cdf(law, y), far_tail));
      CHECK_THAT(shape.above(y), WithinRel(cdf(complement(law, y)), far_tail));
    }
    for (const double p : {1e-12, 1e-6, 0.00135, 0.1, 0.5, 0.7, 0.99865, 1 - 1e-9}) {
      CAPTURE(p);
      CHECK_THAT(shape.quantile(p), WithinAbs(quantile(law, p), quantile_accuracy));
    }
  };
  for (const double capability : {0.67, 1.0, 1.33, 2.0}) {
    CAPTURE(capability);
    const double sigma = 1.0 / (3.0 * capability);
    same(Shape::normal(capability), boost::math::normal(0.0, sigma), -8.0 * sigma, 8.0 * sigma);
  }
  same(Shape::uniform(), boost::math::uniform(-1.0, 1.0), -1.0, 1.0);
  for (const double mode : {-0.9, -0.3, 0.0, 0.5, 0.999}) {
    CAPTURE(mode);
    same(Shape::triangular(mode), boost::math::triangular(-1.0, mode, 1.0), -1.0, 1.0);
  }
}

TEST_CASE("the density of every bounded shape integrates to below and above") {
  for (const NamedShape& named : bounded_shapes()) {
    CAPTURE(named.name);
    const Shape& shape = named.shape;
    const auto density = [&](double y) { return shape.density(y); };
    const double least = shape.least();
    const double greatest = shape.greatest();
    CHECK(least == named.bends.front());
    CHECK(greatest == named.bends.back());
    CHECK_THAT(integral(named, least, greatest, density), WithinAbs(1.0, quadrature));
    for (int i = 1; i < 40; ++i) {
      const double y = least + (greatest - least) * (i / 40.0);
      CAPTURE(y);
      CHECK_THAT(shape.below(y), WithinRel(integral(named, least, y, density), quadrature));
      CHECK_THAT(shape.above(y), WithinRel(integral(named, y, greatest, density), quadrature));
    }
    for (const double near : {1e-3, 1e-6, 1e-9}) {
      CAPTURE(near);
      const double low = least + near;
      const double high = greatest - near;
      CHECK_THAT(shape.below(low), WithinRel(integral(named, least, low, density),
                                             quadrature + place_rounding / near));
      CHECK_THAT(shape.above(high), WithinRel(integral(named, high, greatest, density),
                                              quadrature + place_rounding / near));
    }
  }
}

TEST_CASE("mean and sigma of every bounded shape are the integrals they stand for") {
  for (const NamedShape& named : bounded_shapes()) {
    CAPTURE(named.name);
    const Shape& shape = named.shape;
    const double mean = integral(named, -1.0, 1.0, [&](double y) { return y * shape.density(y); });
    const double variance = integral(
        named, -1.0, 1.0, [&](double y) { return (y - mean) * (y - mean) * shape.density(y); });
    CHECK_THAT(shape.mean(), WithinAbs(mean, quadrature));
    CHECK_THAT(shape.sigma(), WithinRel(std::sqrt(variance), quadrature));
  }
}

TEST_CASE("a quantile is the inverse of below") {
  std::vector<NamedShape> shapes = bounded_shapes();
  shapes.push_back({"normal", Shape::normal(1.33), {}});
  for (const NamedShape& named : shapes) {
    for (const double p : {1e-12, 1e-7, 0.00135, 0.2, 0.5, 0.83, 0.99865, 1 - 1e-6}) {
      CAPTURE(named.name, p);
      const double y = named.shape.quantile(p);
      // An error of the quantile as promised, times the density.
      const double from_place = quantile_accuracy * named.shape.density(y);
      CHECK_THAT(named.shape.below(y), WithinAbs(p, from_place + absolute));
    }
  }
}

TEST_CASE("outside the support probabilities are exactly 0 and 1") {
  for (const NamedShape& named : bounded_shapes()) {
    CAPTURE(named.name);
    for (const double beyond : {0.0, 1e-12, 0.5, infinity}) {
      CHECK(named.shape.below(named.shape.least() - beyond) == 0.0);
      CHECK(named.shape.above(named.shape.least() - beyond) == 1.0);
      CHECK(named.shape.below(named.shape.greatest() + beyond) == 1.0);
      CHECK(named.shape.above(named.shape.greatest() + beyond) == 0.0);
    }
    CHECK(named.shape.density(1.0 + closed_form) == 0.0);
  }
  CHECK(Shape::normal().least() == -infinity);
  CHECK(Shape::normal().greatest() == infinity);
}

TEST_CASE("a table is scaled to area 1 and agrees with the shape that it draws") {
  const Shape triangle = Shape::tabulated({{-1, 0}, {0.25, 17}, {1, 0}});
  const Shape exact = Shape::triangular(0.25);
  for (int i = 0; i <= 50; ++i) {
    const double y = -1.0 + i / 25.0;
    CAPTURE(y);
    CHECK_THAT(triangle.density(y), WithinAbs(exact.density(y), absolute));
    CHECK_THAT(triangle.below(y), WithinRel(exact.below(y), closed_form));
    CHECK_THAT(triangle.above(y), WithinRel(exact.above(y), closed_form));
  }
  CHECK_THAT(triangle.mean(), WithinAbs(exact.mean(), absolute));
  CHECK_THAT(triangle.sigma(), WithinRel(exact.sigma(), closed_form));
  CHECK(triangle.points().size() == 3);
  CHECK_THAT(triangle.points()[1].density, WithinRel(1.0, closed_form));
}

TEST_CASE("what is no shape is refused with value and rule") {
  const auto refused = [](auto make, const std::string& says) {
    CAPTURE(says);
    try {
      static_cast<void>(make());
      FAIL("nothing was thrown");
    } catch (const DomainError& error) {
      CHECK_THAT(error.what(), ContainsText(says));
    }
  };
  for (const double wrong : {0.0, -1.0, nan, infinity}) {
    refused([&] { return Shape::normal(wrong); }, "capability C_p is");
    refused([&] { return Shape::truncated_normal(wrong); }, "capability C_p is");
  }
  refused([] { return Shape::truncated_normal(1e-7); }, "1e-6 to 1e6");
  for (const double wrong : {-1.01, 1.01, nan}) {
    refused([&] { return Shape::triangular(wrong); }, "mode of a triangular");
  }
  refused([] { return Shape::tabulated({{0, 1}}); }, "has 1 points");
  refused([] { return Shape::tabulated(std::vector<Shape::Point>(1001, {0, 1})); }, "1001");
  refused([] { return Shape::tabulated({{-1.5, 1}, {0, 1}}); }, "-1.5");
  refused([] { return Shape::tabulated({{nan, 1}, {0, 1}}); }, "within -1 to 1");
  refused([] { return Shape::tabulated({{0, 1}, {0, 2}}); }, "must rise");
  refused([] { return Shape::tabulated({{-1, 1}, {0, -2}}); }, "not negative");
  refused([] { return Shape::tabulated({{-1, 1}, {0, nan}}); }, "finite");
  refused([] { return Shape::tabulated({{-1, 0}, {0, 0}}); }, "above 0");
  for (const double wrong : {0.0, 1.0, -0.1, nan}) {
    refused([&] { return Shape::uniform().quantile(wrong); }, "between 0 and 1");
  }
}

}  // namespace
