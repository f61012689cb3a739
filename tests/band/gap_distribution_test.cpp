// The distribution of the three gaps against sampling with the exact model, and what it must be for
// physical reasons.
#include "band/gap_distribution.hpp"

#include <cmath>
#include <limits>

#include "band/monte_carlo.hpp"
#include "band/worst_case.hpp"
#include "catch.hpp"
#include "lashband/error.hpp"
#include "mesh_examples.hpp"

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;

namespace {

constexpr double um = examples::um;
// Numbers that chance moves by more than this many standard errors come once in 150 000.
constexpr double standard_errors = 4.5;

struct Distributions {
  FloatMeasures floats;
  GapDistribution least, greatest, bind;
  explicit Distributions(const examples::Example& e)
      : least(e.mesh, e.state, e.draws, Gap::least, floats),
        greatest(e.mesh, e.state, e.draws, Gap::greatest, floats),
        bind(e.mesh, e.state, e.draws, Gap::bind, floats) {}
};

void check(const Sampled& sampled, double exact) {
  INFO("sampled " << sampled.value << " +- " << sampled.standard_error << ", exact " << exact);
  CHECK(std::abs(sampled.value - exact) <= standard_errors * sampled.standard_error);
}

void check_gap(const SampledGap& sampled, const GapDistribution& exact, GapMeasure measure) {
  check(sampled.p_low, exact.quantile(measure, 0.00135));
  check(sampled.p_mid, exact.quantile(measure, 0.5));
  check(sampled.p_high, exact.quantile(measure, 0.99865));
  check(sampled.mean, exact.moments(measure).mean);
  check(sampled.sigma, exact.moments(measure).sigma);
}

void compare(const examples::Example& e, std::uint64_t samples, std::uint64_t seed) {
  INFO(e.name << ", seed " << seed);
  MeshModel mesh = e.mesh;
  mesh.states = {e.state};
  const Distributions exact(e);
  Limits limits;
  limits.least_wt = exact.least.quantile(GapMeasure::j_wt, 0.01);
  limits.greatest_wt = exact.greatest.quantile(GapMeasure::j_wt, 0.98);
  const SampleResult result = sampled({mesh}, e.draws, {limits}, {seed, samples, 2, nullptr});
  const SampledState& state = result.meshes.at(0).states.at(0);
  check_gap(state.least_bt, exact.least, GapMeasure::j_bt);
  check_gap(state.least_wt, exact.least, GapMeasure::j_wt);
  check_gap(state.greatest_bt, exact.greatest, GapMeasure::j_bt);
  check_gap(state.greatest_wt, exact.greatest, GapMeasure::j_wt);
  check_gap(state.bind_bt, exact.bind, GapMeasure::j_bt);
  check(state.bind_negative, exact.bind.below(GapMeasure::j_bt, 0.0));
  check(state.below_least, 0.01);
  check(state.above_greatest, 0.02);
}

}  // namespace

TEST_CASE("every percentile and probability is that of a million sampled units") {
  for (const examples::Example& e : examples::all()) {
    compare(e, std::uint64_t{1} << 20U, 1);
  }
}

TEST_CASE("every percentile and probability is that of 2^26 sampled units, three seeds", "[slow]") {
  // One of each kind; the rest are compared with a million units above.
  const std::vector<examples::Example> one_of_each{
      examples::plain_pair(),
      examples::plain_pair(Shape::triangular(0.3)),
      examples::with_misalignment(examples::plain_pair(Shape::uniform()), 3.0 * um,
                                  Shape::uniform()),
      examples::with_materials(examples::with_misalignment(examples::plain_pair(), 2.0 * um),
                               false),
      examples::with_bearings(examples::plain_pair()),
      examples::with_drawn_phase(examples::plain_pair())};
  for (const examples::Example& e : one_of_each) {
    for (const std::uint64_t seed : {11U, 12U, 13U}) {
      compare(e, std::uint64_t{1} << 26U, seed);
    }
  }
}

TEST_CASE("with float taken up a bind is not a tight tooth") {
  // Tight teeth push the shafts through their float before they bind.
  const examples::Example e = examples::with_bearings(examples::plain_pair());
  examples::Example tight = e;
  tight.mesh.E_1.constant += 26.0 * um;
  tight.mesh.E_2.constant += 26.0 * um;
  const Distributions exact(tight);
  const double tight_teeth = exact.least.below(GapMeasure::j_bt, 0.0);
  const double binds = exact.bind.below(GapMeasure::j_bt, 0.0);
  CHECK(tight_teeth > 0.75);
  CHECK(binds < 0.15);
  // Without bearings both are the same question.
  examples::Example rigid = examples::plain_pair();
  rigid.mesh.E_1.constant += 26.0 * um;
  rigid.mesh.E_2.constant += 26.0 * um;
  const Distributions alike(rigid);
  CHECK_THAT(alike.bind.below(GapMeasure::j_bt, 0.0),
             WithinRel(alike.least.below(GapMeasure::j_bt, 0.0), 1e-8));
}

TEST_CASE("equal materials at equal temperature cancel their uncertainty in angular backlash") {
  examples::Example e = examples::plain_pair();
  for (LinearForm* form : {&e.mesh.E_1, &e.mesh.E_2, &e.mesh.deviation, &e.mesh.run_out_1,
                           &e.mesh.run_out_2, &e.mesh.pitch_1, &e.mesh.pitch_2}) {
    form->terms.clear();
  }
  e.mesh.run_out_1.constant = e.mesh.run_out_2.constant = 0.0;
  e.mesh.pitch_1.constant = e.mesh.pitch_2.constant = 0.0;
  const std::size_t steel = e.add(Shape::normal(), true);
  const LinearForm elongation{-6.9e-4, {{steel, 0.05 * 6.9e-4}}};
  e.state.growth_1 = e.state.growth_2 = elongation;
  e.state.carrier_least.linear = e.state.carrier_greatest.linear = elongation;
  FloatMeasures floats;
  const GapDistribution gap(e.mesh, e.state, e.draws, Gap::least, floats);
  const auto spread = [&gap](GapMeasure measure) {
    return gap.quantile(measure, 0.99865) - gap.quantile(measure, 0.00135);
  };
  const double j = gap.quantile(GapMeasure::j_bt, 0.5);
  constexpr double rounding = 1e-11;  // relative, of a gap that is a difference of lengths
  CHECK(spread(GapMeasure::phi_1) < rounding * j / e.mesh.r_b1);
  // The backlash itself grows with the train.
  CHECK_THAT(spread(GapMeasure::j_bt), WithinRel(j * 2.0 * 0.05 * 6.9e-4, 1e-3));
}

TEST_CASE("nothing lies beyond a bounded support and something lies within") {
  const examples::Example e = examples::plain_pair(Shape::uniform());
  const Distributions exact(e);
  const double low =
      corner(e.mesh, e.state, e.state.carrier_least, e.draws, together, End::low).gap.j_bt;
  const double high =
      corner(e.mesh, e.state, e.state.carrier_greatest, e.draws, apart, End::high).gap.j_bt;
  constexpr double a_nanometre = 1e-9;
  CHECK(exact.least.below(GapMeasure::j_bt, low - a_nanometre) == 0.0);
  CHECK(exact.least.below(GapMeasure::j_bt, low + um) > 0.0);
  CHECK(exact.greatest.above(GapMeasure::j_bt, high + a_nanometre) == 0.0);
  CHECK(exact.greatest.above(GapMeasure::j_bt, high - um) > 0.0);
}

TEST_CASE("a phase of half a turn lets equal run-outs cancel, none adds them up") {
  examples::Example e = examples::plain_pair();
  e.mesh.run_out_2 = e.mesh.run_out_1;
  e.mesh.run_out_1.terms.clear();
  e.mesh.run_out_2.terms.clear();
  const auto median = [](const examples::Example& of) {
    FloatMeasures floats;
    return GapDistribution(of.mesh, of.state, of.draws, Gap::least, floats)
        .quantile(GapMeasure::j_bt, 0.5);
  };
  examples::Example none = e;
  none.mesh.run_out_1.constant = none.mesh.run_out_2.constant = 0.0;
  constexpr double rounding = 1e-13;  // m
  const double pi = std::acos(-1.0);
  CHECK_THAT(median(examples::with_given_phase(e, pi)), WithinAbs(median(none), rounding));
  CHECK_THAT(median(examples::with_given_phase(e, 0.0)), WithinAbs(median(e), rounding));
}

TEST_CASE("more elongations than quadrature can take are refused with a way out") {
  examples::Example e = examples::plain_pair();
  for (int i = 0; i < 12; ++i) {
    e.state.carrier_least.linear.terms.push_back({e.add(Shape::normal(), true), 5e-5});
  }
  FloatMeasures floats;
  CHECK_THROWS_AS(GapDistribution(e.mesh, e.state, e.draws, Gap::least, floats),
                  lashband::ComputationError);
}

TEST_CASE("nothing that varies gives one value") {
  examples::Example e = examples::plain_pair();
  e.draws = {};
  for (LinearForm* form : {&e.mesh.E_1, &e.mesh.E_2, &e.mesh.deviation, &e.mesh.run_out_1,
                           &e.mesh.run_out_2, &e.mesh.pitch_1, &e.mesh.pitch_2}) {
    form->terms.clear();
  }
  FloatMeasures floats;
  const GapDistribution gap(e.mesh, e.state, e.draws, Gap::least, floats);
  CHECK_FALSE(gap.varies());
  const double value = gaps(e.mesh, e.state, nullptr).least;
  constexpr double rounding = 1e-16;
  CHECK_THAT(gap.quantile(GapMeasure::j_bt, 0.00135), WithinAbs(value, rounding));
  CHECK(gap.below(GapMeasure::j_bt, value - um) == 0.0);
  CHECK(gap.below(GapMeasure::j_bt, value + um) == 1.0);
}
