#include "torsion/force_course.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_systems.hpp"

using namespace lashband;
using namespace lashband::test;
using namespace lashband::torsion::kernel;

namespace {

// Promised in the header, relative to the sum of the amplitudes.
constexpr double promised = 1e-12;
// Six digits from a difference quotient.
constexpr double difference_quotient = 1e-6;

double sum_of_amplitudes(const ForceCourse& course) {
  double sum = 0.0;
  for (const Harmonic& harmonic : course.harmonics) {
    sum += std::abs(harmonic.amplitude);
  }
  return sum;
}

ForceCourse random_course(unsigned seed, std::size_t harmonics, std::size_t highest) {
  Draw draw(seed);
  ForceCourse course;
  course.mean = draw.between(-5.0, 5.0);
  for (std::size_t i = 0; i < harmonics; ++i) {
    course.harmonics.push_back(
        {static_cast<long long>(1 + draw.below(highest)), draw.phasor(draw.over(0.01, 1.0))});
  }
  return course;
}

// The sum as it stands, in long double.
long double plain(const ForceCourse& course, long double phi) {
  long double sum = course.mean;
  for (const Harmonic& harmonic : course.harmonics) {
    const long double angle = static_cast<long double>(harmonic.order) * phi;
    sum +=
        harmonic.amplitude.real() * std::cos(angle) - harmonic.amplitude.imag() * std::sin(angle);
  }
  return sum;
}

}  // namespace

TEST_CASE("values and samples are the sum of the harmonics") {
  for (unsigned seed = 1; seed <= 6; ++seed) {
    INFO("seed " << seed);
    const ForceCourse course = random_course(seed, 12, seed == 6 ? 1000000 : 40);
    const double tolerance = promised * sum_of_amplitudes(course);
    for (const double phi : {0.0, 0.3, 3.0, 6.2, -1.0, 20.0}) {
      CHECK_THAT(value_at(course, phi),
                 WithinAbs(static_cast<double>(plain(course, phi)), tolerance));
    }
    // More and fewer points than the orders need, in powers of two and not.
    for (const std::size_t points : {1U, 2U, 7U, 30U, 128U, 1000U}) {
      const std::vector<double> found = samples(course, points);
      REQUIRE(found.size() == points);
      for (std::size_t j = 0; j < points; ++j) {
        const long double phi = 2.0L * std::numbers::pi_v<long double> *
                                static_cast<long double>(j) / static_cast<long double>(points);
        CHECK_THAT(found[j], WithinAbs(static_cast<double>(plain(course, phi)), tolerance));
      }
    }
  }
  CHECK(samples({3.0, {}}, 2) == std::vector<double>{3.0, 3.0});
}

TEST_CASE("ends of one and of two harmonics in closed form") {
  // Exact: one harmonic has the ends mean +- |a|, the greatest at phi = -arg(a)/n.
  const ForceCourse one{2.0, {{7, std::polar(3.0, -1.4)}}};
  const CourseEnds found = ends(one);
  CHECK_THAT(found.greatest.value, WithinAbs(5.0, 3.0 * promised));
  CHECK_THAT(found.greatest.phase, WithinAbs(0.2, 1e-9));
  CHECK_THAT(found.least.value, WithinAbs(-1.0, 3.0 * promised));
  CHECK_THAT(found.least.phase, WithinAbs(0.2 + pi / 7.0, 1e-9));
  // Exact: a cos(x) + b cos(2x) is a quadratic in c = cos(x), 2 b c^2 + a c - b: ends at c = +-1
  // and, if |a| < 4|b|, at c = -a/(4b) with -a^2/(8b) - b.
  for (const double a : {0.0, 0.3, 1.0, 3.9, 4.0, 4.1, 20.0}) {
    for (const double b : {1.0, -1.0}) {
      INFO("a " << a << ", b " << b);
      const ForceCourse course{0.5, {{3, a}, {6, b}}};
      double least = std::min(a + b, b - a);
      double greatest = std::max(a + b, b - a);
      if (std::fabs(a) < 4.0 * std::fabs(b)) {
        const double inner = -a * a / (8.0 * b) - b;
        least = std::min(least, inner);
        greatest = std::max(greatest, inner);
      }
      const CourseEnds two = ends(course);
      const double tolerance = promised * (a + 1.0);
      CHECK_THAT(two.least.value, WithinAbs(0.5 + least, tolerance));
      CHECK_THAT(two.greatest.value, WithinAbs(0.5 + greatest, tolerance));
      for (const CourseEnd& end : {two.least, two.greatest}) {
        CHECK((end.phase >= 0.0 && end.phase < 2.0 * pi));
        CHECK_THAT(value_at(course, end.phase), WithinAbs(end.value, tolerance));
      }
    }
  }
  const CourseEnds constant = ends({-4.0, {{5, 0.0}}});
  CHECK(constant.least.value == -4.0);
  CHECK(constant.greatest.value == -4.0);
  CHECK(constant.greatest.phase == 0.0);
}

TEST_CASE("ends against a grid of a million points") {
  constexpr std::size_t points = 1000000;
  for (unsigned seed = 1; seed <= 12; ++seed) {
    INFO("seed " << seed);
    const ForceCourse course = random_course(seed, 3 + 2 * seed, seed % 2 == 0 ? 12 : 300);
    const CourseEnds found = ends(course);
    const std::vector<double> grid = samples(course, points);
    const auto [least, greatest] = std::minmax_element(grid.begin(), grid.end());
    double bend = 0.0;
    for (const Harmonic& harmonic : course.harmonics) {
      bend += std::pow(static_cast<double>(harmonic.order), 2) * std::abs(harmonic.amplitude);
    }
    // A grid misses half the greatest bend times the square of half a step at most.
    const double missed = 0.5 * bend * std::pow(pi / points, 2);
    const double rounding = promised * sum_of_amplitudes(course);
    CHECK(found.greatest.value >= *greatest - rounding);
    CHECK(found.greatest.value <= *greatest + missed + rounding);
    CHECK(found.least.value <= *least + rounding);
    CHECK(found.least.value >= *least - missed - rounding);
    CHECK_THAT(value_at(course, found.greatest.phase), WithinAbs(found.greatest.value, rounding));
    CHECK_THAT(value_at(course, found.least.phase), WithinAbs(found.least.value, rounding));
  }
}

TEST_CASE("ends that hide between grid points or in flat places are found") {
  // Two peaks of nearly one height, the narrower between points of any grid by powers of two: exact
  // ends of a Fejer kernel shifted by a third, n + 1 at its peak and 0.
  for (const long long n : {3LL, 10LL, 63LL, 64LL}) {
    INFO("order " << n);
    ForceCourse course{1.0, {}};
    for (long long k = 1; k <= n; ++k) {
      const double weight = 2.0 * (1.0 - static_cast<double>(k) / static_cast<double>(n + 1));
      course.harmonics.push_back({k, std::polar(weight, -static_cast<double>(k) * 2.0 * pi / 3.0)});
    }
    const CourseEnds found = ends(course);
    const double tolerance = promised * sum_of_amplitudes(course);
    CHECK_THAT(found.greatest.value, WithinAbs(static_cast<double>(n + 1), tolerance));
    CHECK_THAT(found.greatest.phase, WithinAbs(2.0 * pi / 3.0, 1e-7));
    CHECK_THAT(found.least.value, WithinAbs(0.0, tolerance));
  }
  // cos x + cos(2x)/4 is flat to the fourth order at its least, 3/4 below 0 at x = pi.
  const CourseEnds flat = ends({0.0, {{1, 1.0}, {2, 0.25}}});
  CHECK_THAT(flat.least.value, WithinAbs(-0.75, promised));
  // Orders with a common divisor repeat: the first of the ends.
  const CourseEnds repeated = ends({0.0, {{200000000, Complex{0.0, -1.0}}}});
  CHECK_THAT(repeated.greatest.value, WithinAbs(1.0, promised));
  CHECK_THAT(repeated.greatest.phase, WithinRel(0.25 * 2.0 * pi / 200000000.0, 1e-9));
  // An order far above the others.
  ForceCourse wide{0.0, {{1, 1.0}, {99991, Complex{0.3, 0.4}}}};
  const double greatest = ends(wide).greatest.value;
  CHECK(greatest <= 1.5 + promised);
  CHECK(greatest >= 1.5 - 1e-8);  // a peak of the fast one is within pi/99991 of the slow one's
}

TEST_CASE("rattle index of forces of either sign") {
  // Exact: Lambda = amplitude / |mean| of one order, its phase that of the relief.
  for (const double mean : {4.0, -4.0, 1e-6, -1e9}) {
    INFO("mean " << mean);
    const ForceCourse force{mean, {{3, Complex{0.0, -5.0}}}};  // mean + 5 sin(3 phi)
    const RattleIndex at = rattle_index(force);
    CHECK_FALSE(at.unloaded);
    CHECK_THAT(at.index, WithinRel(5.0 / std::fabs(mean), promised));
    CHECK_THAT(at.least_force, WithinRel(std::fabs(mean) - 5.0, promised));
    CHECK_THAT(at.phase, WithinAbs(mean > 0.0 ? pi / 2.0 : pi / 6.0, 1e-9));
  }
  // An unsymmetrical course relieves the flanks differently: 3 cos x + 2 cos 2x has the ends 5 and
  // -9/16 - 2.
  const std::vector<Harmonic> harmonics = {{1, 3.0}, {2, 2.0}};
  CHECK_THAT(rattle_index({4.0, harmonics}).index, WithinRel(2.5625 / 4.0, promised));
  CHECK_THAT(rattle_index({-4.0, harmonics}).index, WithinRel(5.0 / 4.0, promised));
  CHECK_THAT(rattle_index({-4.0, harmonics}).least_force, WithinRel(-1.0, promised));
  // Without any swing a loaded mesh is at 0.
  const RattleIndex still = rattle_index({-4.0, {}});
  CHECK_FALSE(still.unloaded);
  CHECK(still.index == 0.0);
  CHECK(still.least_force == 4.0);
}

TEST_CASE("a mesh without mean force is unloaded") {
  for (const double mean : {0.0, 4.9e-9, -4.9e-9}) {
    INFO("mean " << mean);
    const RattleIndex at = rattle_index({mean, {{1, 5.0}}});
    CHECK(at.unloaded);
    CHECK(at.index == 0.0);
    CHECK_THAT(at.least_force, WithinAbs(mean - 5.0, promised));
    CHECK(rattle_index_derivative({mean, {{1, 5.0}}}, at, {1.0, {{1, 1.0}}}) == 0.0);
  }
  for (const double mean : {5.1e-9, -5.1e-9}) {
    CHECK_FALSE(rattle_index({mean, {{1, 5.0}}}).unloaded);
  }
  CHECK(rattle_index({}).unloaded);
}

TEST_CASE("derivatives of rattle indices are slopes") {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    INFO("seed " << seed);
    const ForceCourse force = random_course(seed, 8, 20);
    ForceCourse derivative = random_course(seed + 100, 8, 20);
    for (std::size_t i = 0; i < 8; ++i) {
      derivative.harmonics[i].order = force.harmonics[i].order;
    }
    const auto index = [&](double h) {
      ForceCourse moved = force;
      moved.mean += h * derivative.mean;
      for (std::size_t i = 0; i < 8; ++i) {
        moved.harmonics[i].amplitude += h * derivative.harmonics[i].amplitude;
      }
      return rattle_index(moved).index;
    };
    const RattleIndex at = rattle_index(force);
    const double found = rattle_index_derivative(force, at, derivative);
    CHECK_THAT(found, WithinAbs(slope_at(index, 1e-4), difference_quotient * (at.index + 1.0)));
  }
}

TEST_CASE("arguments of a course are checked") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const ForceCourse good{1.0, {{1, 1.0}}};
  for (const ForceCourse& bad :
       {ForceCourse{nan, {}}, ForceCourse{1.0, {{0, 1.0}}}, ForceCourse{1.0, {{-3, 1.0}}},
        ForceCourse{1.0, {{1, Complex{0.0, nan}}}}}) {
    CHECK_THROWS_AS(value_at(bad, 0.0), DomainError);
    CHECK_THROWS_AS(samples(bad, 8), DomainError);
    CHECK_THROWS_AS(ends(bad), DomainError);
    CHECK_THROWS_AS(rattle_index(bad), DomainError);
  }
  CHECK_THROWS_AS(value_at(good, nan), DomainError);
  CHECK_THROWS_AS(samples(good, 0), DomainError);
  CHECK_THROWS_AS(ends({0.0, {{1, 1.0}, {1048577, 1.0}}}), DomainError);
  const RattleIndex at = rattle_index(good);
  CHECK_THROWS_AS(rattle_index_derivative(good, at, {1.0, {}}), DomainError);
  CHECK_THROWS_AS(rattle_index_derivative(good, at, {1.0, {{2, 1.0}}}), DomainError);
}
