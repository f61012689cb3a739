#include "tolerance/sum_distribution.hpp"

#include <algorithm>
#include <array>
#include <boost/math/distributions/normal.hpp>
#include <boost/multiprecision/cpp_dec_float.hpp>
#include <cmath>
#include <fstream>
#include <limits>
#include <list>
#include <nlohmann/json.hpp>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"

namespace {

using namespace lashband;
using namespace lashband::tolerance;
using namespace lashband::tolerance::kernel;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();

/// What the header promises, relative: where p > 1e-4 and down to 1e-12.
constexpr double central = 1e-8;
constexpr double in_tail = 1e-3;
/// What the contour reaches in fact: 1e-13 of step and end, some digits lost to cancellation.
constexpr double reached = 1e-11;
/// The same where contours from the second rung on end at 1e-11.
constexpr double reached_in_tail = 2e-10;
/// A tail at the end of a bounded support: x is rounded to 2e-15 and lies some 1e-6 from the end
/// where p = 1e-12, so p, the square of that distance or more, keeps 1e-8.
constexpr double at_support_end = 1e-7;
/// Closed forms and quadrature without cancellation.
constexpr double closed_form = 1e-12;
/// The reference values of SciPy are repeatable to 1e-11 (its script checks that).
constexpr double scipy_accuracy = 1e-10;
/// Quantiles under refinement, in sigma. The demand is 1e-7 (1e-9 mm at sigma 10 um).
constexpr double stable_quantile = 1e-10;
/// A quantile as promised: 1e-12 sigma; here with the rounding of x at some sigma from 0.
constexpr double quantile_accuracy = 2e-12;
constexpr double moments_accuracy = 1e-12;
/// The smallest probability of interest; below it errors count as if it were this.
constexpr double least_probability = 1e-12;
/// Branches leave third powers of their differences out: some (difference times 1 sigma)^3 in a
/// percentile, far below 1e-10 at the usual 5e-5 and below 1e-8 at the greatest, 1e-3.
constexpr double usual_branches = 1e-10;
constexpr double widest_branches = 1e-8;
/// A percentile where the density is that of one part in a million, 40e-6: p is rounded to 1e-16,
/// which moves it by 3e-12.
constexpr double rare_part = 1e-11;

const Shape normal_shape = Shape::normal();
const Shape uniform_shape = Shape::uniform();

/// A normal term with the given sigma.
Term normal_term(double sigma) {
  return {3.0 * sigma, &normal_shape};
}

Part part_of(std::vector<Term> plain, std::vector<Term> curved = {},
             std::array<double, 4> q = {1.0, 0.0, 0.0, 0.0}) {
  Part part;
  part.plain = std::move(plain);
  part.curved = std::move(curved);
  part.branches = {{1.0, 0.0, 1.0, q}};
  return part;
}

Distribution distribution_of(const std::vector<Part>& parts, double factor = 1.0) {
  return Distribution(parts, Resolution{factor});
}

double normal_below(double u) {
  return 0.5 * std::erfc(-u / std::numbers::sqrt2);
}

/// The tails as the header promises them.
void check_promised(const Probability& found, double below, double above) {
  for (const auto& [value, expected] : {std::pair(found.below, below), {found.above, above}}) {
    if (expected > 1e-4) {
      CHECK_THAT(value, WithinRel(expected, central));
    } else if (expected >= 1e-12) {
      CHECK_THAT(value, WithinRel(expected, in_tail));
    } else {
      CHECK_THAT(value, WithinAbs(expected, least_probability * in_tail));
    }
  }
}

/// P(sum of n uniforms on [-1, 1] <= x), by the alternating sum of Irwin (1927) and Hall (1927) in
/// 100 digits, so that nothing cancels.
double irwin_hall(int n, double x) {
  using Decimal = boost::multiprecision::cpp_dec_float_100;
  const Decimal t = (Decimal(x) + n) / 2;
  Decimal sum = 0;
  Decimal binomial = 1;
  for (int k = 0; k <= n; ++k) {
    if (t > k) {
      const Decimal power = pow(Decimal(t - k), n);
      sum += (k % 2 == 0 ? 1 : -1) * binomial * power;
    }
    binomial = binomial * (n - k) / (k + 1);
  }
  for (int k = 2; k <= n; ++k) {
    sum /= k;
  }
  return sum.convert_to<double>();
}

TEST_CASE("sums of uniforms follow Irwin and Hall, in the tails too") {
  for (const int n : {1, 2, 3, 4, 5, 6, 10}) {
    std::vector<Part> parts = {
        part_of(std::vector<Term>(static_cast<std::size_t>(n), {1.0, &uniform_shape}))};
    Distribution distribution = distribution_of(parts);
    const double tolerance = n <= 3 ? closed_form : reached_in_tail;
    for (const double share : {0.0, 0.05, 0.2, 0.5, 0.7, 0.85, 0.95, 0.98}) {
      const double x = share * n;
      const double below = irwin_hall(n, -x);
      CAPTURE(n, x, below);
      if (below < 1e-12) {
        continue;
      }
      const double here = below > 0.01 ? std::min(tolerance, reached) : tolerance;
      CHECK_THAT(distribution.probability(-x).below, WithinRel(below, here));
      CHECK_THAT(distribution.probability(-x).above, WithinRel(1.0 - below, here));
      CHECK_THAT(distribution.probability(x).above, WithinRel(below, here));
    }
    CHECK(distribution.probability(-n).below == 0.0);
    CHECK(distribution.probability(n).above == 0.0);
    CHECK(distribution.probability(n).below == 1.0);
  }
}

TEST_CASE("a single term in either group is its own shape, exactly") {
  const std::list<Shape> shapes = {Shape::uniform(), Shape::triangular(0.4),
                                   Shape::truncated_normal(0.9),
                                   Shape::tabulated({{-1, 1}, {0, 0.2}, {1, 3}})};
  for (const Shape& shape : shapes) {
    for (const double reach : {2.0, -2.0}) {
      for (const bool curved : {false, true}) {
        std::vector<Part> parts = {curved ? part_of({}, {{reach, &shape}}, {1.0, 0.0, 0.0, 0.0})
                                          : part_of({{reach, &shape}})};
        parts[0].branches[0].shift = 0.25;
        Distribution distribution = distribution_of(parts);
        for (const double y : {-0.99, -0.5, 0.1, 0.8}) {
          CAPTURE(reach, curved, y);
          const Probability found = distribution.probability(0.25 + reach * y);
          const double below = reach > 0.0 ? shape.below(y) : shape.above(y);
          CHECK_THAT(found.below, WithinRel(below, closed_form));
        }
      }
    }
  }
}

TEST_CASE("sums of normals are normal, to 8 sigma") {
  // 3, 4 and 12 make 13; a branch of its own shift and scale keeps the closed form.
  std::vector<Part> parts = {part_of({normal_term(3.0), normal_term(4.0)}, {normal_term(12.0)})};
  Distribution distribution = distribution_of(parts);
  const boost::math::normal law(0.0, 13.0);
  for (double z = -8.0; z <= 8.0; z += 0.5) {
    CAPTURE(z);
    const Probability found = distribution.probability(13.0 * z);
    CHECK_THAT(found.below, WithinRel(cdf(law, 13.0 * z), closed_form));
    CHECK_THAT(found.above, WithinRel(cdf(complement(law, 13.0 * z)), closed_form));
  }
  for (const double p : {1e-12, 1e-9, 0.00135, 0.5, 0.9, 1.0 - 1e-10}) {
    CAPTURE(p);
    CHECK_THAT(distribution.quantile(p),
               WithinAbs(boost::math::quantile(law, p), 13.0 * quantile_accuracy));
  }
}

TEST_CASE("normals with a bounded term that vanishes come from the contour as from erfc") {
  // The uniform term changes the variance by 1e-14, and its presence forces the contour.
  std::vector<Part> parts = {part_of({normal_term(1.0), {std::sqrt(3.0) * 1e-7, &uniform_shape}})};
  Distribution distribution = distribution_of(parts);
  for (double z = -8.0; z <= 8.0; z += 0.25) {
    CAPTURE(z);
    const Probability found = distribution.probability(z);
    CHECK_THAT(found.below, WithinRel(normal_below(z), reached_in_tail));
    CHECK_THAT(found.above, WithinRel(normal_below(-z), reached_in_tail));
  }
}

TEST_CASE("a normal through a parabola is the sum over both roots, in the tails too") {
  // X = D + q D^2 <= x between the roots of q D^2 + D = x: exact by erfc. D in two terms. The
  // curve must rise over the window of 8 sigma, so q stays below 1/16 of 1/sigma.
  for (const double q : {1e-5, 1e-4, -1e-4, 1e-3, -1e-3, 1e-2, -1e-2}) {
    std::vector<Part> parts = {
        part_of({}, {normal_term(0.6), normal_term(0.8)}, {1.0, q, 0.0, 0.0})};
    Distribution distribution = distribution_of(parts);
    for (double x = -6.5; x <= 6.5; x += 0.5) {
      const double root = std::sqrt(1.0 + 4.0 * q * x);
      const double near = 2.0 * x / (1.0 + root);
      const double far = -(1.0 + root) / (2.0 * q);
      double below = normal_below(near);
      double above = normal_below(-near);
      (q > 0.0 ? above : below) += normal_below(-std::abs(far));
      CAPTURE(q, x, below, above);
      check_promised(distribution.probability(x), below, above);
    }
    const Moments moments = distribution.moments();
    CHECK_THAT(moments.mean, WithinAbs(q, moments_accuracy));
    CHECK_THAT(moments.sigma, WithinRel(std::sqrt(1.0 + 2.0 * q * q), moments_accuracy));
  }
}

TEST_CASE("a curve that bends too much is refused, not approximated") {
  // Still rising over the window of 8 sigma, but its powers do not converge within it.
  std::vector<Part> parts = {part_of({}, {normal_term(0.6), normal_term(0.8)}, {1.0, 0.05, 0, 0})};
  Distribution distribution = distribution_of(parts);
  for (const double x : {-4.0, -3.0, -2.0, 0.0, 2.0}) {
    CAPTURE(x);
    CHECK_THROWS_AS(distribution.probability(x), ComputationError);
  }
  parts[0].branches[0].q[1] = 0.2;
  CHECK_THROWS_AS(distribution_of(parts), ComputationError);
}

struct Stack {
  std::list<Shape> shapes;
  std::vector<Part> parts;
};

Shape shape_from(const nlohmann::json& term) {
  const std::string kind = term.at("kind");
  if (kind == "normal") {
    return Shape::normal(term.at("capability"));
  }
  if (kind == "truncated_normal") {
    return Shape::truncated_normal(term.at("capability"));
  }
  if (kind == "triangular") {
    return Shape::triangular(term.at("mode"));
  }
  REQUIRE(kind == "uniform");
  return Shape::uniform();
}

Stack stack_from(const nlohmann::json& row) {
  Stack stack;
  Part part;
  for (const auto& [group, terms] : {std::pair("plain", &part.plain), {"curved", &part.curved}}) {
    for (const nlohmann::json& term : row.at(group)) {
      stack.shapes.push_back(shape_from(term));
      terms->push_back({term.at("reach"), &stack.shapes.back()});
    }
  }
  for (const nlohmann::json& branch : row.at("branches")) {
    part.branches.push_back({branch.at("weight"), branch.at("shift"), branch.at("plain_scale"),
                             branch.at("q").get<std::array<double, 4>>()});
  }
  stack.parts.push_back(part);
  return stack;
}

TEST_CASE("random stacks are those of nested quadrature with SciPy") {
  // tests/reference/distribution.json names its source; tests/scipy recomputes it.
  std::ifstream file(LASHBAND_SOURCE_DIR "/tests/reference/distribution.json");
  const nlohmann::json document = nlohmann::json::parse(file);
  REQUIRE(document.at("cases").size() == 21);
  for (const nlohmann::json& row : document.at("cases")) {
    const Stack stack = stack_from(row);
    Distribution distribution = distribution_of(stack.parts);
    const bool one_branch = stack.parts[0].branches.size() == 1;
    for (const nlohmann::json& value : row.at("values")) {
      CAPTURE(row.at("id").get<std::string>(), value.at("x").get<double>(),
              value.at("below").get<double>(), value.at("above").get<double>());
      const Probability found = distribution.probability(value.at("x"));
      check_promised(found, value.at("below"), value.at("above"));
      // More than is promised; branches leave third powers of their differences out.
      if (one_branch && value.at("below") > 1e-3 && value.at("above") > 1e-3) {
        CHECK_THAT(found.below, WithinRel(value.at("below").get<double>(), scipy_accuracy));
        CHECK_THAT(found.above, WithinRel(value.at("above").get<double>(), scipy_accuracy));
      }
    }
    const Moments moments = distribution.moments();
    const double sigma = row.at("sigma");
    CAPTURE(row.at("id").get<std::string>());
    CHECK_THAT(moments.mean, WithinAbs(row.at("mean").get<double>(), moments_accuracy * sigma));
    CHECK_THAT(moments.sigma, WithinRel(sigma, moments_accuracy));
  }
}

/// Stacks of `terms` random terms a group, with sigma of X near 1 and a curve as strong as in use.
Stack random_stack(unsigned seed, std::size_t terms, bool with_normals) {
  std::mt19937 draw(seed);
  const auto between = [&draw](double low, double high) {
    return low + (high - low) * static_cast<double>(draw()) / 4294967296.0;
  };
  Stack stack;
  Part part;
  for (std::vector<Term>* group : {&part.plain, &part.curved}) {
    for (std::size_t i = 0; i < terms; ++i) {
      switch (draw() % (with_normals ? 6 : 4)) {
        case 0:
          stack.shapes.push_back(Shape::uniform());
          break;
        case 1:
          stack.shapes.push_back(Shape::triangular(between(-1.0, 1.0)));
          break;
        case 2:
          stack.shapes.push_back(Shape::truncated_normal(between(0.5, 2.0)));
          break;
        case 3:
          stack.shapes.push_back(Shape::tabulated({{-1.0, between(0.0, 1.0)},
                                                   {between(-0.9, 0.0), between(0.1, 1.0)},
                                                   {between(0.1, 0.9), between(0.1, 1.0)},
                                                   {1.0, between(0.0, 1.0)}}));
          break;
        default:
          stack.shapes.push_back(Shape::normal(between(0.7, 1.7)));
      }
      group->push_back({between(0.3, 1.5) * (draw() % 4 == 0 ? -1.0 : 1.0), &stack.shapes.back()});
    }
  }
  part.branches = {{1.0, 10.0, 1.0, {0.7, between(-3e-4, 3e-4), 1e-6, 1e-8}}};
  stack.parts.push_back(part);
  return stack;
}

TEST_CASE("percentiles and tails do not move under refinement") {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const Stack stack = random_stack(seed, 2 + seed % 4, seed % 3 != 0);
    Distribution once = distribution_of(stack.parts);
    Distribution twice = distribution_of(stack.parts, 2.0);
    const Moments moments = once.moments();
    for (const double p : {1e-12, 1e-8, 0.00135, 0.1, 0.5, 0.9, 0.99865, 1.0 - 1e-9}) {
      CAPTURE(seed, p);
      CHECK_THAT(once.quantile(p), WithinAbs(twice.quantile(p), stable_quantile * moments.sigma));
    }
    for (const double z : {-6.0, -4.0, -2.0, 0.0, 1.0, 3.0, 5.0}) {
      CAPTURE(seed, z);
      const double x = moments.mean + z * moments.sigma;
      const Probability fine = twice.probability(x);
      check_promised(once.probability(x), fine.below, fine.above);
    }
  }
}

TEST_CASE("a quantile is the inverse of the probability") {
  for (unsigned seed = 21; seed <= 26; ++seed) {
    const Stack stack = random_stack(seed, 1 + seed % 5, seed % 2 == 0);
    Distribution distribution = distribution_of(stack.parts);
    for (const double p : {1e-12, 1e-6, 0.02, 0.5, 0.97, 1.0 - 1e-6}) {
      CAPTURE(seed, p);
      const Probability back = distribution.probability(distribution.quantile(p));
      CHECK_THAT(
          p <= 0.5 ? back.below : back.above,
          WithinRel(std::min(p, 1.0 - p), p < 1e-4 || p > 1.0 - 1e-4 ? at_support_end : reached));
    }
  }
}

TEST_CASE("answers do not depend on the questions before them") {
  const Stack stack = random_stack(5, 4, true);
  Distribution asked = distribution_of(stack.parts);
  const Moments moments = asked.moments();
  for (const double z : {5.0, -3.0, 0.0, -6.0, 2.0}) {
    const double x = moments.mean + z * moments.sigma;
    static_cast<void>(asked.quantile(normal_below(z)));
    CHECK(asked.probability(x).below == probability(stack.parts, x).below);
    CHECK(asked.quantile(normal_below(z)) == quantile(stack.parts, normal_below(z)));
  }
}

TEST_CASE("branches add up to what they give one by one") {
  for (const bool with_normals : {true, false}) {
    for (const double difference : {5e-5, 1e-3}) {
      for (const std::size_t count : {std::size_t{5}, std::size_t{300}}) {
        Stack stack = random_stack(77, 4, with_normals);
        const Branch first = stack.parts[0].branches[0];
        stack.parts[0].branches.clear();
        std::mt19937 draw(3);
        const auto off = [&draw] { return static_cast<double>(draw()) / 2147483648.0 - 1.0; };
        double weight = 0.0;
        for (std::size_t i = 0; i < count; ++i) {
          Branch branch = first;
          branch.weight = 1.5 + off();
          branch.shift += 0.8 * off();
          branch.plain_scale *= 1.0 + difference * off();
          for (double& q : branch.q) {
            q *= 1.0 + difference * off();
          }
          weight += branch.weight;
          stack.parts[0].branches.push_back(branch);
        }
        for (Branch& branch : stack.parts[0].branches) {
          branch.weight /= weight;
        }
        std::vector<Part> one_by_one;
        for (const Branch& branch : stack.parts[0].branches) {
          one_by_one.push_back(stack.parts[0]);
          one_by_one.back().branches = {branch};
        }
        Distribution together = distribution_of(stack.parts);
        Distribution apart = distribution_of(one_by_one);
        const Moments moments = apart.moments();
        CAPTURE(with_normals, difference, count);
        CHECK_THAT(together.moments().sigma, WithinRel(moments.sigma, moments_accuracy));
        const double tolerance = difference < 1e-4 ? usual_branches : widest_branches;
        for (const double p : {0.00135, 0.5, 0.99865}) {
          CAPTURE(p);
          CHECK_THAT(together.quantile(p), WithinAbs(apart.quantile(p), tolerance * moments.sigma));
        }
        for (const double z : {-6.5, -5.0, -3.0, 3.0, 5.0, 6.5}) {
          CAPTURE(z);
          const double x = moments.mean + z * moments.sigma;
          const Probability expected = apart.probability(x);
          const Probability found = together.probability(x);
          const double least = std::min(expected.below, expected.above);
          CHECK_THAT(std::min(found.below, found.above),
                     WithinAbs(least, in_tail * std::max(least, least_probability)));
        }
      }
    }
  }
}

TEST_CASE("parts far apart keep their own tails") {
  std::vector<Part> parts = {part_of({normal_term(1.0)}), part_of({normal_term(0.01)})};
  parts[0].branches[0].weight = 1.0 - 1e-6;
  parts[1].branches[0].weight = 1e-6;
  parts[1].branches[0].shift = 50.0;
  Distribution distribution = distribution_of(parts);
  CHECK_THAT(distribution.probability(20.0).above, WithinRel(1e-6, closed_form));
  CHECK_THAT(distribution.probability(50.01).above, WithinRel(1e-6 * normal_below(-1.0), central));
  CHECK_THAT(distribution.quantile(1.0 - 0.5e-6), WithinAbs(50.0, rare_part));
}

TEST_CASE("measures are their places and weights") {
  const Shape triangle = Shape::triangular(-0.2);
  Part part = part_of({normal_term(0.5), {1.0, &triangle}}, {normal_term(0.8)}, {1, 1e-3, 0, 0});
  const Part without = part;
  part.plain_measures = {{{0.0, 0.4, 1.5}, {0.5, 0.3, 0.2}, 0.0, 1.5}};
  part.curved_measures = {{{-0.3, 0.2}, {0.25, 0.75}, -0.3, 0.2}};
  const std::vector<Part> parts = {part};
  Distribution distribution = distribution_of(parts);
  std::vector<Part> sums;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 2; ++j) {
      // q(D + c) = q(c) + q'(c) D + q_1 D^2
      const double c = part.curved_measures[0].place[j];
      Part one = without;
      one.branches = {{part.plain_measures[0].weight[i] * part.curved_measures[0].weight[j],
                       part.plain_measures[0].place[i] + c + 1e-3 * c * c,
                       1.0,
                       {1.0 + 2e-3 * c, 1e-3, 0.0, 0.0}}};
      sums.push_back(one);
    }
  }
  Distribution expected = distribution_of(sums);
  for (double x = -5.0; x <= 7.0; x += 0.75) {
    CAPTURE(x);
    const Probability found = distribution.probability(x);
    const Probability sum = expected.probability(x);
    CHECK_THAT(found.below, WithinRel(sum.below, reached_in_tail));
    CHECK_THAT(found.above, WithinRel(sum.above, reached_in_tail));
  }
}

// 128 places from `low` to `high`, their weights those of a parabola that falls to 0 at the ends.
Measure many_places(double low, double high) {
  constexpr std::size_t count = 128;
  Measure measure;
  measure.low = low;
  measure.high = high;
  double sum = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const double t = (static_cast<double>(i) + 0.5) / static_cast<double>(count);
    measure.place.push_back(low + (high - low) * t);
    measure.weight.push_back(t * (1.0 - t));
    sum += measure.weight.back();
  }
  for (double& weight : measure.weight) {
    weight /= sum;
  }
  return measure;
}

TEST_CASE("many places beside a normal term are that many normals, in the tails too") {
  // Independent: the sum of weight times erfc.
  for (const double width : {0.3, 2.0, 6.0, 20.0}) {
    const Measure measure = many_places(-0.4 * width, 0.6 * width);
    Part plain;
    plain.plain = {{3.0, &normal_shape}};  // sigma 1
    plain.plain_measures = {measure};
    plain.branches = {{1.0, 0.0, 1.0, {1.0, 0.0, 0.0, 0.0}}};
    Part curved;
    curved.curved = plain.plain;
    curved.curved_measures = plain.plain_measures;
    curved.branches = plain.branches;
    for (const Part* part : {&plain, &curved}) {
      Distribution distribution({part, 1});
      for (double x = -0.4 * width - 6.5; x < 0.6 * width + 6.5; x += 0.37) {
        double below = 0.0;
        double above = 0.0;
        for (std::size_t i = 0; i < measure.place.size(); ++i) {
          const double u = (x - measure.place[i]) / std::numbers::sqrt2;
          below += 0.5 * measure.weight[i] * std::erfc(-u);
          above += 0.5 * measure.weight[i] * std::erfc(u);
        }
        INFO("width " << width << ", x " << x);
        const Probability found = distribution.probability(x);
        CHECK_THAT(found.below, WithinRel(below, below > 1e-4 ? scipy_accuracy : in_tail) ||
                                    WithinAbs(below, in_tail * least_probability));
        CHECK_THAT(found.above, WithinRel(above, above > 1e-4 ? scipy_accuracy : in_tail) ||
                                    WithinAbs(above, in_tail * least_probability));
      }
    }
  }
}

TEST_CASE("many branches beside a normal term are that many normals, in the farthest tail too") {
  // Independent: the sum of weight times erfc. The branches follow a normal and, beyond a place, a
  // knee, so that their far end weighs next to nothing; bounded places keep the tail of the sum
  // short, so that it is reached by a tilt far above what few nodes for the branches are made for.
  struct Case {
    double half;
    double sigma;
    double bend;
    double knee;
  };
  // What a tail far beyond the smallest probability of interest is worth: its order.
  constexpr double order = 0.1;
  constexpr double farthest = 1e-35;
  for (const Case& one : {Case{1.5, 0.3, 0.3, 1.0}, {2.0, 0.5, 0.3, 1.0}, {1.5, 1.0, 0.3, 0.0}}) {
    Part part = part_of({normal_term(one.sigma)});
    part.plain_measures = {many_places(-one.half, one.half)};
    part.branches.clear();
    constexpr int count = 100;
    double weight = 0.0;
    for (int i = 0; i < count; ++i) {
      const double y = 12.0 * (i + 0.5) / count - 6.0;
      const double shift = 0.05 * y - one.bend * std::max(0.0, y - one.knee);
      part.branches.push_back({std::exp(-0.5 * y * y), shift, 1.0, {1.0, 0.0, 0.0, 0.0}});
      weight += part.branches.back().weight;
    }
    for (Branch& branch : part.branches) {
      branch.weight /= weight;
    }
    const Measure& measure = part.plain_measures[0];
    Distribution distribution({&part, 1});
    const Moments moments = distribution.moments();
    for (int i = 0; i < 50; ++i) {
      const double x = moments.mean - (3.0 + 0.2 * i) * moments.sigma;
      double below = 0.0;
      for (const Branch& branch : part.branches) {
        for (std::size_t j = 0; j < measure.place.size(); ++j) {
          const double u = (x - branch.shift - measure.place[j]) / one.sigma;
          below += branch.weight * measure.weight[j] * normal_below(u);
        }
      }
      if (below < farthest) {
        break;
      }
      INFO("half " << one.half << ", sigma " << one.sigma << ", x " << x);
      const double here = below > 1e-4 ? central : below > least_probability ? in_tail : order;
      CHECK_THAT(distribution.probability(x).below, WithinRel(below, here));
    }
  }
}

TEST_CASE("other branches of the same terms give what a new distribution gives") {
  Part part;
  part.plain = {{1.5, &normal_shape}, {1.0, &uniform_shape}};
  part.plain_measures = {many_places(0.0, 2.0)};
  part.curved = {{2.0, &normal_shape}};
  part.curved_measures = {many_places(-1.0, 3.0)};
  part.branches = {{0.3, 0.1, 1.0, {0.7, 1e-4, 0.0, 0.0}}, {0.7, -0.2, 1.0, {0.7, 1e-4, 0.0, 0.0}}};
  // From next to nothing to more than contours are shared over.
  for (const double change : {1e-6, 1e-3, 4e-3, 0.05}) {
    Part other = part;
    for (Branch& branch : other.branches) {
      branch.shift += change;
      branch.plain_scale *= 1.0 - 0.5 * change;
      branch.q[0] *= 1.0 + change;
    }
    Distribution fresh({&other, 1});
    const double sigma = fresh.moments().sigma;
    for (const bool asked_before : {false, true}) {
      Distribution at_hand({&part, 1});
      if (asked_before) {
        (void)at_hand.quantile(0.00135);
        (void)at_hand.probability(8.0);
      }
      Distribution derived = at_hand.with_branches({other.branches});
      CHECK_THAT(derived.moments().mean, WithinRel(fresh.moments().mean, moments_accuracy));
      CHECK_THAT(derived.moments().sigma, WithinRel(sigma, moments_accuracy));
      for (const double p : {1e-9, 0.00135, 0.2, 0.5, 0.99865}) {
        INFO("change " << change << ", p " << p);
        const double x = fresh.quantile(p);
        CHECK_THAT(derived.quantile(p), WithinAbs(x, stable_quantile * sigma));
        CHECK_THAT(derived.probability(x).below, WithinRel(fresh.probability(x).below, central));
      }
    }
  }
  Distribution distribution({&part, 1});
  CHECK_THROWS_AS(distribution.with_branches({}), DomainError);
  CHECK_THROWS_AS(distribution.with_branches({{}}), DomainError);
}

TEST_CASE("a step towards a quantile leaves the square of the step") {
  Part part;
  part.plain = {{3.0, &normal_shape}, {1.0, &uniform_shape}};
  part.branches = {{1.0, 0.0, 1.0, {1.0, 0.0, 0.0, 0.0}}};
  Distribution distribution({&part, 1});
  for (const double p : {1e-6, 0.00135, 0.5, 0.99865}) {
    const double x = distribution.quantile(p);
    for (const double step : {-1e-3, 1e-4}) {
      // At most half the slope of ln p times the step squared: 5 sigma from the middle, 2.5.
      CHECK_THAT(distribution.step_to_quantile(p, x - step), WithinAbs(step, 3.0 * step * step));
    }
  }
}

TEST_CASE("without random terms the distribution is made of steps") {
  Part part = part_of({{0.0, &uniform_shape}});
  part.branches = {{0.25, 3.0, 1.0, {1, 0, 0, 0}}, {0.75, 5.0, 1.0, {1, 0, 0, 0}}};
  std::vector<Part> parts = {part};
  Distribution distribution = distribution_of(parts);
  CHECK(distribution.probability(2.999).below == 0.0);
  CHECK(distribution.probability(3.0).below == 0.25);
  CHECK(distribution.probability(4.9).above == 0.75);
  CHECK(distribution.probability(5.0).above == 0.0);
  CHECK_THAT(distribution.quantile(0.1), WithinAbs(3.0, quantile_accuracy));
  CHECK_THAT(distribution.quantile(0.7), WithinAbs(5.0, quantile_accuracy));
  CHECK_THAT(distribution.moments().mean, WithinRel(4.5, moments_accuracy));
  CHECK_THAT(distribution.moments().sigma, WithinRel(std::sqrt(0.75), moments_accuracy));
  parts[0].branches = {{1.0, 3.0, 1.0, {1, 0, 0, 0}}};
  CHECK(quantile(parts, 0.3) == 3.0);
  // Atoms with a uniform beside them: steps smoothed into ramps.
  parts[0].plain = {{0.5, &uniform_shape}};
  parts[0].plain_measures = {{{-2.0, 2.0}, {0.4, 0.6}, -2.0, 2.0}};
  CHECK_THAT(probability(parts, 1.25).below, WithinRel(0.4 * 0.75, closed_form));
  CHECK_THAT(probability(parts, 3.0).below, WithinRel(0.4, closed_form));
  CHECK_THAT(probability(parts, 4.75).below, WithinRel(0.4 + 0.6 * 0.25, closed_form));
}

TEST_CASE("a narrow normal on a wide uniform is the difference of two integrals of erfc") {
  // P = (G(x + 1) - G(x - 1))/2, G(t) = sigma (u Phi(u) + phi(u)), u = t/sigma: exact.
  for (const double sigma : {0.3, 1e-2, 1e-4, 1e-7}) {
    std::vector<Part> parts = {part_of({normal_term(sigma), {1.0, &uniform_shape}})};
    Distribution distribution = distribution_of(parts);
    const auto G = [sigma](double t) {
      const double u = t / sigma;
      return sigma *
             (u * normal_below(u) + std::exp(-0.5 * u * u) / std::sqrt(2.0 * std::numbers::pi));
    };
    for (const double x : {-1.0 - 2.0 * sigma, -1.0, -1.0 + 2.0 * sigma, -0.7, -0.1}) {
      CAPTURE(sigma, x);
      CHECK_THAT(distribution.probability(x).below,
                 WithinRel(0.5 * (G(x + 1.0) - G(x - 1.0)), central));
      CHECK_THAT(distribution.probability(-x).above,
                 WithinRel(0.5 * (G(x + 1.0) - G(x - 1.0)), central));
    }
  }
}

TEST_CASE("the support is the sum of the bands, and infinite with a normal term") {
  const Shape triangle = Shape::triangular(0.3);
  std::vector<Part> parts = {part_of(
      {{0.5, &uniform_shape}}, {{-2.0, &triangle}, {1.0, &uniform_shape}}, {0.9, 0.01, 0.0, 0.0})};
  parts[0].branches[0].shift = 1.0;
  const Support range = support(parts);
  CHECK_THAT(range.low, WithinRel(1.0 - 0.5 - 3.0 * 0.9 + 9.0 * 0.01, closed_form));
  CHECK_THAT(range.high, WithinRel(1.0 + 0.5 + 3.0 * 0.9 + 9.0 * 0.01, closed_form));
  CHECK(probability(parts, range.low - 1e-9).below == 0.0);
  CHECK(probability(parts, range.low - 1e-9).above == 1.0);
  CHECK(probability(parts, range.high).above == 0.0);
  CHECK(probability(parts, range.high).below == 1.0);
  parts[0].plain.push_back(normal_term(0.1));
  CHECK(support(parts).low == -infinity);
  CHECK(support(parts).high == infinity);
}

TEST_CASE("what is no distribution is refused") {
  const auto refused = [](const std::vector<Part>& parts, const std::string& says) {
    CAPTURE(says);
    try {
      static_cast<void>(distribution_of(parts));
      FAIL("nothing was thrown");
    } catch (const DomainError& error) {
      CHECK_THAT(error.what(), ContainsText(says));
    }
  };
  const std::vector<Part> fine = {part_of({normal_term(1.0)}, {normal_term(1.0)})};
  refused({}, "add up to 0");
  std::vector<Part> bad = fine;
  bad[0].branches.clear();
  refused(bad, "no branch");
  bad = fine;
  bad[0].branches[0].weight = 0.9;
  refused(bad, "add up to 0.9");
  bad = fine;
  bad[0].branches[0].weight = -1.0;
  refused(bad, "must be above 0");
  bad = fine;
  bad[0].branches[0].shift = nan;
  refused(bad, "not finite");
  bad = fine;
  bad[0].branches[0].q[0] = 0.0;
  refused(bad, "must be above 0");
  bad = fine;
  bad[0].plain[0].shape = nullptr;
  refused(bad, "no shape");
  bad = fine;
  bad[0].plain[0].reach = infinity;
  refused(bad, "reach that is not finite");
  bad = fine;
  bad[0].plain_measures = {{{0.0, 1.0}, {1.0}, 0.0, 1.0}};
  refused(bad, "2 places and 1 weights");

  Distribution distribution = distribution_of(fine);
  for (const double p : {0.0, 1.0, 1e-13, 1.0 - 1e-13, nan}) {
    CAPTURE(p);
    CHECK_THROWS_AS(distribution.quantile(p), DomainError);
  }
  CHECK_THROWS_AS(distribution.probability(nan), DomainError);
}

}  // namespace
