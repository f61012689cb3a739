#include "band/monte_carlo.hpp"

#include <hwy/targets.h>

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "band/sample_kernel.hpp"
#include "catch.hpp"
#include "lashband/error.hpp"
#include "mesh_examples.hpp"
#include "only_target.hpp"

namespace {

using namespace lashband::band::kernel;
using lashband::ComputationError;
using lashband::DomainError;
using lashband::test::OnlyTarget;
using lashband::tolerance::Shape;

// What the sampled gaps are promised to follow the exact function by: 1e-13 mm.
constexpr double gap_accuracy = 1e-16;
// One of 150000 independent figures is this many standard errors out; the seeds are fixed.
constexpr double standard_errors = 4.5;
// Sums in another order.
constexpr double sum_accuracy = 1e-12;
// A percentile from bins against one from sorted values: a part of its standard error.
constexpr double bin_share = 0.25;

MeshModel mesh_of(const examples::Example& example) {
  MeshModel mesh = example.mesh;
  mesh.states = {example.state};
  return mesh;
}

SampleResult run(const std::vector<MeshModel>& meshes, const Draws& draws, std::uint64_t samples,
                 unsigned threads = 1, std::uint64_t seed = 1, const Limits& limits = {}) {
  SampleOptions options;
  options.seed = seed;
  options.samples = samples;
  options.threads = threads;
  return sampled(meshes, draws, std::vector<Limits>(meshes.size(), limits), options);
}

// A mesh that is linear in normal draws: only thicknesses and a term of the backlash vary.
struct Linear {
  MeshModel mesh;
  Draws draws;
  double mean;
  double sigma;
};

Linear linear_mesh() {
  const examples::Example pair = examples::plain_pair();
  Linear result;
  result.mesh = pair.mesh;
  result.mesh.E_1 = {-5e-6, {{0, 30e-6}}};
  result.mesh.E_2 = {-15e-6, {{1, 24e-6}}};
  result.mesh.deviation = result.mesh.run_out_1 = result.mesh.run_out_2 = {};
  result.mesh.pitch_1 = result.mesh.pitch_2 = {};
  result.mesh.states = {StateModel{}, StateModel{}};
  // Warm gears in a cold case.
  result.mesh.states[1].growth_1.constant = result.mesh.states[1].growth_2.constant = 2e-4;
  result.draws.shapes = {Shape::normal(), Shape::normal()};
  result.draws.elongation = {false, false};
  const double at_mid[] = {0.0, 0.0};
  result.mean = gaps(result.mesh, result.mesh.states[0], at_mid).least;
  result.sigma = result.mesh.kappa * std::hypot(10e-6, 8e-6);
  return result;
}

// Every figure of a result in one row.
std::vector<double> figures(const SampleResult& result) {
  std::vector<double> row{static_cast<double>(result.samples)};
  const auto add = [&row](const Sampled& sampled) {
    row.push_back(sampled.value);
    row.push_back(sampled.standard_error);
  };
  add(result.bind_anywhere);
  for (const SampledMesh& mesh : result.meshes) {
    add(mesh.bind_anywhere);
    add(mesh.below_least_anywhere);
    add(mesh.above_greatest_anywhere);
    for (const SampledState& state : mesh.states) {
      for (const SampledGap* gap : {&state.least_bt, &state.least_wt, &state.greatest_bt,
                                    &state.greatest_wt, &state.bind_bt}) {
        for (const Sampled* sampled :
             {&gap->mean, &gap->sigma, &gap->p_low, &gap->p_mid, &gap->p_high}) {
          add(*sampled);
        }
      }
      add(state.bind_negative);
      add(state.below_least);
      add(state.above_greatest);
    }
  }
  return row;
}

// Kinds of draw and model that the kernel has paths of its own for.
std::vector<examples::Example> all_paths() {
  std::vector<examples::Example> result = examples::all();
  examples::Example tied = examples::plain_pair(Shape::truncated_normal());
  tied.name = "tied draws";
  tied.draws.correlations = {{0, 1, 0.7}, {1, 2, -0.3}};
  result.push_back(tied);
  // Wider than any polynomial of the kernel: the exact function takes over.
  examples::Example wide = examples::with_materials(examples::plain_pair(Shape::uniform()), false);
  wide.name = "wide";
  wide.mesh.deviation = {5e-3, {{2, 9.5e-3}}};
  result.push_back(wide);
  examples::Example wide_fixed = examples::plain_pair(Shape::uniform());
  wide_fixed.name = "wide and fixed";
  wide_fixed.mesh.deviation = {5e-3, {{2, 9.5e-3}}};
  result.push_back(wide_fixed);
  examples::Example joint = examples::with_materials(examples::plain_pair(), true);
  joint.name = "history of a joint";
  joint.state.carrier_greatest.knees[0].low = -5.0e-4;
  result.push_back(joint);
  return result;
}

}  // namespace

TEST_CASE("sampled gaps are those of the model") {
  for (const examples::Example& example : all_paths()) {
    CAPTURE(example.name);
    const MeshModel mesh = mesh_of(example);
    const SamplePlan plan = sample_plan({mesh}, example.draws, {Limits{}}, 17);
    Workspace work(plan);
    double greatest = 0.0;
    std::vector<double> y(example.draws.shapes.size());
    for (std::uint64_t first = 0; first < 8 * chunk_samples; first += chunk_samples) {
      draw_chunk(plan.draws, first, work);
      derive_columns(plan.meshes[0], work);
      evaluate_gaps(plan.meshes[0], plan.meshes[0].states[0], work);
      for (std::size_t i = 0; i < chunk_samples; ++i) {
        for (std::size_t k = 0; k < y.size(); ++k) {
          y[k] = work.columns[k].row[i];
        }
        const Gaps exact = gaps(mesh, mesh.states[0], y.data());
        for (const double difference :
             {exact.least - work.gaps[least_bt].row[i],
              exact.greatest - work.gaps[greatest_bt].row[i],
              exact.bind - work.gaps[bind_bt].row[i],
              exact.least * exact.least_ratio - work.gaps[least_wt].row[i],
              exact.greatest * exact.greatest_ratio - work.gaps[greatest_wt].row[i]}) {
          greatest = std::isnan(difference) ? difference : std::max(greatest, std::abs(difference));
        }
      }
    }
    CHECK(greatest < gap_accuracy);
  }
}

TEST_CASE("every instruction set and number of threads gives the same numbers") {
  const std::int64_t supported = hwy::SupportedTargets();
  // Five blocks, the last of them with a part of a group of eight lanes.
  constexpr std::uint64_t samples = 4 * 4096 + 77;
  Limits limits;
  limits.least_wt = 50e-6;
  limits.greatest_bt = 150e-6;
  for (const examples::Example& example : all_paths()) {
    CAPTURE(example.name);
    const MeshModel mesh = mesh_of(example);
    const std::vector<double> expected =
        figures(run({mesh, mesh}, example.draws, samples, 1, 4, limits));
    std::vector<std::string> names;
    for (std::int64_t left = supported; left != 0; left &= left - 1) {
      const std::int64_t target = left & -left;
      const OnlyTarget only(target);
      const std::string name = instruction_set();
      if (std::find(names.begin(), names.end(), name) != names.end()) {
        continue;  // one that this program has no code for falls back to another
      }
      names.push_back(name);
      CAPTURE(name);
      CHECK(figures(run({mesh, mesh}, example.draws, samples, 1, 4, limits)) == expected);
    }
    CHECK(names.size() >= 2);
    for (const unsigned threads : {2U, 3U}) {
      CAPTURE(threads);
      CHECK(figures(run({mesh, mesh}, example.draws, samples, threads, 4, limits)) == expected);
    }
  }
}

TEST_CASE("statistics are those of the values") {
  const examples::Example example =
      examples::with_bearings(examples::with_misalignment(examples::plain_pair(), 0.0));
  const MeshModel mesh = mesh_of(example);
  constexpr std::uint64_t samples = 40000;
  const SampledState roughly = run({mesh}, example.draws, samples, 1, 7).meshes[0].states[0];
  Limits limits;
  limits.least_wt = roughly.least_wt.p_low.value;
  limits.least_bt = roughly.least_bt.p_low.value;
  limits.greatest_wt = roughly.greatest_wt.p_high.value;
  const SampleResult result = run({mesh}, example.draws, samples, 1, 8, limits);

  const SamplePlan plan = sample_plan({mesh}, example.draws, {limits}, 8);
  Workspace work(plan);
  std::vector<std::vector<double>> values(streams);
  double binds = 0.0;
  double below = 0.0;
  double above = 0.0;
  std::vector<double> y(example.draws.shapes.size());
  for (std::uint64_t first = 0; first < samples; first += chunk_samples) {
    draw_chunk(plan.draws, first, work);
    for (std::size_t i = 0; i < std::min<std::uint64_t>(chunk_samples, samples - first); ++i) {
      for (std::size_t k = 0; k < y.size(); ++k) {
        y[k] = work.columns[k].row[i];
      }
      const Gaps unit = gaps(mesh, mesh.states[0], y.data());
      const double least_as_wt = unit.least * unit.least_ratio;
      const double greatest_as_wt = unit.greatest * unit.greatest_ratio;
      values[least_bt].push_back(unit.least);
      values[least_wt].push_back(least_as_wt);
      values[greatest_bt].push_back(unit.greatest);
      values[greatest_wt].push_back(greatest_as_wt);
      values[bind_bt].push_back(unit.bind);
      binds += unit.bind < 0.0 ? 1.0 : 0.0;
      below += least_as_wt < limits.least_wt || unit.least < limits.least_bt ? 1.0 : 0.0;
      above += greatest_as_wt > limits.greatest_wt ? 1.0 : 0.0;
    }
  }
  const SampledState& state = result.meshes[0].states[0];
  const auto n = static_cast<double>(samples);
  // Each of them occurs, or the counts would say little.
  CHECK(below > 0.0);
  CHECK(above > 0.0);
  CHECK(state.bind_negative.value == binds / n);
  CHECK(state.below_least.value == below / n);
  CHECK(state.above_greatest.value == above / n);
  CHECK(result.meshes[0].below_least_anywhere.value == below / n);
  CHECK_THAT(state.below_least.standard_error,
             WithinRel(std::sqrt(below / n * (1.0 - below / n) / n), sum_accuracy));

  const SampledGap* sampled_gaps[] = {&state.least_bt, &state.least_wt, &state.greatest_bt,
                                      &state.greatest_wt, &state.bind_bt};
  for (std::size_t s = 0; s < streams; ++s) {
    CAPTURE(s);
    std::vector<double>& x = values[s];
    std::sort(x.begin(), x.end());
    double sum = 0.0;
    for (const double value : x) {
      sum += value;
    }
    double squares = 0.0;
    for (const double value : x) {
      squares += (value - sum / n) * (value - sum / n);
    }
    const SampledGap& gap = *sampled_gaps[s];
    CHECK_THAT(gap.mean.value, WithinRel(sum / n, sum_accuracy));
    CHECK_THAT(gap.sigma.value, WithinRel(std::sqrt(squares / (n - 1.0)), sum_accuracy));
    for (const auto& [share, percentile] :
         {std::pair{0.00135, &gap.p_low}, std::pair{0.5, &gap.p_mid},
          std::pair{0.99865, &gap.p_high}}) {
      const double sorted = x[static_cast<std::size_t>(share * n)];
      CHECK_THAT(percentile->value, WithinAbs(sorted, bin_share * percentile->standard_error));
    }
  }
}

TEST_CASE("a linear mesh of normal draws is normal") {
  // The normal distribution in closed form, by Boost.Math; standard errors are checked by the
  // scatter of many seeds.
  const Linear linear = linear_mesh();
  const boost::math::normal exact(linear.mean, linear.sigma);
  constexpr std::uint64_t samples = 1 << 16;
  constexpr int seeds = 60;
  std::vector<double> squares(6, 0.0);
  for (int seed = 0; seed < seeds; ++seed) {
    CAPTURE(seed);
    const SampleResult result =
        run({linear.mesh}, linear.draws, samples, 1, static_cast<std::uint64_t>(seed));
    const SampledState& state = result.meshes[0].states[0];
    const Sampled found[] = {state.least_bt.mean,  state.least_bt.sigma,  state.least_bt.p_low,
                             state.least_bt.p_mid, state.least_bt.p_high, state.bind_negative};
    const double expected[] = {linear.mean,
                               linear.sigma,
                               quantile(exact, 0.00135),
                               quantile(exact, 0.5),
                               quantile(exact, 0.99865),
                               cdf(exact, 0.0)};
    for (std::size_t i = 0; i < std::size(found); ++i) {
      CAPTURE(i);
      const double out = (found[i].value - expected[i]) / found[i].standard_error;
      CHECK(std::abs(out) < standard_errors);
      squares[i] += out * out;
    }
  }
  for (std::size_t i = 0; i < squares.size(); ++i) {
    CAPTURE(i);
    // Chi-square with 60 degrees of freedom over 60: a standard deviation of 0.18.
    CHECK_THAT(squares[i] / seeds, WithinAbs(1.0, standard_errors * std::sqrt(2.0 / seeds)));
  }
}

TEST_CASE("correlated thicknesses widen or narrow the band") {
  Linear linear = linear_mesh();
  const double one = linear.mesh.kappa * 10e-6;
  const double two = linear.mesh.kappa * 8e-6;
  for (const double r : {1.0, 0.5, -1.0}) {
    CAPTURE(r);
    linear.draws.correlations = {{0, 1, r}};
    const SampleResult result = run({linear.mesh}, linear.draws, 200000);
    const Sampled sigma = result.meshes[0].states[0].least_bt.sigma;
    const double expected = std::sqrt(one * one + two * two + 2.0 * r * one * two);
    CHECK_THAT(sigma.value, WithinAbs(expected, standard_errors * sigma.standard_error));
  }
}

TEST_CASE("failing anywhere is at least as likely as failing at the worst state") {
  const examples::Example example = examples::with_materials(examples::plain_pair(), true);
  MeshModel mesh = example.mesh;
  for (const double shift : {-1.0, 1.0}) {
    mesh.states.push_back(example.state);
    mesh.states.back().carrier_least.linear.constant += shift * 1e-5;
    mesh.states.back().growth_1.terms[0].coefficient *= 1.0 + 2.0 * shift;
  }
  Limits limits;
  limits.least_bt = run({mesh}, example.draws, 10000).meshes[0].states[0].least_bt.p_low.value;
  const SampleResult result = run({mesh, mesh}, example.draws, 100000, 1, 1, limits);
  const SampledMesh& sampled_mesh = result.meshes[0];
  const double first = sampled_mesh.states[0].below_least.value;
  const double second = sampled_mesh.states[1].below_least.value;
  const double anywhere = sampled_mesh.below_least_anywhere.value;
  CHECK(first > 0.0);
  CHECK(anywhere >= std::max(first, second));
  CHECK(anywhere <= first + second);
  CHECK(result.bind_anywhere.value >= sampled_mesh.bind_anywhere.value);
}

TEST_CASE("a share without a hit has a standard error") {
  // Rule of succession: (0 + 1)/(n + 2).
  const Linear linear = linear_mesh();
  Limits limits;
  limits.least_bt = -1.0;
  const SampleResult result = run({linear.mesh}, linear.draws, 998, 1, 1, limits);
  const Sampled never = result.meshes[0].states[0].below_least;
  CHECK(never.value == 0.0);
  CHECK_THAT(never.standard_error, WithinRel(std::sqrt(1e-3 * 0.999 / 998.0), sum_accuracy));
}

TEST_CASE("percentiles are found where the pilot says nothing of them") {
  // A lump of 0.3 % of the parts far from all others, in which the upper percentile lies: seeds for
  // which the pilot has some of them, and seeds for which it has none.
  Linear linear = linear_mesh();
  linear.draws.shapes[1] = Shape::tabulated(
      {{-1.0, 1.0}, {-0.99, 1.0}, {-0.9899, 0.0}, {0.9899, 0.0}, {0.99, 0.003}, {1.0, 0.003}});
  linear.mesh.E_1 = {};
  linear.mesh.E_2 = {0.0, {{1, -50e-6}}};
  const double reach = 50e-6 * linear.mesh.kappa;
  const double middle = linear_mesh().mean - 20e-6 * linear.mesh.kappa;
  for (std::uint64_t seed = 0; seed < 40; ++seed) {
    CAPTURE(seed);
    const SampleResult result = run({linear.mesh}, linear.draws, 60000, 1, seed);
    const Sampled high = result.meshes[0].states[0].least_bt.p_high;
    CHECK_THAT(high.value, WithinAbs(middle + reach * linear.draws.shapes[1].quantile(0.99865),
                                     standard_errors * high.standard_error));
    // The whole lump is 2 % of the reach wide.
    CHECK(high.standard_error < 0.01 * reach);
  }
}

TEST_CASE("a percentile may be a value that many units have") {
  // 80 % of the parts within a millionth of the band, somewhere off its middle.
  Linear linear = linear_mesh();
  linear.draws.shapes[1] = Shape::tabulated({{-1.0, 0.1},
                                             {0.3 - 5e-7, 0.1},
                                             {0.3 - 4e-7, 8e5},
                                             {0.3 + 4e-7, 8e5},
                                             {0.3 + 5e-7, 0.1},
                                             {1.0, 0.1}});
  linear.mesh.E_1 = {};
  linear.mesh.E_2 = {0.0, {{1, -50e-6}}};
  const double middle = linear_mesh().mean - 20e-6 * linear.mesh.kappa;
  const double median = middle + 50e-6 * linear.mesh.kappa * linear.draws.shapes[1].quantile(0.5);
  const Sampled found = run({linear.mesh}, linear.draws, 300000).meshes[0].states[0].least_bt.p_mid;
  CHECK_THAT(found.value, WithinAbs(median, standard_errors * found.standard_error));
  CHECK(found.standard_error < 1e-6 * 50e-6);
}

TEST_CASE("without anything uncertain all units are the same") {
  const Linear linear = linear_mesh();
  MeshModel mesh = linear.mesh;
  mesh.E_1.terms.clear();
  mesh.E_2.terms.clear();
  const SampleResult result = run({mesh}, Draws{}, 5000);
  const SampledGap& gap = result.meshes[0].states[0].least_bt;
  CHECK_THAT(gap.mean.value, WithinAbs(linear.mean, gap_accuracy));
  CHECK_THAT(gap.sigma.value, WithinAbs(0.0, gap_accuracy));
  for (const Sampled* percentile : {&gap.p_low, &gap.p_mid, &gap.p_high}) {
    CHECK_THAT(percentile->value, WithinAbs(linear.mean, gap_accuracy));
  }
}

TEST_CASE("few samples have statistics too") {
  const Linear linear = linear_mesh();
  for (const std::uint64_t samples : {1U, 2U, 7U, 8U, 100U}) {
    CAPTURE(samples);
    const SampleResult result = run({linear.mesh}, linear.draws, samples);
    CHECK(result.samples == samples);
    for (const double figure : figures(result)) {
      CHECK(std::isfinite(figure));
    }
  }
}

TEST_CASE("progress rises to 1 and may stop the sampling") {
  const Linear linear = linear_mesh();
  SampleOptions options;
  options.samples = 500000;
  options.threads = 2;
  std::vector<double> told;
  options.progress = [&told](double share) {
    told.push_back(share);
    return true;
  };
  const std::vector<Limits> limits(1);
  CHECK(sampled({linear.mesh}, linear.draws, limits, options).samples == options.samples);
  CHECK(told.size() > 10);
  CHECK(std::is_sorted(told.begin(), told.end()));
  CHECK(told.back() <= 1.0);

  options.progress = [](double share) { return share < 0.3; };
  const SampleResult stopped = sampled({linear.mesh}, linear.draws, limits, options);
  CHECK(stopped.samples >= 150000);
  CHECK(stopped.samples < options.samples);
  // What was sampled is as if no more had been asked for.
  CHECK(figures(stopped) == figures(run({linear.mesh}, linear.draws, stopped.samples)));
}

TEST_CASE("sampling passes on what progress throws") {
  const Linear linear = linear_mesh();
  SampleOptions options;
  options.samples = 500000;
  options.threads = 2;
  options.progress = [](double /*share*/) -> bool { throw ComputationError("told"); };
  CHECK_THROWS_AS(sampled({linear.mesh}, linear.draws, {Limits{}}, options), ComputationError);
}

TEST_CASE("sampling refuses what is no study") {
  const Linear linear = linear_mesh();
  const auto refuses = [&linear](const auto& change) {
    SampleOptions options;
    options.samples = 100;
    std::vector<MeshModel> meshes{linear.mesh};
    Draws draws = linear.draws;
    std::vector<Limits> limits(1);
    change(options, meshes, draws, limits);
    CHECK_THROWS_AS(sampled(meshes, draws, limits, options), DomainError);
  };
  refuses([](auto& options, auto&, auto&, auto&) { options.samples = 0; });
  refuses([](auto& options, auto&, auto&, auto&) { options.threads = 0; });
  refuses([](auto&, auto&, auto&, auto& limits) { limits.clear(); });
  refuses([](auto&, auto& meshes, auto&, auto&) { meshes[0].wear.terms = {{2, 1.0}}; });
  refuses([](auto&, auto&, auto& draws, auto&) { draws.correlations = {{0, 1, 1.01}}; });
  refuses([](auto&, auto&, auto& draws, auto&) {
    draws.correlations = {{0, 1, std::numeric_limits<double>::quiet_NaN()}};
  });
  refuses([](auto&, auto&, auto& draws, auto&) { draws.correlations = {{0, 0, 0.5}}; });
  refuses([](auto&, auto&, auto& draws, auto&) { draws.correlations = {{0, 2, 0.5}}; });
  refuses([](auto&, auto&, auto& draws, auto&) {
    draws.correlations = {{0, 1, 0.5}, {1, 0, 0.5}};
  });
  refuses([](auto&, auto&, auto& draws, auto&) {
    draws.shapes.push_back(Shape::uniform());
    draws.correlations = {{0, 1, 0.9}, {1, 2, 0.9}, {0, 2, -0.9}};
  });
  refuses([](auto&, auto&, auto& draws, auto&) {
    draws.shapes.push_back(Shape::uniform());
    draws.correlations = {{0, 1, 1.0}, {1, 2, 0.5}, {0, 2, 0.4}};
  });
}

TEST_CASE("units whose base circles overlap have no backlash") {
  Linear linear = linear_mesh();
  linear.mesh.deviation = {-6e-3, {{0, 3e-3}}};
  CHECK_THROWS_AS(run({linear.mesh}, linear.draws, 10000), ComputationError);
}
