#include "lashband/geometry/mesh_cycle.hpp"

#include "catch.hpp"
#include "lashband/geometry/centre_distance.hpp"
#include "lashband/geometry/contact.hpp"
#include "random_pairs.hpp"

// The independent check of the cycle, by flanks as point sets, is flank_overlap_test.cpp.
using namespace lashband;
using namespace lashband::geometry;
using namespace lashband::geometry::test;

namespace {

constexpr double gap_rounding = 1e-13;  // m

ToothedBody gear(int z, double beta = 0.0, double x = 0.0) {
  return ToothedBody(teeth(z, 2.5, 20.0, beta, x, -0.075));
}

}  // namespace

TEST_CASE("gears of one temperature have the same gap all over the cycle") {
  const GearPair pair(gear(41), gear(30), mm(88.8));
  const CycleGap cycle = cycle_gap(pair);
  CHECK(cycle.resolved);
  CHECK(cycle.least == cycle.greatest);
  CHECK(cycle.least == same_tooth_gap(pair));
}

TEST_CASE("with a base-pitch mismatch the gap takes two levels a mismatch apart") {
  const GearPair pair(gear(41).grown(11.5e-6 * 60.0), gear(41), mm(102.55));
  const CycleGap cycle = cycle_gap(pair);
  const double mismatch = std::abs(pair.base_pitch_mismatch().value());
  CHECK(cycle.resolved);
  CHECK(mismatch > 5e-6);
  CHECK_THAT((cycle.greatest - cycle.least).value(), WithinAbs(mismatch, gap_rounding));
  // The formula with the smaller pitch is the greatest, not the least.
  const double with_smaller =
      same_tooth_gap(pair).value() - std::max(0.0, pair.base_pitch_mismatch().value());
  CHECK_THAT(cycle.greatest.value(), WithinAbs(with_smaller, gap_rounding));
}

TEST_CASE("which gear is held matters only while tip corners pass, and by less than the mismatch") {
  // The gap is measured by turning gear 2 with gear 1 held. Turning gear 1 instead gives the same
  // two levels; where the corner contacts of drive and coast flanks overlap it differs a little.
  Draw draw(31);
  int compared = 0;
  int equal = 0;
  for (int i = 0; i < 200; ++i) {
    const ToothedBody g1 =
        gear(draw.whole(14, 80), 0.0, draw.between(-0.2, 0.6)).grown(draw.between(-1e-3, 1e-3));
    const ToothedBody g2 =
        gear(draw.whole(14, 80), 0.0, draw.between(-0.2, 0.6)).grown(draw.between(-1e-3, 1e-3));
    const units::Length a = zero_backlash_centre_distance(g1, g2) + mm(draw.between(0.0, 0.4));
    const GearPair one(g1, g2, a);
    const GearPair other(g2, g1, a);
    if (contact_ratio(one).eps_alpha < 1.05) {
      continue;
    }
    ++compared;
    const double mismatch = std::abs(one.base_pitch_mismatch().value());
    const CycleGap first = cycle_gap(one);
    const CycleGap second = cycle_gap(other);
    CHECK_THAT(first.least.value(), WithinAbs(second.least.value(), mismatch + gap_rounding));
    CHECK_THAT(first.greatest.value(), WithinAbs(second.greatest.value(), mismatch + gap_rounding));
    equal += std::abs((first.least - second.least).value()) < gap_rounding &&
             std::abs((first.greatest - second.greatest).value()) < gap_rounding;
  }
  CHECK(equal > compared * 3 / 4);
}

TEST_CASE("the gap changes continuously from equal to unequal pitches") {
  double last_least = 0.0;
  for (int i = -400; i <= 400; ++i) {
    const GearPair pair(gear(41).grown(2.5e-6 * i), gear(37), mm(97.6));
    const double least = cycle_gap(pair).least.value();
    if (i > -400) {
      // One step of 2.5e-6 changes pitches by 18 nm and base circles by 0.2 um at most.
      CHECK_THAT(least, WithinAbs(last_least, 0.2e-6));
    }
    last_least = least;
  }
}

TEST_CASE("a wider helical face sees more of the cycle, never less gap than two levels allow") {
  // The least over the slices of a wide gear is at most that of a narrow one.
  double last = 1.0;
  for (const double width : {0.001, 2.0, 6.0, 12.0, 25.0, 60.0}) {
    ToothData data = teeth(41, 2.5, 20.0, 15.0, 0.0, -0.075);
    data.face_width = mm(width);
    const ToothedBody body(data);
    const GearPair pair(body.grown(7e-4), body, mm(106.3));
    const CycleGap cycle = cycle_gap(pair);
    CAPTURE(width);
    CHECK(cycle.resolved);
    CHECK(cycle.least.value() <= last + gap_rounding);
    CHECK((cycle.greatest - cycle.least).value() <=
          2.0 * std::abs(pair.base_pitch_mismatch().value()) + gap_rounding);
    last = cycle.least.value();
  }
}

TEST_CASE("with a contact ratio below 1 and unequal pitches only bounds are given") {
  const GearPair pair(gear(41).grown(7e-4), gear(41), mm(106.5));
  REQUIRE(contact_ratio(pair).eps_alpha < 1.0);
  const CycleGap cycle = cycle_gap(pair);
  CHECK_FALSE(cycle.resolved);
  CHECK(cycle.least < cycle.greatest);
}
