// Time of the distribution of one sum: three percentiles and two tail probabilities of each of 33
// states, ten terms of which six are normal, beside plain quadrature of the same numbers in the
// same run: the trapezoid rule over D on a grid that gives 1e-9, the rest of the terms taken for
// one normal term (so it does less), percentiles by the same number of evaluations.
//   distribution_benchmark [RUNS]
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <numbers>
#include <random>
#include <vector>

#include "tolerance/sum_distribution.hpp"

namespace {

using namespace lashband::tolerance;
using namespace lashband::tolerance::kernel;

constexpr int states = 33;

struct Shapes {
  Shape normal = Shape::normal();
  Shape uniform = Shape::uniform();
  Shape triangular = Shape::triangular(0.3);
};

std::vector<std::vector<Part>> random_states(const Shapes& shapes, int branches) {
  std::mt19937 draw(1);
  const auto off = [&draw] { return static_cast<double>(draw()) / 2147483648.0 - 1.0; };
  std::vector<std::vector<Part>> result;
  for (int i = 0; i < states; ++i) {
    Part part;
    for (const Shape* shape :
         {&shapes.normal, &shapes.normal, &shapes.normal, &shapes.uniform, &shapes.triangular}) {
      part.plain.push_back({1e-5 * (1.0 + 0.3 * off()), shape});
      part.curved.push_back({1e-5 * (1.0 + 0.3 * off()), shape});
    }
    for (int b = 0; b < branches; ++b) {
      const double e = branches > 1 ? off() : 0.0;
      part.branches.push_back({1.0 / branches,
                               1e-4 + 8e-6 * e,
                               1.0 + 5e-5 * e,
                               {0.7 * (1.0 + 5e-5 * e), 7.0, 1e3, 0.0}});
    }
    result.push_back({part});
  }
  return result;
}

double by_contour(const std::vector<Part>& parts) {
  Distribution distribution(parts);
  const Moments moments = distribution.moments();
  return distribution.quantile(0.00135) + distribution.quantile(0.5) +
         distribution.quantile(0.99865) +
         distribution.probability(moments.mean - 5.0 * moments.sigma).below +
         distribution.probability(moments.mean + 6.0 * moments.sigma).above;
}

// One probability by the trapezoid rule over a normal D, A normal.
double by_quadrature(const Part& part, double x, double sigma_a, double sigma_d) {
  constexpr int points = 60;
  constexpr double reach = 8.0;
  double sum = 0.0;
  for (const Branch& branch : part.branches) {
    for (int i = 0; i <= points; ++i) {
      const double u = reach * (2.0 * i / points - 1.0);
      const double d = sigma_d * u;
      const double at_d = branch.shift + d * (branch.q[0] + d * (branch.q[1] + d * branch.q[2]));
      sum += branch.weight * std::exp(-0.5 * u * u) *
             std::erfc((at_d - x) / (std::numbers::sqrt2 * branch.plain_scale * sigma_a));
    }
  }
  return 0.5 * sum * (2.0 * reach / points) / std::sqrt(2.0 * std::numbers::pi);
}

double by_quadrature(const std::vector<Part>& parts) {
  constexpr int evaluations = 3 * 4 + 2;
  const Part& part = parts.front();
  double variance_a = 0.0;
  double variance_d = 0.0;
  for (std::size_t i = 0; i < part.plain.size(); ++i) {
    variance_a += std::pow(part.plain[i].reach * part.plain[i].shape->sigma(), 2);
    variance_d += std::pow(part.curved[i].reach * part.curved[i].shape->sigma(), 2);
  }
  double sum = 0.0;
  for (int i = 0; i < evaluations; ++i) {
    sum += by_quadrature(part, 1e-4 + 1e-6 * i, std::sqrt(variance_a), std::sqrt(variance_d));
  }
  return sum;
}

double sink = 0.0;

// Microseconds a state, the least of all runs.
template <class F>
double least_time(int runs, const std::vector<std::vector<Part>>& all, F f) {
  double least = 1e300;
  for (int run = 0; run < runs; ++run) {
    const auto start = std::chrono::steady_clock::now();
    for (const std::vector<Part>& parts : all) {
      sink += f(parts);
    }
    const std::chrono::duration<double, std::micro> taken =
        std::chrono::steady_clock::now() - start;
    least = std::min(least, taken.count() / states);
  }
  return least;
}

}  // namespace

int main(int argc, char** argv) {
  const int runs = argc > 1 ? std::atoi(argv[1]) : 10;
  if (runs < 1) {
    std::fprintf(stderr, "distribution_benchmark [RUNS]\n");
    return 2;
  }
  double load[1] = {0.0};
  (void)getloadavg(load, 1);
  std::printf("3 percentiles and 2 tail probabilities, least of %d runs, load %.1f\n", runs,
              load[0]);
  const Shapes shapes;
  for (const int branches : {1, 125, 1000}) {
    const std::vector<std::vector<Part>> all = random_states(shapes, branches);
    const double contour =
        least_time(runs, all, [](const std::vector<Part>& parts) { return by_contour(parts); });
    const double quadrature =
        least_time(runs, all, [](const std::vector<Part>& parts) { return by_quadrature(parts); });
    std::printf("  %4d branches: contour %8.1f us a state, plain quadrature %9.1f us, ratio %.2f\n",
                branches, contour, quadrature, quadrature / contour);
    std::fflush(stdout);
  }
  return std::isfinite(sink) ? 0 : 1;
}
