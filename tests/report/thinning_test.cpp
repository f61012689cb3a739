// What charts over time draw of many samples.
#include "report/chart/thinning.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numeric>
#include <vector>

#include "catch.hpp"

using namespace lashband;
using report::drawn_samples;
using report::most_drawn;
using report::thinning_share;

namespace {

std::vector<double> count_from_zero(std::size_t count) {
  std::vector<double> times(count);
  std::iota(times.begin(), times.end(), 0.0);
  return times;
}

template <class Value>
std::vector<double> sampled(const std::vector<double>& times, const Value& value) {
  std::vector<double> curve;
  curve.reserve(times.size());
  for (const double time : times) {
    curve.push_back(value(time));
  }
  return curve;
}

// The greatest distance of a sample from straight lines between those that are drawn.
double greatest_miss(const std::vector<double>& times, const std::vector<double>& curve,
                     const std::vector<std::size_t>& drawn) {
  double worst = 0.0;
  for (std::size_t k = 1; k < drawn.size(); ++k) {
    for (std::size_t i = drawn[k - 1]; i <= drawn[k]; ++i) {
      const double share =
          (times[i] - times[drawn[k - 1]]) / (times[drawn[k]] - times[drawn[k - 1]]);
      worst = std::max(worst,
                       std::abs(curve[i] - std::lerp(curve[drawn[k - 1]], curve[drawn[k]], share)));
    }
  }
  return worst;
}

}  // namespace

TEST_CASE("a smooth curve is drawn by few samples that miss none by more than is seen") {
  const std::vector<double> times = count_from_zero(20001);
  const std::vector<double> curve =
      sampled(times, [](double t) { return 80.0 * (1.0 - std::exp(-t / 2500.0)); });
  const std::vector<std::size_t> drawn = drawn_samples(times, {curve}, {});
  CHECK(drawn.front() == 0);
  CHECK(drawn.back() == times.size() - 1);
  CHECK(std::is_sorted(drawn.begin(), drawn.end()));
  // An exponential over eight time constants bends along sqrt(8 share) steps or so of them.
  CHECK(drawn.size() < 100);
  CHECK(greatest_miss(times, curve, drawn) <= thinning_share * (curve.back() - curve.front()));
}

TEST_CASE("extremes and what is to be kept are drawn, however little they stand out") {
  const std::vector<double> times = count_from_zero(1000);
  std::vector<double> spike = sampled(times, [](double t) { return t < 500.0 ? 0.0 : 1.0; });
  spike[700] = 1.0 + 1e-6;
  spike[300] = -1e-6;
  const std::vector<std::size_t> drawn = drawn_samples(times, {spike}, {123});
  for (const std::size_t place : {123U, 300U, 499U, 500U, 700U}) {
    INFO(place);
    CHECK(std::binary_search(drawn.begin(), drawn.end(), std::size_t{place}));
  }
}

TEST_CASE("noise is drawn by as many samples as are allowed, its extremes among them") {
  const std::vector<double> times = count_from_zero(5000);
  const std::vector<double> noise =
      sampled(times, [](double t) { return std::fmod(t * 7919.0, 1013.0); });
  const std::vector<std::size_t> drawn = drawn_samples(times, {noise}, {});
  CHECK(drawn.size() == most_drawn);
  const auto [low, high] = std::minmax_element(noise.begin(), noise.end());
  for (const auto end : {low, high}) {
    const bool is_drawn = std::any_of(drawn.begin(), drawn.end(),
                                      [&](std::size_t place) { return noise[place] == *end; });
    CHECK(is_drawn);
  }
}

TEST_CASE("curves drawn together keep the shape of each") {
  const std::vector<double> times = count_from_zero(2000);
  const std::vector<double> line = sampled(times, [](double t) { return 1e6 * t; });
  const std::vector<double> wave = sampled(times, [](double t) { return std::sin(t / 300.0); });
  const std::vector<std::size_t> drawn = drawn_samples(times, {line, wave}, {});
  CHECK(greatest_miss(times, wave, drawn) <= thinning_share * 2.0);
  CHECK(drawn_samples(times, {line}, {}).size() == 2);
}

TEST_CASE("lines break where there is no value") {
  const std::vector<double> times = count_from_zero(100);
  std::vector<double> curve = sampled(times, [](double) { return 5.0; });
  for (std::size_t i = 40; i < 60; ++i) {
    curve[i] = std::numeric_limits<double>::quiet_NaN();
  }
  CHECK(drawn_samples(times, {curve}, {}) == std::vector<std::size_t>{0, 39, 40, 60, 99});
  CHECK(drawn_samples({7.0}, {{1.0}}, {}) == std::vector<std::size_t>{0});
}
