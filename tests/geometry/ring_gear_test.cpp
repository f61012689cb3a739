// Ring gears: published values, and the gap against brute force with point sets (ring_overlap.hpp).

#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/geometry/backlash.hpp"
#include "lashband/geometry/centre_distance.hpp"
#include "lashband/geometry/contact.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "random_pairs.hpp"
#include "ring_overlap.hpp"

using namespace lashband;
using namespace lashband::geometry;
using namespace lashband::geometry::test;
using flank_overlap::DrawnGear;
using flank_overlap::Extremes;
using flank_overlap::RingPair;

namespace {

constexpr double um = 1e-6;
// The brute force reads its flanks from a table: chord against arc under 1e-9 of the radius.
constexpr double sampling_tolerance = 0.02 * um;

ToothData ring_teeth(int z, double m_n, double alpha_n, double beta, double x, double E_sn = 0.0) {
  ToothData data = teeth(z, m_n, alpha_n, beta, x, E_sn);
  data.internal = true;
  return data;
}

DrawnGear drawn(const ToothData& data, double growth) {
  const ToothedBody body(data);
  return {.teeth = data.teeth,
          .module = data.module.value(),
          .pressure_angle = data.pressure_angle.value(),
          .helix_angle = data.helix_angle.value(),
          .profile_shift = data.profile_shift,
          .thickness_allowance = data.thickness_allowance.value(),
          .tip_diameter = body.tip_diameter().value(),
          .growth = growth};
}

}  // namespace

// Kohara Gear Industry, Gear Technical Reference, and Stock Drive Products, Elements of Metric Gear
// Technology: internal gear table, from memory. There the ring's shift is +0.5, with the opposite
// sign of ISO 21771: its teeth are thinner.
TEST_CASE("the internal pair of the handbooks: 16 teeth in 24, module 3 mm, ring shifted by half") {
  const ToothedBody gear(teeth(16, 3.0, 20.0, 0.0, 0.0));
  const ToothedBody ring(ring_teeth(24, 3.0, 20.0, 0.0, -0.5));
  const units::Length a = zero_backlash_centre_distance(gear, ring);
  const GearPair pair(gear, ring, a);
  // Digits as printed: 0.060401, 31.0937 deg, 13.1683 mm; y = 0.389426 was made with a rounded
  // angle and is good to 4e-6.
  const double alpha_wt = pair.working_pressure_angle().value();
  CHECK_THAT(std::tan(alpha_wt) - alpha_wt, WithinAbs(0.060401, 0.5e-6));
  CHECK_THAT(alpha_wt / degree, WithinAbs(31.0937, 1e-4));
  CHECK_THAT(1e3 * a.value(), WithinAbs(13.1683, 0.5e-4));
  const double y = ((a - reference_centre_distance(gear, ring)) / mm(3.0)).value();
  CHECK_THAT(y, WithinAbs(0.389426, 4e-6));
  CHECK_THAT(same_tooth_gap(pair).value(), WithinAbs(0.0, 1e-16));
  CHECK_THAT(profile_shift_sum(gear, ring, a), WithinAbs(-0.5, 1e-13));
}

TEST_CASE("a ring gear has its tips inside and its roots outside") {
  const ToothedBody ring(ring_teeth(60, 2.0, 20.0, 0.0, 0.1, -0.05));
  CHECK(ring.internal());
  // d_a = d - 2 m (1 + x), d_f = d - 2 m (x_E - 1.25), x_E = x + E_sn/(2 m tan alpha)
  CHECK_THAT(1e3 * ring.tip_diameter().value(), WithinAbs(120.0 - 4.0 * 1.1, 1e-12));
  const double x_E = 0.1 - 0.05 / (4.0 * std::tan(20.0 * degree));
  CHECK_THAT(1e3 * ring.root_diameter().value(), WithinAbs(120.0 + 4.0 * (1.25 - x_E), 1e-11));
  CHECK_THROWS_AS(ring.undercut_limit(), DomainError);
  CHECK_THROWS_AS(ring.root_form_curvature(), DomainError);
  ToothData too_wide = ring_teeth(60, 2.0, 20.0, 0.0, 0.0);
  too_wide.tip_diameter = mm(126.0);
  CHECK_THROWS_AS(ToothedBody(too_wide), DomainError);
  ToothData below_base = ring_teeth(24, 3.0, 20.0, 0.0, 0.5);
  CHECK_THROWS_AS(ToothedBody(below_base), DomainError);
}

TEST_CASE("what cannot be a pair with a ring gear is refused") {
  const ToothedBody gear(teeth(20, 2.0, 20.0, 0.0, 0.0));
  const ToothedBody ring(ring_teeth(60, 2.0, 20.0, 0.0, 0.0));
  CHECK_THROWS_AS(GearPair(ring, gear, mm(40.0)), DomainError);
  CHECK_THROWS_AS(GearPair(ToothedBody(teeth(60, 2.0, 20.0, 0.0, 0.0)), ring, mm(40.0)),
                  DomainError);
  // r_b2 - r_b1 = 40 cos 20 deg = 37.588 mm
  CHECK_THROWS_AS(GearPair(gear, ring, mm(37.58)), ComputationError);
  CHECK_NOTHROW(GearPair(gear, ring, mm(37.60)));
}

TEST_CASE("the gap in a ring gear is that of flanks turned until they touch") {
  Draw draw(8);
  int compared = 0;
  for (int i = 0; i < 40; ++i) {
    const int z_1 = draw.whole(20, 48);
    const int z_2 = z_1 + draw.whole(16, 60);
    const double m = draw.between(1.0, 4.0);
    const double x_1 = draw.between(-0.1, 0.4);
    const ToothData gear = teeth(z_1, m, 20.0, 0.0, x_1, draw.between(-0.03, 0.0) * m);
    const ToothData ring = ring_teeth(z_2, m, 20.0, 0.0, -x_1 - draw.between(-0.02, 0.15),
                                      draw.between(-0.03, 0.0) * m);
    const bool alike = i % 3 == 0;
    const double growth_1 = draw.between(-2e-3, 2e-3);
    const double growth_2 = alike ? growth_1 : draw.between(-2e-3, 2e-3);
    const ToothedBody body_1 = ToothedBody(gear).grown(growth_1);
    const ToothedBody body_2 = ToothedBody(ring).grown(growth_2);
    const units::Length a =
        zero_backlash_centre_distance(body_1, body_2) - mm(draw.between(0.0, 0.05) * m);
    const GearPair pair(body_1, body_2, a);
    // Where the ring's tips reach below the base circle of the gear, a finding of its own, the
    // point set's flank ends in a cusp that no cutter makes.
    if (contact_ratio(pair).eps_alpha < 1.05 || interference_margin_1(pair) < mm(-0.3 * m)) {
      continue;
    }
    ++compared;
    const Extremes found = flank_overlap::gap_over_cycle(
        RingPair(drawn(gear, growth_1), drawn(ring, growth_2), a.value()), 180);
    const CycleGap cycle = cycle_gap(pair);
    CAPTURE(i, z_1, z_2, m, growth_1, growth_2, same_tooth_gap(pair).value());
    CHECK(cycle.resolved);
    CHECK(*tip_fouling_margin(pair) > mm(0.0));
    CHECK_THAT(cycle.least.value(), WithinAbs(found.least, sampling_tolerance));
    CHECK_THAT(cycle.greatest.value(), WithinAbs(found.greatest, sampling_tolerance));
  }
  CHECK(compared > 20);
}

TEST_CASE("tips foul those of a ring gear with few more teeth, as point sets do") {
  int fouled = 0;
  int clear = 0;
  for (const int z_1 : {48, 70}) {
    for (int more = 4; more <= 16; ++more) {
      const ToothData gear = teeth(z_1, 2.0, 20.0, 0.0, 0.0, -0.05);
      const ToothData ring = ring_teeth(z_1 + more, 2.0, 20.0, 0.0, -0.05, -0.05);
      const ToothedBody body_1(gear);
      const ToothedBody body_2(ring);
      const units::Length a = zero_backlash_centre_distance(body_1, body_2) - mm(0.05);
      const GearPair pair(body_1, body_2, a);
      const Extremes found = flank_overlap::gap_over_cycle(
          RingPair(drawn(gear, 0.0), drawn(ring, 0.0), a.value(), z_1 / 3), 60);
      // With equal pitches nothing but fouling makes the gap less than that of one tooth.
      const bool by_points = found.least < same_tooth_gap(pair).value() - sampling_tolerance;
      const double margin = tip_fouling_margin(pair)->value();
      CAPTURE(z_1, more, margin, found.least, same_tooth_gap(pair).value());
      CHECK(std::abs(margin) > sampling_tolerance);  // so that the answer is sure
      CHECK((margin < 0.0) == by_points);
      ++(margin < 0.0 ? fouled : clear);
    }
  }
  CHECK(fouled > 4);
  CHECK(clear > 4);
}

TEST_CASE("the measures of a gap in a ring gear") {
  const ToothedBody gear(teeth(20, 2.0, 20.0, 15.0, 0.1, -0.04));
  const ToothedBody ring(ring_teeth(63, 2.0, 20.0, 15.0, -0.2, -0.06));
  const units::Length a = zero_backlash_centre_distance(gear, ring) - mm(0.08);
  const GearPair pair(gear, ring, a);
  const units::Length gap = same_tooth_gap(pair);
  CHECK(gap > mm(0.0));
  const Backlash measures = backlash(pair, gap);
  // The axes can part by what they are closer than without backlash, to round-off.
  CHECK_THAT(measures.j_r->value(), WithinAbs(0.08e-3, 1e-15));
  // phi_1 r_b1 = phi_2 r_b2 = j_bt
  CHECK_THAT((measures.phi_1 * gear.base_diameter()).value(),
             WithinRel((measures.phi_2 * ring.base_diameter()).value(), 1e-14));
  // Rates against differences of the gap itself; the step's own error is 1e-7.
  const units::Length step = mm(1e-3);
  const GearPair wider(gear, ring, a + step);
  const GearPair closer(gear, ring, a - step);
  const double slope = ((same_tooth_gap(wider) - same_tooth_gap(closer)) / (2.0 * step)).value();
  CHECK_THAT(gap_rate_with_centre_distance(pair), WithinRel(slope, 1e-7));
  const double circumferential = ((backlash(wider, same_tooth_gap(wider)).j_wt -
                                   backlash(closer, same_tooth_gap(closer)).j_wt) /
                                  (2.0 * step))
                                     .value();
  CHECK_THAT(circumferential_rate_with_centre_distance(pair, measures.j_wt),
             WithinRel(circumferential, 1e-7));
}

TEST_CASE("contact and clearances in a ring gear, by plain geometry in the plane") {
  const ToothedBody gear(teeth(22, 3.0, 20.0, 0.0, 0.2));
  const ToothedBody ring(ring_teeth(70, 3.0, 20.0, 0.0, -0.1));
  const units::Length a = mm(71.8);
  const GearPair pair(gear, ring, a);
  // The ring at the origin, the gear at (a, 0): the line of action touches both base circles.
  const double r_b1 = 0.5 * gear.base_diameter().value();
  const double r_b2 = 0.5 * ring.base_diameter().value();
  const double alpha = std::acos((r_b2 - r_b1) / a.value());
  // From the gear's tangent point outward along the line to where the circle of radius r about
  // either axis is met, by bisection.
  const auto along = [&](double radius, bool about_ring) {
    const double t_x = a.value() + r_b1 * std::cos(alpha);
    const double t_y = r_b1 * std::sin(alpha);
    double low = 0.0;
    double high = 0.2;
    for (int i = 0; i < 100; ++i) {
      const double s = 0.5 * (low + high);
      const double x = t_x + s * std::sin(alpha) - (about_ring ? 0.0 : a.value());
      const double y = t_y - s * std::cos(alpha);
      (std::hypot(x, y) < radius ? low : high) = s;
    }
    return low;
  };
  const double end = along(0.5 * gear.tip_diameter().value(), false);
  const double start = along(0.5 * ring.tip_diameter().value(), true);
  const double p_b = 2.0 * std::numbers::pi * r_b1 / 22.0;
  const ContactRatio ratio = contact_ratio(pair);
  CHECK_THAT(ratio.eps_alpha, WithinRel((end - start) / p_b, 1e-12));
  CHECK_THAT(ratio.eps_1 + ratio.eps_2, WithinRel(ratio.eps_alpha, 1e-12));
  const double pitch_point = r_b1 * std::tan(alpha);
  CHECK_THAT(ratio.eps_1, WithinRel((end - pitch_point) / p_b, 1e-12));
  CHECK_THAT(
      tip_clearance_1(pair).value(),
      WithinAbs(0.5 * (ring.root_diameter() - gear.tip_diameter()).value() - a.value(), 1e-15));
  CHECK_THAT(
      tip_clearance_2(pair).value(),
      WithinAbs(0.5 * (ring.tip_diameter() - gear.root_diameter()).value() - a.value(), 1e-15));
}
