// Draws of built units against the shapes they are drawn from, by counting.
#include "band/unit_draws.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "band/sample_kernel.hpp"
#include "catch.hpp"
#include "lashband/error.hpp"

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;

namespace {

// Numbers that chance moves by more than this many standard errors come once in 150 000.
constexpr double standard_errors = 4.5;

Draws draws_of(std::vector<Shape> shapes) {
  Draws draws;
  draws.elongation.assign(shapes.size(), false);
  draws.shapes = std::move(shapes);
  return draws;
}

// Of every kind, normal ones an odd number of times, truncated ones more than a register has lanes.
Draws one_of_each() {
  return draws_of({Shape::normal(), Shape::uniform(), Shape::triangular(0.3),
                   Shape::truncated_normal(), Shape::normal(1.5),
                   Shape::tabulated({{-1.0, 0.2}, {-0.2, 1.0}, {0.1, 0.3}, {1.0, 0.9}}),
                   Shape::truncated_normal(0.4), Shape::triangular(-1.0), Shape::normal(0.7),
                   Shape::truncated_normal(2.0)});
}

// The share of units below `x` is `p`, but for chance.
void check_share(std::size_t below, std::size_t units, double p) {
  const double n = static_cast<double>(units);
  INFO("share " << static_cast<double>(below) / n << ", expected " << p);
  CHECK(std::abs(static_cast<double>(below) - n * p) <=
        standard_errors * std::sqrt(n * p * (1.0 - p)));
}

}  // namespace

TEST_CASE("the draws of units have the shapes they are drawn from") {
  constexpr std::size_t units = std::size_t{1} << 17U;
  const Draws draws = one_of_each();
  const UnitDraws unit_draws(draws, 3);
  constexpr std::array shares{1e-3, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 0.999};
  std::vector<std::array<double, shares.size()>> places(draws.shapes.size());
  std::vector<std::array<std::size_t, shares.size()>> below(draws.shapes.size());
  for (std::size_t k = 0; k < places.size(); ++k) {
    std::transform(shares.begin(), shares.end(), places[k].begin(),
                   [&](double p) { return draws.shapes[k].quantile(p); });
    below[k].fill(0);
  }
  std::vector<double> y;
  for (std::size_t i = 0; i < units; ++i) {
    unit_draws.unit(i, y);
    for (std::size_t k = 0; k < places.size(); ++k) {
      for (std::size_t s = 0; s < shares.size(); ++s) {
        below[k][s] += y[k] < places[k][s] ? 1U : 0U;
      }
    }
  }
  for (std::size_t k = 0; k < places.size(); ++k) {
    INFO("draw " << k);
    for (std::size_t s = 0; s < shares.size(); ++s) {
      check_share(below[k][s], units, shares[s]);
    }
  }
}

TEST_CASE("draws of a unit do not depend on one another nor on those of the unit before") {
  constexpr std::size_t units = std::size_t{1} << 16U;
  const Draws draws = one_of_each();
  const UnitDraws unit_draws(draws, 5);
  const std::size_t count = draws.shapes.size();
  std::vector<double> within(count * count, 0.0);
  std::vector<double> across(count * count, 0.0);
  std::vector<double> y;
  std::vector<double> before(count, 0.0);
  for (std::size_t i = 0; i < units; ++i) {
    unit_draws.unit(i, y);
    for (std::size_t k = 0; k < count; ++k) {
      y[k] = (y[k] - draws.shapes[k].mean()) / draws.shapes[k].sigma();
    }
    for (std::size_t k = 0; k < count; ++k) {
      for (std::size_t l = 0; l < count; ++l) {
        within[k * count + l] += y[k] * y[l];
        across[k * count + l] += y[k] * before[l];
      }
    }
    before = y;
  }
  const double chance = standard_errors * std::sqrt(static_cast<double>(units));
  for (std::size_t k = 0; k < count; ++k) {
    for (std::size_t l = 0; l < count; ++l) {
      INFO("draws " << k << ", " << l);
      CHECK(std::abs(across[k * count + l]) <= chance);
      if (k != l) {
        CHECK(std::abs(within[k * count + l]) <= chance);
      }
    }
  }
}

TEST_CASE("a unit has the same draws whatever was asked before") {
  const Draws draws = one_of_each();
  const UnitDraws one(draws, 9);
  const UnitDraws again(draws, 9);
  const UnitDraws other(draws, 10);
  std::vector<double> first;
  std::vector<double> later{1.0, 2.0, 3.0};
  one.unit(17, first);
  CHECK(first.size() == draws.shapes.size());
  one.unit(18, later);
  CHECK(later != first);
  again.unit(17, later);
  CHECK(later == first);
  other.unit(17, later);
  CHECK(later != first);
}

TEST_CASE("units repeat nothing of the sampler's") {
  const Draws draws = draws_of({Shape::uniform(), Shape::uniform()});
  const SamplePlan plan = sample_plan({}, draws, {}, 4);
  Workspace work(plan);
  draw_chunk(plan.draws, 0, work);
  const UnitDraws unit_draws(draws, 4);
  std::vector<double> y;
  for (std::size_t i = 0; i < chunk_samples; ++i) {
    unit_draws.unit(i, y);
    for (const double value : y) {
      for (std::size_t k = 0; k < draws.shapes.size(); ++k) {
        const auto& row = work.columns[k].row;
        CHECK(std::find(row.begin(), row.end(), value) == row.end());
      }
    }
  }
}

TEST_CASE("tied draws of a unit follow a normal copula") {
  // P(both below their medians) = 1/4 + asin(r)/(2 pi), whatever the shapes (Sheppard 1899, from
  // memory).
  constexpr std::size_t units = std::size_t{1} << 17U;
  Draws draws = one_of_each();
  draws.correlations = {{0, 3, 0.6}, {1, 5, -0.8}, {2, 4, 0.3}, {4, 7, 0.5}};
  const UnitDraws unit_draws(draws, 21);
  std::vector<std::size_t> both(draws.correlations.size(), 0);
  std::vector<std::size_t> first_low(draws.shapes.size(), 0);
  std::vector<double> low;
  std::vector<double> median;
  for (const Shape& shape : draws.shapes) {
    median.push_back(shape.quantile(0.5));
    low.push_back(shape.quantile(0.01));
  }
  std::vector<double> y;
  for (std::size_t i = 0; i < units; ++i) {
    unit_draws.unit(i, y);
    for (std::size_t c = 0; c < both.size(); ++c) {
      const Draws::Correlation& tie = draws.correlations[c];
      both[c] += y[tie.first] < median[tie.first] && y[tie.second] < median[tie.second] ? 1U : 0U;
    }
    for (std::size_t k = 0; k < low.size(); ++k) {
      first_low[k] += y[k] < low[k] ? 1U : 0U;
    }
  }
  for (std::size_t c = 0; c < both.size(); ++c) {
    check_share(both[c], units,
                0.25 + std::asin(draws.correlations[c].coefficient) / (2.0 * std::numbers::pi));
  }
  for (const std::size_t count : first_low) {
    check_share(count, units, 0.01);
  }
}

TEST_CASE("correlations of no distribution are refused") {
  Draws draws = draws_of({Shape::normal(), Shape::normal(), Shape::normal()});
  draws.correlations = {{0, 1, 0.9}, {1, 2, 0.9}, {0, 2, -0.9}};
  CHECK_THROWS_AS(UnitDraws(draws, 1), lashband::DomainError);
}

TEST_CASE("a unit without draws has none") {
  const Draws draws;
  std::vector<double> y{1.0};
  UnitDraws(draws, 1).unit(3, y);
  CHECK(y.empty());
}
