#include "design/thinned_times.hpp"

#include <cmath>
#include <cstddef>
#include <random>
#include <vector>

#include "catch.hpp"

using lashband::design::thinned;

namespace {

// The farthest that straight lines between the kept samples are from the others.
double farthest(const std::vector<double>& times, const std::vector<std::vector<double>>& curves,
                const std::vector<std::size_t>& kept) {
  double off = 0.0;
  for (std::size_t k = 1; k < kept.size(); ++k) {
    const std::size_t from = kept[k - 1];
    const std::size_t to = kept[k];
    for (std::size_t i = from; i <= to; ++i) {
      const double share = (times[i] - times[from]) / (times[to] - times[from]);
      for (std::size_t c = 0; c < curves[i].size(); ++c) {
        const double line = curves[from][c] + share * (curves[to][c] - curves[from][c]);
        off = std::max(off, std::abs(curves[i][c] - line));
      }
    }
  }
  return off;
}

}  // namespace

TEST_CASE("what thinning leaves out lies on the lines between what it keeps") {
  std::mt19937 random(7);
  std::vector<double> times;
  std::vector<std::vector<double>> curves;
  double time = 0.0;
  for (int i = 0; i < 2000; ++i) {
    times.push_back(time);
    curves.push_back({20.0 * std::sin(time / 100.0), 50.0 * (1.0 - std::exp(-time / 300.0))});
    // The standard fixes what the engine yields, not what distributions make of it.
    time += 0.1 + static_cast<double>(random() % 1000U) / 500.0;
  }
  for (const double tolerance : {5.0, 0.5, 0.05}) {
    const std::vector<std::size_t> kept = thinned(times, curves, tolerance);
    CHECK(kept.front() == 0);
    CHECK(kept.back() == times.size() - 1);
    CHECK(kept.size() < times.size() / 4);
    CHECK(farthest(times, curves, kept) <= tolerance);
  }
}

TEST_CASE("a straight line thins to its ends, and a corner is kept") {
  const std::vector<double> times{0, 1, 2, 3, 4};
  CHECK(thinned(times, {{0}, {1}, {2}, {3}, {4}}, 1e-12) == std::vector<std::size_t>{0, 4});
  CHECK(thinned(times, {{0}, {1}, {2}, {1}, {0}}, 0.1) == std::vector<std::size_t>{0, 2, 4});
  CHECK(thinned(times, {{0}, {0}, {0}, {0}, {0}}, 0.0) == std::vector<std::size_t>{0, 4});
}

TEST_CASE("few samples are all there is") {
  CHECK(thinned({}, {}, 1.0).empty());
  CHECK(thinned({3.0}, {{1.0}}, 1.0) == std::vector<std::size_t>{0});
  CHECK(thinned({3.0, 4.0}, {{1.0}, {9.0}}, 1.0) == std::vector<std::size_t>{0, 1});
}
