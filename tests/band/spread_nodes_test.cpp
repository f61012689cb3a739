// Measures of matched moments, as the distribution of a sum takes them.
#include "band/spread_nodes.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "catch.hpp"
#include "tolerance/sum_distribution.hpp"

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;
using lashband::tolerance::kernel::Distribution;
using lashband::tolerance::kernel::Part;

namespace {

/// Relative, as docs/theory/band.md promises it down to 1e-12.
constexpr double tail_accuracy = 1e-3;
constexpr double least_probability = 1e-12;
/// A probability below that may be off in its order, but not turn up again among the likely ones.
constexpr double next_to_nothing = 1e-15;

}  // namespace

TEST_CASE("a narrow density in wide panels keeps the tails of a sum") {
  // However far the ends of a measure lie apart beside the spread of the whole sum. A sum of two
  // normals is normal; independent: erfc.
  struct Case {
    double half;  // of the panels together
    double sigma_of_measure;
    double sigma_of_rest;
  };
  for (const Case& one : {Case{4.0, 0.2, 0.8},
                          {6.0, 0.28, 0.96},
                          {6.0, 0.4, 0.8},
                          {16.0, 0.6, 0.8},
                          {20.0, 0.8, 0.6},
                          {40.0, 0.6, 0.8},
                          {40.0, 0.05, 1.0}}) {
    const double mean = 0.3 * one.half;
    Draws draws;
    draws.shapes = {Shape::normal()};
    draws.elongation = {false};
    const LinearForm form{mean, {{0, one.sigma_of_measure / draws.shapes[0].sigma()}}};
    MeasureBuilder builder(-one.half, one.half);
    for (const Node& node : nodes_with_kink(form, draws, 0.0)) {
      builder.add(node.value, node.weight);
    }
    const Shape rest = Shape::normal();
    Part part;
    part.plain = {{one.sigma_of_rest / rest.sigma(), &rest}};
    part.plain_measures = {builder.built()};
    const std::vector<double>& weights = part.plain_measures.front().weight;
    CHECK(std::all_of(weights.begin(), weights.end(), [](double weight) { return weight >= 0.0; }));
    part.branches = {{1.0, 0.0, 1.0, {1.0, 0.0, 0.0, 0.0}}};
    Distribution distribution({&part, 1});
    const double sigma = std::hypot(one.sigma_of_measure, one.sigma_of_rest);
    for (int i = -64; i <= 64; ++i) {
      const double z = 0.25 * i;
      const auto found = distribution.probability(mean + z * sigma);
      const double expected = 0.5 * std::erfc(std::abs(z) / std::numbers::sqrt2);
      INFO("half " << one.half << ", sigma " << one.sigma_of_measure << ", z " << z);
      CHECK_THAT(z < 0.0 ? found.below : found.above,
                 WithinRel(expected, tail_accuracy) ||
                     WithinAbs(expected, expected > least_probability ? 0.0 : next_to_nothing));
    }
  }
}
