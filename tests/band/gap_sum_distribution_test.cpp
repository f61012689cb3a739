// The distribution of sums of gaps against closed forms, the distribution of one gap, and sampled
// units.
#include "band/gap_sum_distribution.hpp"

#include <algorithm>
#include <array>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <numbers>

#include "band/gap_distribution.hpp"
#include "band/unit_draws.hpp"
#include "catch.hpp"
#include "lashband/error.hpp"
#include "mesh_examples.hpp"
#include "train_examples.hpp"

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;

namespace {

constexpr double um = examples::um;
constexpr double pm = 1e-12;  // m
// Numbers that chance moves by more than this many standard errors come once in 150 000.
constexpr double standard_errors = 4.5;

// A row of gears that differ in nothing but their thickness, by 12.5 um either way.
examples::Train thickness_alone(int meshes, const Shape& shape) {
  examples::Train train = examples::train_of({.meshes = meshes, .shape = shape});
  for (MeshModel& mesh : train.meshes) {
    for (LinearForm* form :
         {&mesh.deviation, &mesh.run_out_1, &mesh.run_out_2, &mesh.pitch_1, &mesh.pitch_2}) {
      form->terms.clear();
    }
  }
  train.other.terms.clear();
  return train;
}

GapSum equal_sum(const examples::Train& train) {
  GapSum sum = train.sum(0.0);
  for (SummedMesh& part : sum.meshes) {
    part.per_gap = 1.0;
  }
  return sum;
}

// What a thickness does to the gap at the end of its band.
double reach_of(const examples::Train& train) {
  return train.meshes[0].kappa * (1.0 + train.states[0].growth_1.constant) * 12.5 * um;
}

double middle_of(const GapSum& sum, const Draws& draws, Over over) {
  const std::vector<double> mids(draws.shapes.size(), 0.0);
  return sum_at(sum, over, mids.data());
}

void compare(const examples::Train& train, Over over, std::size_t units, std::uint64_t seed) {
  INFO(train.name << (over == Over::least ? ", least" : ", greatest") << ", seed " << seed);
  const GapSum sum = train.sum();
  FloatMeasures floats;
  const GapSumDistribution distribution(sum, train.draws, over, floats);
  const UnitDraws unit_draws(train.draws, seed);
  std::vector<double> sampled(units);
  std::vector<double> y;
  double mean = 0.0;
  for (std::size_t i = 0; i < units; ++i) {
    unit_draws.unit(i, y);
    sampled[i] = sum_at(sum, over, y.data());
    mean += sampled[i];
  }
  const double n = static_cast<double>(units);
  mean /= n;
  double square = 0.0;
  for (const double x : sampled) {
    square += (x - mean) * (x - mean);
  }
  std::sort(sampled.begin(), sampled.end());
  const double sigma = std::sqrt(square / n);
  CHECK(std::abs(mean - distribution.moments().mean) <= standard_errors * sigma / std::sqrt(n));
  CHECK(std::abs(sigma - distribution.moments().sigma) <=
        standard_errors * sigma / std::sqrt(2.0 * n));
  const auto check_share = [&](double x, double p) {
    const auto below = std::lower_bound(sampled.begin(), sampled.end(), x) - sampled.begin();
    const double share = static_cast<double>(below) / n;
    INFO("at " << x << ": " << share << " of the units, expected " << p);
    CHECK(std::abs(share - p) <= standard_errors * std::sqrt(p * (1.0 - p) / n));
  };
  for (const double p : {0.00135, 0.5, 0.99865}) {
    check_share(distribution.quantile(p), p);
  }
  for (const double z : {-2.7, -1.3, 0.7, 1.9, 2.8}) {
    const double x = distribution.moments().mean + z * distribution.moments().sigma;
    check_share(x, distribution.probability(x).below);
  }
}

}  // namespace

TEST_CASE("normal thicknesses add up to a normal sum, an idler's twice over") {
  const examples::Train train = thickness_alone(2, Shape::normal());
  const GapSum sum = equal_sum(train);
  FloatMeasures floats;
  const GapSumDistribution distribution(sum, train.draws, Over::least, floats);
  // c, 2 c and c: the idler closes both gaps at once.
  const double sigma = std::sqrt(6.0) * reach_of(train) / 3.0;
  const double mean = middle_of(sum, train.draws, Over::least);
  CHECK_THAT(distribution.moments().mean, WithinAbs(mean, pm));
  CHECK_THAT(distribution.moments().sigma, WithinAbs(sigma, pm));
  const boost::math::normal_distribution<> normal(mean, sigma);
  for (const double p : {1e-9, 0.00135, 0.2, 0.5, 0.99865}) {
    const double x = boost::math::quantile(normal, p);
    CHECK_THAT(distribution.quantile(p), WithinAbs(x, 10.0 * pm));
    CHECK_THAT(distribution.probability(x).below, WithinRel(p, 1e-5));
  }
  CHECK(distribution.varies());
}

TEST_CASE("uniform thicknesses of two pairs add up as Irwin and Hall have it") {
  // Two meshes that share nothing: the second gets draws of its own.
  examples::Train train = thickness_alone(2, Shape::uniform());
  train.meshes[1].E_1.terms[0].draw = train.add(Shape::uniform());
  const GapSum sum = equal_sum(train);
  FloatMeasures floats;
  const GapSumDistribution distribution(sum, train.draws, Over::greatest, floats);
  const double middle = middle_of(sum, train.draws, Over::greatest);
  const double width = 2.0 * reach_of(train);
  const auto below = [&](double of_four) {
    return distribution.probability(middle + (of_four - 2.0) * width).below;
  };
  // P(S <= s) = s^4/24 up to 1, (s^4 - 4 (s - 1)^4)/24 up to 2.
  constexpr double of_sensitivity = 1e-6;  // what central differences leave of it
  CHECK_THAT(below(0.5), WithinRel(std::pow(0.5, 4) / 24.0, of_sensitivity));
  CHECK_THAT(below(1.0), WithinRel(1.0 / 24.0, of_sensitivity));
  CHECK_THAT(below(1.5),
             WithinRel((std::pow(1.5, 4) - 4.0 * std::pow(0.5, 4)) / 24.0, of_sensitivity));
  CHECK_THAT(below(2.0), WithinRel(0.5, of_sensitivity));
  CHECK(below(-0.01) == 0.0);
  CHECK(distribution.probability(middle + 2.01 * width).above == 0.0);
}

TEST_CASE("the sum of one mesh without float has the distribution of its gap") {
  for (examples::Example e : examples::all()) {
    INFO(e.name);
    e.state.seats.clear();
    const GapSum sum{{{&e.mesh, &e.state, 1.0, 0.0}}, {}};
    for (const Over over : {Over::least, Over::greatest}) {
      FloatMeasures floats;
      const GapDistribution gap(e.mesh, e.state, e.draws,
                                over == Over::least ? Gap::least : Gap::greatest, floats);
      const GapSumDistribution distribution(sum, e.draws, over, floats);
      const double sigma = gap.moments().sigma;
      // The curve of the involute, by its mean alone.
      constexpr double of_sigma = 1e-3;
      for (const double p : {0.00135, 0.1, 0.5, 0.9, 0.99865}) {
        CHECK_THAT(distribution.quantile(p),
                   WithinAbs(gap.quantile(GapMeasure::j_bt, p), of_sigma * sigma));
      }
      CHECK_THAT(distribution.moments().mean, WithinAbs(gap.moments().mean, 1e-4 * sigma));
      CHECK_THAT(distribution.moments().sigma, WithinRel(sigma, 1e-3));
    }
  }
}

TEST_CASE("a sum of gaps is that of 2^17 sampled units") {
  for (const examples::Train& train : examples::trains()) {
    compare(train, Over::least, std::size_t{1} << 17U, 1);
  }
}

TEST_CASE("a sum of gaps is that of 2^20 sampled units, two seeds", "[slow]") {
  for (const examples::Train& train : examples::trains()) {
    for (const std::uint64_t seed : {2U, 3U}) {
      compare(train, Over::least, std::size_t{1} << 20U, seed);
      compare(train, Over::greatest, std::size_t{1} << 20U, seed);
    }
  }
}

TEST_CASE("a pair that keeps its phase adds to a sum as sampled") {
  examples::Train train = examples::train_of({.meshes = 3});
  train.meshes[1].run_out_phase =
      LinearForm{std::numbers::pi, {{train.add(Shape::uniform()), std::numbers::pi}}};
  // The phase makes one variable of both run-outs, so that their gears are in no other mesh here.
  for (const std::size_t m : {std::size_t{0}, std::size_t{2}}) {
    train.meshes[m].run_out_1.terms[0].draw = train.add(Shape::truncated_normal());
    train.meshes[m].run_out_2.terms[0].draw = train.add(Shape::truncated_normal());
  }
  compare(train, Over::least, std::size_t{1} << 17U, 4);
  compare(train, Over::greatest, std::size_t{1} << 17U, 5);
}

TEST_CASE("the knee of a carrier in one of two meshes is followed") {
  examples::Train train = examples::train_of({.meshes = 2, .uncertainty = 0.05});
  const std::size_t gears = train.states[0].growth_1.terms[0].draw;
  const std::size_t body = train.states[0].carrier_least.linear.terms[0].draw;
  StrainModel strain;
  strain.linear = {6.5e-4, {{gears, 0.2 * 6.5e-4}}};
  strain.knees.push_back({0.5, {6e-4, {{body, 2e-4}, {gears, -1.3e-4}}}, 5.8e-4, 7.5e-4});
  train.states[0].carrier_least = train.states[0].carrier_greatest = strain;
  compare(train, Over::least, std::size_t{1} << 17U, 6);
  compare(train, Over::greatest, std::size_t{1} << 17U, 7);
}

TEST_CASE("the misalignments of two meshes scatter together by the helix of the gear they share") {
  examples::Train train = thickness_alone(2, Shape::normal());
  const std::size_t shared = train.add(Shape::normal());
  const std::size_t first = train.add(Shape::normal());
  const std::size_t second = train.add(Shape::normal());
  train.states[0].misalignment = {0.0, {{shared, 30.0 * um}, {first, 18.0 * um}}};
  train.states[1].misalignment = {0.0, {{shared, -24.0 * um}, {second, 7.0 * um}}};
  const GapSum sum = equal_sum(train);
  FloatMeasures floats;
  const GapSumDistribution distribution(sum, train.draws, Over::least, floats);
  // Of two normal variables of mean 0 with the correlation r, |x| and |y| have the covariance
  // (2/pi) s_x s_y (sqrt(1 - r^2) + r asin r - 1) (Nabeya 1951, from memory).
  const double one = std::hypot(10.0 * um, 6.0 * um);
  const double two = std::hypot(8.0 * um, 7.0 / 3.0 * um);
  const double r = 80.0 * um * um / (one * two);
  const double covariance =
      2.0 / std::numbers::pi * one * two * (std::sqrt(1.0 - r * r) + r * std::asin(r) - 1.0);
  const double thicknesses = 6.0 * std::pow(reach_of(train) / 3.0, 2);
  const double variance =
      thicknesses + (1.0 - 2.0 / std::numbers::pi) * (one * one + two * two) + 2.0 * covariance;
  CHECK(covariance > 0.1 * variance);
  constexpr double of_quadrature = 1e-4;  // 12 nodes for the shared draw
  CHECK_THAT(distribution.moments().sigma, WithinRel(std::sqrt(variance), of_quadrature));
  compare(train, Over::least, std::size_t{1} << 15U, 9);
}

TEST_CASE("the float of a shaft with two gears comes twice, not as two floats") {
  const examples::Train train = examples::train_of({.meshes = 1, .bearings = true});
  FloatMeasures floats;
  const GapSum once{{{&train.meshes[0], &train.states[0], 0.0, 3.0}}, {}};
  const GapSum twice{{{&train.meshes[0], &train.states[0], 0.0, 1.0},
                      {&train.meshes[0], &train.states[0], 0.0, 2.0}},
                     {}};
  const GapSumDistribution one(once, train.draws, Over::least, floats);
  const GapSumDistribution two(twice, train.draws, Over::least, floats);
  for (const double p : {0.01, 0.5, 0.99}) {
    CHECK_THAT(two.quantile(p), WithinAbs(one.quantile(p), pm));
  }
}

TEST_CASE("the root sum square of a sum is the distribution's where nothing has a kink") {
  const examples::Train train = examples::train_of({.meshes = 4, .uncertainty = 0.05});
  const GapSum sum = train.sum();
  FloatMeasures floats;
  for (const Over over : {Over::least, Over::greatest}) {
    const GapSumDistribution distribution(sum, train.draws, over, floats);
    const LinearSpread spread = linear_spread(sum, train.draws, over);
    CHECK_THAT(distribution.moments().sigma, WithinRel(spread.sigma, 1e-4));
    // The involute bends by 0.03 a mm: over scatters of 7 um in each of four meshes, 4 nm.
    CHECK_THAT(distribution.moments().mean, WithinAbs(spread.mean, 5e-9));
    CHECK(distribution.moments().mean != spread.mean);
  }
}

TEST_CASE("probabilities of a sum rise, add up to 1 and are those of its quantiles") {
  for (const examples::Train& train : examples::trains()) {
    INFO(train.name);
    const GapSum sum = train.sum();
    FloatMeasures floats;
    const GapSumDistribution least(sum, train.draws, Over::least, floats);
    const GapSumDistribution greatest(sum, train.draws, Over::greatest, floats);
    double before = -1.0;
    for (const double p : {1e-6, 1e-3, 0.1, 0.5, 0.9, 0.999, 1.0 - 1e-6}) {
      const double x = least.quantile(p);
      CHECK(x > before);
      before = x;
      const auto probability = least.probability(x);
      CHECK_THAT(probability.below, WithinRel(p, 1e-6));
      CHECK_THAT(probability.below + probability.above, WithinAbs(1.0, 1e-9));
      CHECK(greatest.quantile(p) > x);
    }
  }
}

TEST_CASE("a sum in which nothing varies is one value") {
  examples::Train train = thickness_alone(2, Shape::normal());
  for (MeshModel& mesh : train.meshes) {
    mesh.E_1.terms.clear();
    mesh.E_2.terms.clear();
  }
  const GapSum sum = equal_sum(train);
  FloatMeasures floats;
  const GapSumDistribution distribution(sum, train.draws, Over::greatest, floats);
  const double x = middle_of(sum, train.draws, Over::greatest);
  CHECK_FALSE(distribution.varies());
  CHECK_THAT(distribution.quantile(0.01), WithinAbs(x, pm));
  CHECK_THAT(distribution.quantile(0.99), WithinAbs(x, pm));
  CHECK(distribution.probability(x + um).below == 1.0);
  CHECK(distribution.probability(x - um).below == 0.0);
}

TEST_CASE(
    "many elongations that act smoothly are no matter, many that bend the floats are refused") {
  examples::Train train =
      examples::train_of({.meshes = 3, .bearings = true, .uncertainty = 0.05, .fits_follow = true});
  FloatMeasures floats;
  for (int i = 0; i < 14; ++i) {
    const std::size_t draw = train.add(Shape::normal(), true);
    train.states[0].growth_1.terms.push_back({draw, 1e-5});
    train.states[0].carrier_least.linear.terms.push_back({draw, 2e-5});
    train.states[0].carrier_greatest.linear.terms.push_back({draw, 2e-5});
  }
  compare(train, Over::least, std::size_t{1} << 16U, 8);
  for (std::size_t draw = train.draws.shapes.size() - 14; draw < train.draws.shapes.size();
       ++draw) {
    train.states[0].seats[1].outer.terms.push_back({draw, 3.0 * um});
  }
  const GapSum sum = train.sum();
  CHECK_THROWS_AS(GapSumDistribution(sum, train.draws, Over::least, floats),
                  lashband::ComputationError);
  CHECK_THROWS_WITH(GapSumDistribution(sum, train.draws, Over::least, floats),
                    ContainsText("expansion group"));
}
