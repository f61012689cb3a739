#include "lashband/geometry/backlash.hpp"

#include <cmath>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/geometry/centre_distance.hpp"
#include "lashband/geometry/contact.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "random_pairs.hpp"

using namespace lashband;
using namespace lashband::geometry;
using namespace lashband::geometry::test;

namespace {

// A gap is a difference of lengths of the order of the pitch, each rounded to 1e-16 of itself.
constexpr double gap_rounding = 1e-13;    // m
constexpr double ratio_rounding = 1e-12;  // relative to the value compared

ToothedBody wheel(int z, double x, double E_sn_in_mm = -0.075) {
  return ToothedBody(teeth(z, 2.5, 20.0, 15.0, x, E_sn_in_mm));
}

GearPair pair_at(double a_in_mm) {
  return {wheel(31, 0.08), wheel(41, 0.1), mm(a_in_mm)};
}

units::Length j_bt(const GearPair& pair) {
  return same_tooth_gap(pair);
}

}  // namespace

TEST_CASE("a pair that is one piece with its carrier keeps every angle and scales every length") {
  // Common practice, no source: a steel carrier holds a steel train's clearance constant. Exact by
  // similarity: angular backlash, working pressure angle and contact ratio stay, lengths grow with
  // 1 + strain.
  for (const double strain : {-1.2e-3, 6.9e-4, 2.5e-3}) {
    const GearPair cold = pair_at(93.7);
    const GearPair hot(cold.gear_1().grown(strain), cold.gear_2().grown(strain),
                       cold.centre_distance() * (1.0 + strain));
    const Backlash before = backlash(cold, j_bt(cold));
    const Backlash after = backlash(hot, j_bt(hot));
    CAPTURE(strain);
    CHECK_THAT(hot.working_pressure_tangent(),
               WithinRel(cold.working_pressure_tangent(), ratio_rounding));
    CHECK_THAT(contact_ratio(hot).eps_alpha,
               WithinRel(contact_ratio(cold).eps_alpha, ratio_rounding));
    CHECK_THAT(contact_ratio(hot).eps_beta,
               WithinRel(contact_ratio(cold).eps_beta, ratio_rounding));
    CHECK_THAT(after.phi_1.value(), WithinAbs(before.phi_1.value(), gap_rounding / 0.04));
    CHECK_THAT(after.phi_2.value(), WithinAbs(before.phi_2.value(), gap_rounding / 0.05));
    for (const auto& [one, other] :
         {std::pair{after.j_bt, before.j_bt}, std::pair{after.j_wt, before.j_wt},
          std::pair{after.j_bn, before.j_bn}, std::pair{*after.j_r, *before.j_r}}) {
      CHECK_THAT(one.value(), WithinAbs(other.value() * (1.0 + strain), gap_rounding));
    }
  }
}

TEST_CASE("the pitch point divides the contact ratio between the tips") {
  for (const double a : {92.4, 93.618, 95.0}) {
    CAPTURE(a);
    const ContactRatio of_pair = contact_ratio(pair_at(a));
    CHECK_THAT(of_pair.eps_1 + of_pair.eps_2, WithinRel(of_pair.eps_alpha, ratio_rounding));
    // Each tip circle ends its own part: where it cuts the line of action, found by its equation.
    // On the line of action at a distance x beyond the pitch point (at the pitch radius r_w on the
    // line of centres) r^2 = r_w^2 + x^2 + 2 r_w x sin alpha_wt.
    const GearPair pair = pair_at(a);
    const double sin_alpha_wt = std::sin(pair.working_pressure_angle().value());
    const auto part = [&](const ToothedBody& gear) {
      const double r_w = pair.centre_distance().value() * gear.teeth() / (31.0 + 41.0);
      const double r_a = 0.5 * gear.tip_diameter().value();
      double low = 0.0;
      double high = 0.02;
      while (high - low > 1e-15) {
        const double x = 0.5 * (low + high);
        (r_w * r_w + x * x + 2.0 * r_w * x * sin_alpha_wt < r_a * r_a ? low : high) = x;
      }
      return low / gear.base_pitch().value();
    };
    constexpr double bisected = 1e-11;
    CHECK_THAT(of_pair.eps_1, WithinAbs(part(pair.gear_1()), bisected));
    CHECK_THAT(of_pair.eps_2, WithinAbs(part(pair.gear_2()), bisected));
  }
}

TEST_CASE("the rates with centre distance are those of the functions themselves") {
  // Against central differences; the error of a difference over 2 h is h^2 times the third
  // derivative (about 100 per m^2 here) plus rounding over h.
  constexpr double step_in_mm = 1e-3;
  constexpr double difference_error = 1e-7;
  for (const double a : {92.2, 93.0, 93.618, 95.0}) {
    const GearPair at = pair_at(a);
    const GearPair less = pair_at(a - step_in_mm);
    const GearPair more = pair_at(a + step_in_mm);
    const double width = 2e-3 * step_in_mm;
    CAPTURE(a);
    CHECK_THAT(gap_rate_with_centre_distance(at),
               WithinAbs((j_bt(more) - j_bt(less)).value() / width, difference_error));
    const auto j_wt = [](const GearPair& pair) { return backlash(pair, j_bt(pair)).j_wt; };
    CHECK_THAT(circumferential_rate_with_centre_distance(at, j_wt(at)),
               WithinAbs((j_wt(more) - j_wt(less)).value() / width, difference_error));
  }
}

TEST_CASE("radial play is where the gap closes") {
  // Moving the axes together by exactly j_r leaves no gap, whatever its size.
  for (const double a : {93.0, 93.618, 94.5, 98.0}) {
    const GearPair pair = pair_at(a);
    const Backlash gap = backlash(pair, j_bt(pair));
    REQUIRE(gap.j_r.has_value());
    const GearPair closed(pair.gear_1(), pair.gear_2(), pair.centre_distance() - *gap.j_r);
    CAPTURE(a);
    CHECK_THAT(j_bt(closed).value(), WithinAbs(0.0, gap_rounding));
  }
}

TEST_CASE("the first order of radial play is the standard's") {
  // ISO 21771: j_r = j_wt / (2 tan alpha_wt). The pressure angle falls as the axes approach, so the
  // exact way is longer, in second order of the gap.
  const GearPair pair = pair_at(93.65);
  const Backlash gap = backlash(pair, j_bt(pair));
  const double ratio = gap.j_r_iso / *gap.j_r;
  CHECK(ratio < 1.0);
  CHECK(ratio > 1.0 - gap.j_wt / pair.centre_distance() * 20.0);
}

TEST_CASE("measures of one gap convert by the standard's relations") {
  // ISO 21771 relations, from memory: j_bn = j_wt cos alpha_wt cos beta_b, here with the base helix
  // angle by another of its relations, sin beta_b = sin beta cos alpha_n. Identity of our own on
  // the helical example z 12/60, m_n 3, beta 30 deg, j_bn = 0.100 mm, where j_wt is 0.123169 mm.
  constexpr double digits = 5e-7;  // mm, six decimals
  const ToothedBody g1(teeth(12, 3, 20, 30, 0.09809));
  const ToothedBody g2(teeth(60, 3, 20, 30, 0.0));
  const GearPair pair(g1, g2, zero_backlash_centre_distance(g1, g2));
  const double sin_beta_b = std::sin(30.0 * degree) * std::cos(20.0 * degree);
  const double cos_beta_b = std::sqrt(1.0 - sin_beta_b * sin_beta_b);
  const Backlash gap = backlash(pair, mm(0.100 / cos_beta_b));
  CHECK_THAT(1e3 * gap.j_bn.value(), WithinAbs(0.100, digits));
  CHECK_THAT(1e3 * gap.j_wt.value(), WithinAbs(0.123169, digits));
  const double alpha_wt = pair.working_pressure_angle().value();
  CHECK_THAT(1e3 * gap.j_r_iso.value(),
             WithinAbs(0.100 / (2.0 * std::sin(alpha_wt) * cos_beta_b), digits));
  // phi_1 z_1 = phi_2 z_2: the same arc on both working pitch circles.
  CHECK_THAT(gap.phi_1.value() * 12.0, WithinRel(gap.phi_2.value() * 60.0, ratio_rounding));
}

TEST_CASE("steel gears in an aluminium housing") {
  // Identity of our own (no published example with numbers was found): spur m 3, z 24/72, a 144,
  // 0.1 mm at 20 degC, gears 11.5e-6, housing 23e-6 1/K: 0.1727039 mm at +60 K, 0.0277726 at -60 K.
  constexpr double digits = 5e-8;  // mm, seven decimals
  const ToothedBody plain1(teeth(24, 3, 20, 0, 0.0));
  const ToothedBody plain2(teeth(72, 3, 20, 0, 0.0));
  // The whole 0.1 mm (at the reference circle, which is the working one here) as thinner teeth.
  const ToothedBody g1 = plain1.with_thickness_allowance(mm(-0.05));
  const ToothedBody g2 = plain2.with_thickness_allowance(mm(-0.05));
  const auto j_wt = [&](double kelvin) {
    const double gears = 11.5e-6 * kelvin;
    const double housing = 23.0e-6 * kelvin;
    const GearPair pair(g1.grown(gears), g2.grown(gears), mm(144.0 * (1.0 + housing)));
    return 1e3 * backlash(pair, j_bt(pair)).j_wt.value();
  };
  CHECK_THAT(j_wt(0.0), WithinAbs(0.1, digits));
  CHECK_THAT(j_wt(60.0), WithinAbs(0.1727039, digits));
  CHECK_THAT(j_wt(-60.0), WithinAbs(0.0277726, digits));
}

TEST_CASE("a gap too large for radial play has none") {
  const ToothedBody thin = wheel(41, 0.1, -2.4);
  const GearPair pair(thin, thin, mm(106.6));
  const Backlash gap = backlash(pair, j_bt(pair));
  CHECK(gap.j_bt.value() > 0.0);
  CHECK_FALSE(gap.j_r.has_value());
}

TEST_CASE("a negative gap is reported with its size") {
  const GearPair pair = pair_at(92.5);
  const Backlash gap = backlash(pair, j_bt(pair));
  CHECK(gap.j_bt.value() < -0.0005);
  CHECK(gap.j_wt.value() < gap.j_bt.value());
  CHECK(gap.phi_1.value() < 0.0);
  REQUIRE(gap.j_r.has_value());
  CHECK(gap.j_r->value() < 0.0);
}

TEST_CASE("base circles that overlap are an error with both numbers") {
  CHECK_THROWS_MATCHES(GearPair(wheel(41, 0.0), wheel(41, 0.0), mm(98.0)), ComputationError,
                       Predicate<ComputationError>([](const ComputationError& error) {
                         const std::string text = error.what();
                         return text.find("base circles overlap") != std::string::npos &&
                                text.find("98 mm") != std::string::npos;
                       }));
  CHECK_THROWS_AS(GearPair(wheel(41, 0.0), wheel(41, 0.0), mm(std::nan(""))), ComputationError);
}
