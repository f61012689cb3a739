#include "band/root_sum_square.hpp"

#include <cmath>

#include "band/gap_distribution.hpp"
#include "catch.hpp"
#include "mesh_examples.hpp"

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;

namespace {

constexpr double um = examples::um;

LinearSpread least_of(const examples::Example& e, GapMeasure measure = GapMeasure::j_bt) {
  return linear_spread(e.mesh, e.state, e.state.carrier_least, e.draws, together,
                       e.state.cycle_least, measure);
}

lashband::tolerance::kernel::Moments moments_of(const examples::Example& e) {
  FloatMeasures floats;
  return GapDistribution(e.mesh, e.state, e.draws, Gap::least, floats).moments();
}

}  // namespace

TEST_CASE("the root sum square adds sensitivity times sigma in squares") {
  // By hand: kappa e on each thickness (12.5 um, C_p 1), 2 sin alpha_wt on the distance (15 um).
  examples::Example e = examples::plain_pair();
  e.mesh.run_out_1 = e.mesh.run_out_2 = e.mesh.pitch_1 = e.mesh.pitch_2 = LinearForm();
  const double growth = 1.0 - 6.5e-4;
  const double a = e.mesh.L * (1.0 - 1.25e-3);
  const double B = 2.0 * e.mesh.r_b1 * growth;
  const double slope = 2.0 * std::sqrt(1.0 - (B / a) * (B / a)) * (1.0 - 1.25e-3);
  const double thickness = e.mesh.kappa * growth * 12.5 * um / 3.0;
  const double distance = slope * 15.0 * um / 3.0;
  constexpr double of_differences = 1e-8;  // relative, of the central differences
  CHECK_THAT(
      least_of(e).sigma,
      WithinRel(std::sqrt(2.0 * thickness * thickness + distance * distance), of_differences));
}

TEST_CASE("on the real gap the root sum square and the distribution differ by what is said") {
  // Without misalignment the gap is linear but for the curve of the involute: 1e-4 of sigma.
  constexpr double curve = 1e-4;
  const examples::Example plain = examples::plain_pair();
  CHECK_THAT(least_of(plain).sigma, WithinRel(moments_of(plain).sigma, curve));
  CHECK_THAT(least_of(plain).mean, WithinAbs(moments_of(plain).mean, curve * um * 10.0));

  // Signed slopes act by the size of their sum: the distribution has its mean, sqrt(2/pi) sigma_M
  // of a normal, and only (1 - 2/pi) of its variance; the root sum square has neither.
  const examples::Example tilted = examples::with_misalignment(plain, 0.0);
  const double sigma_M = std::sqrt(81.0 + 100.0 + 16.0) * um / 3.0;
  const double variance =
      std::pow(least_of(tilted).sigma, 2) - std::pow(moments_of(tilted).sigma, 2);
  constexpr double closeness = 2e-3;
  CHECK_THAT(variance, WithinRel(2.0 / std::acos(-1.0) * sigma_M * sigma_M, closeness));
  CHECK_THAT(least_of(tilted).mean - moments_of(tilted).mean,
             WithinRel(std::sqrt(2.0 / std::acos(-1.0)) * sigma_M, closeness));
}

TEST_CASE("correlation adds to the root sum square and takes from it") {
  examples::Example e = examples::plain_pair();
  e.mesh.deviation = e.mesh.run_out_1 = e.mesh.run_out_2 = e.mesh.pitch_1 = e.mesh.pitch_2 =
      LinearForm();
  const double one = std::abs(least_of(e).parts[0]);
  constexpr double of_differences = 1e-8;
  e.draws.correlations = {{0, 1, 1.0}};
  CHECK_THAT(least_of(e).sigma, WithinRel(2.0 * one, of_differences));
  e.draws.correlations = {{0, 1, -1.0}};
  CHECK_THAT(least_of(e).sigma / one, WithinAbs(0.0, 1e-4));
}

TEST_CASE("the measures of a gap scale as they should") {
  const examples::Example e = examples::plain_pair();
  constexpr double of_ratio = 1e-3;  // j_wt = j_bt a/B, a/B varies by 1e-3 over the tolerances
  const double a_over_B = e.mesh.L * (1.0 - 1.25e-3) / (2.0 * e.mesh.r_b1 * (1.0 - 6.5e-4));
  CHECK_THAT(least_of(e, GapMeasure::j_wt).sigma,
             WithinRel(a_over_B * least_of(e).sigma, of_ratio));
  CHECK_THAT(least_of(e, GapMeasure::phi_1).sigma,
             WithinRel(least_of(e).sigma / (e.mesh.r_b1 * (1.0 - 6.5e-4)), 1e-9));
}
