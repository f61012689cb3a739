// The draws: every shape, alone and tied to others.
#include <array>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

#include "band/random_counter.hpp"
#include "band/sample_kernel.hpp"
#include "catch.hpp"

namespace {

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;

constexpr double sigmas = 4.5;

// What is promised of a draw that has a closed form.
constexpr double exact_draw = 1e-14;
// Shape::quantile, the other side of the comparison, is good to 1e-13.
constexpr double exact_quantile = 2e-13;

Draws draws_of(std::vector<Shape> shapes) {
  Draws draws;
  draws.elongation.resize(shapes.size(), false);
  draws.shapes = std::move(shapes);
  return draws;
}

SamplePlan plan_of(const Draws& draws, std::uint64_t seed) {
  return sample_plan({}, draws, {}, seed);
}

// Draw by draw, `samples` of each.
std::vector<std::vector<double>> drawn(const Draws& draws, std::uint64_t seed,
                                       std::uint64_t samples) {
  const SamplePlan plan = plan_of(draws, seed);
  Workspace work(plan);
  std::vector<std::vector<double>> result(draws.shapes.size());
  for (std::uint64_t first = 0; first < samples; first += chunk_samples) {
    draw_chunk(plan.draws, first, work);
    for (std::size_t k = 0; k < result.size(); ++k) {
      result[k].insert(result[k].end(), work.columns[k].row.begin(), work.columns[k].row.end());
    }
  }
  return result;
}

double unit_number(std::uint64_t seed, std::uint64_t sample, std::uint64_t stride,
                   std::uint64_t draw) {
  return unit_interval(random_bits(key_of(seed), sample * stride + draw));
}

double correlation(const std::vector<double>& a, const std::vector<double>& b) {
  const auto n = static_cast<double>(a.size());
  double sa = 0.0;
  double sb = 0.0;
  double saa = 0.0;
  double sbb = 0.0;
  double sab = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    sa += a[i];
    sb += b[i];
    saa += a[i] * a[i];
    sbb += b[i] * b[i];
    sab += a[i] * b[i];
  }
  return (sab - sa * sb / n) / std::sqrt((saa - sa * sa / n) * (sbb - sb * sb / n));
}

}  // namespace

TEST_CASE("normal draws are those of Box and Muller") {
  // G. E. P. Box, M. E. Muller, Annals of Mathematical Statistics 29 (1958) 610, in long double.
  const Draws draws =
      draws_of({Shape::normal(), Shape::uniform(), Shape::normal(1.33), Shape::normal(2.0)});
  const auto y = drawn(draws, 5, 4096);
  double greatest = 0.0;
  const auto check = [&](std::size_t i, std::size_t first, std::size_t second) {
    const auto u = static_cast<long double>(unit_number(5, i, 5, first));
    const auto v = static_cast<long double>(unit_number(5, i, 5, second));
    const long double radius = std::sqrt(-2.0L * std::log(u));
    const long double angle = 2.0L * std::numbers::pi_v<long double> * v;
    const auto difference = [&](std::size_t draw, long double z) {
      const double value = 3.0 * draws.shapes[draw].capability() * y[draw][i];
      greatest =
          std::max(greatest, static_cast<double>(std::abs(z - static_cast<long double>(value))));
    };
    difference(first, radius * std::cos(angle));
    if (second < 4) {
      difference(second, radius * std::sin(angle));
    }
  };
  for (std::size_t i = 0; i < y[0].size(); ++i) {
    check(i, 0, 2);
    check(i, 3, 4);
  }
  CHECK(greatest < exact_draw);
}

TEST_CASE("draws of other shapes are the quantiles of their random number") {
  const std::vector<Shape> shapes{
      Shape::uniform(),
      Shape::triangular(),
      Shape::triangular(-1.0),
      Shape::triangular(0.4),
      Shape::triangular(1.0),
      Shape::truncated_normal(),
      Shape::truncated_normal(0.2),
      Shape::truncated_normal(1e-3),
      Shape::truncated_normal(2.5),
      Shape::tabulated({{-1.0, 0.2}, {-0.2, 1.0}, {0.1, 0.3}, {1.0, 0.9}}),
      Shape::tabulated(
          {{-1.0, 0.0}, {-0.5, 1.0}, {-0.2, 0.0}, {0.3, 0.0}, {0.6, 2.0}, {1.0, 0.0}})};
  const auto y = drawn(draws_of(shapes), 9, 2048);
  for (std::size_t k = 0; k < shapes.size(); ++k) {
    CAPTURE(k);
    double greatest = 0.0;
    for (std::size_t i = 0; i < y[k].size(); ++i) {
      const double u = unit_number(9, i, shapes.size() + 1, k);
      greatest = std::max(greatest, std::abs(y[k][i] - shapes[k].quantile(u)));
    }
    CHECK(greatest < exact_quantile);
  }
}

TEST_CASE("draws have fixed values") {
  // Made by this program; every compiler and instruction set has to give the same.
  Draws draws = draws_of({Shape::normal(), Shape::normal(), Shape::truncated_normal(),
                          Shape::triangular(0.4), Shape::uniform(), Shape::normal()});
  draws.correlations = {{2, 5, 0.5}};
  const auto y = drawn(draws, 1, chunk_samples);
  const std::array<double, 6> expected{-0x1.f2f99e483308dp-5, 0x1.5b60f4b2881f8p-3,
                                       0x1.4ef533c31156bp-2,  -0x1.ab9f22ca28fd9p-1,
                                       -0x1.a6d96ed1cecb8p-3, 0x1.fda2e563dd789p-3};
  for (std::size_t k = 0; k < expected.size(); ++k) {
    CAPTURE(k);
    CHECK(y[k][100] == expected[k]);
  }
}

TEST_CASE("a draw depends on seed, sample and draw alone") {
  const Draws draws = draws_of({Shape::normal(), Shape::truncated_normal(), Shape::normal()});
  const SamplePlan plan = plan_of(draws, 3);
  Workspace work(plan);
  const auto y = drawn(draws, 3, 3 * chunk_samples);
  draw_chunk(plan.draws, 100, work);  // any sample may come first
  for (std::size_t k = 0; k < 3; ++k) {
    CHECK(std::equal(work.columns[k].row.begin(), work.columns[k].row.end(), y[k].begin() + 100));
  }
  CHECK(drawn(draws, 4, chunk_samples)[0] != drawn(draws, 3, chunk_samples)[0]);
}

TEST_CASE("normal draws are normal and independent") {
  const Draws draws = draws_of({Shape::normal(), Shape::normal(), Shape::normal()});
  const auto y = drawn(draws, 11, 1 << 17);
  const auto n = static_cast<double>(y[0].size());
  const boost::math::normal standard;
  for (std::size_t k = 0; k < 3; ++k) {
    CAPTURE(k);
    std::array<double, 4> moment{};
    std::array<double, 100> cell{};
    for (const double value : y[k]) {
      const double z = 3.0 * value;
      double power = 1.0;
      for (double& sum : moment) {
        power *= z;
        sum += power;
      }
      ++cell[static_cast<std::size_t>(100.0 * boost::math::cdf(standard, z))];
    }
    // Moments 0, 1, 0, 3 with the variances 1, 2, 15, 96.
    CHECK(std::abs(moment[0]) < sigmas * std::sqrt(n));
    CHECK(std::abs(moment[1] - n) < sigmas * std::sqrt(2.0 * n));
    CHECK(std::abs(moment[2]) < sigmas * std::sqrt(15.0 * n));
    CHECK(std::abs(moment[3] - 3.0 * n) < sigmas * std::sqrt(96.0 * n));
    double chi_square = 0.0;
    for (const double hits : cell) {
      chi_square += (hits - n / 100.0) * (hits - n / 100.0) / (n / 100.0);
    }
    CHECK(std::abs(chi_square - 99.0) < sigmas * std::sqrt(198.0));
    CHECK(std::abs(correlation(y[k], y[(k + 1) % 3])) < sigmas / std::sqrt(n));
  }
}

TEST_CASE("tied draws have the correlation of a normal copula") {
  const auto samples = 1 << 17;
  for (const double r : {1.0, -1.0, 0.5, -0.8}) {
    CAPTURE(r);
    Draws draws = draws_of({Shape::normal(), Shape::uniform(), Shape::normal(2.0), Shape::uniform(),
                            Shape::truncated_normal()});
    draws.correlations = {{0, 2, r}, {1, 3, r}};
    const auto y = drawn(draws, 21, samples);
    const double error = sigmas / std::sqrt(static_cast<double>(samples));
    CHECK_THAT(correlation(y[0], y[2]), WithinAbs(r, error * (1.0 - r * r) + exact_draw));
    // Uniform margins: 6/pi asin(r/2). W. H. Kruskal, J. Am. Stat. Assoc. 53 (1958) 814.
    const double uniform = 6.0 / std::numbers::pi * std::asin(0.5 * r);
    CHECK_THAT(correlation(y[1], y[3]), WithinAbs(uniform, error * (1.0 - r * r) + exact_draw));
    CHECK_THAT(correlation(y[0], y[1]), WithinAbs(0.0, error));
    CHECK_THAT(correlation(y[0], y[4]), WithinAbs(0.0, error));
    if (std::abs(r) == 1.0) {
      double greatest = 0.0;
      for (std::size_t i = 0; i < y[1].size(); ++i) {
        greatest = std::max(greatest, std::abs(y[3][i] - r * y[1][i]));
      }
      CHECK(greatest < exact_draw);
    }
  }
}

TEST_CASE("a tied draw is the quantile of its score") {
  const std::vector<Shape> shapes{Shape::normal(), Shape::uniform(), Shape::triangular(0.4),
                                  Shape::truncated_normal(),
                                  Shape::tabulated({{-1.0, 0.2}, {-0.2, 1.0}, {1.0, 0.9}})};
  Draws draws = draws_of(shapes);
  // All the same score, which the normal draw shows.
  for (std::size_t k = 1; k < shapes.size(); ++k) {
    draws.correlations.push_back({0, k, 1.0});
    for (std::size_t other = 1; other < k; ++other) {
      draws.correlations.push_back({other, k, 1.0});
    }
  }
  const auto y = drawn(draws, 2, 2048);
  for (std::size_t k = 1; k < shapes.size(); ++k) {
    CAPTURE(k);
    double greatest = 0.0;
    for (std::size_t i = 0; i < y[k].size(); ++i) {
      const double p = 0.5 * std::erfc(-3.0 * y[0][i] / std::numbers::sqrt2);
      greatest = std::max(greatest, std::abs(y[k][i] - shapes[k].quantile(p)));
    }
    CHECK(greatest < exact_quantile);
  }
}
