// The gap over a mesh cycle and the radial play against brute force: tooth flanks as point sets
// that are rotated until they touch (flank_overlap.hpp). The two sides share the drawing's data and
// nothing else.

#include "flank_overlap.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <random>
#include <stdexcept>
#include <string>
#include <utility>

#include "catch.hpp"
#include "lashband/geometry/backlash.hpp"
#include "lashband/geometry/gear_pair.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "lashband/geometry/toothed_body.hpp"
#include "lashband/units/quantities.hpp"

namespace {

using flank_overlap::DrawnGear;
using flank_overlap::Extremes;
using flank_overlap::Flank;
using flank_overlap::OverlapPair;
using flank_overlap::pi;
using lashband::geometry::CycleGap;
using lashband::geometry::GearPair;
using lashband::geometry::ToothData;
using lashband::geometry::ToothedBody;
using lashband::units::Angle;
using lashband::units::from_si;
using lashband::units::Length;

constexpr double mm = 1e-3;
constexpr double um = 1e-6;
constexpr double degree = pi / 180.0;

// A tenth of a micrometre: the smallest gap that a workshop can tell from another.
constexpr double gap_tolerance = 0.1 * um;
// The brute force itself, against one with other sampling: it must be far inside gap_tolerance.
constexpr double sampling_tolerance = 0.02 * um;

constexpr int cycle_samples = 360;

/// Uniform numbers that are the same with every compiler.
class Draw {
 public:
  explicit Draw(std::uint64_t seed) : bits_(seed) {}
  [[nodiscard]] double between(double low, double high) {
    const double share = static_cast<double>(bits_() >> 11) * 0x1.0p-53;
    return low + share * (high - low);
  }
  [[nodiscard]] int whole(int low, int high) {
    return low + static_cast<int>(bits_() % static_cast<std::uint64_t>(high - low + 1));
  }

 private:
  std::mt19937_64 bits_;
};

ToothedBody toothed_body(const DrawnGear& gear, double face_width) {
  ToothData data;
  data.teeth = gear.teeth;
  data.module = from_si<Length>(gear.module);
  data.pressure_angle = from_si<Angle>(gear.pressure_angle);
  data.helix_angle = from_si<Angle>(gear.helix_angle);
  data.profile_shift = gear.profile_shift;
  data.face_width = from_si<Length>(face_width);
  data.thickness_allowance = from_si<Length>(gear.thickness_allowance);
  data.tip_diameter = from_si<Length>(gear.tip_diameter);
  return ToothedBody(data).grown(gear.growth);
}

/// A pair as drawn and grown, at a centre distance in its state.
struct Pair {
  DrawnGear gear_1;
  DrawnGear gear_2;
  double axes_apart = 0.0;
  double face_width = 20.0 * mm;

  [[nodiscard]] OverlapPair overlap() const { return {gear_1, gear_2, axes_apart}; }
  [[nodiscard]] GearPair library() const {
    return {toothed_body(gear_1, face_width), toothed_body(gear_2, face_width),
            from_si<Length>(axes_apart)};
  }
};

std::string description(const Pair& pair) {
  std::string text;
  for (const DrawnGear& gear : {pair.gear_1, pair.gear_2}) {
    text += "z " + std::to_string(gear.teeth) + ", m " + std::to_string(gear.module / mm) +
            ", alpha " + std::to_string(gear.pressure_angle / degree) + ", beta " +
            std::to_string(gear.helix_angle / degree) + ", x " +
            std::to_string(gear.profile_shift) + ", E_sn " +
            std::to_string(gear.thickness_allowance / um) + " um, d_a " +
            std::to_string(gear.tip_diameter / mm) + ", growth " +
            std::to_string(gear.growth * 1e6) + "e-6; ";
  }
  return text + "a " + std::to_string(pair.axes_apart / mm);
}

double reference_radius(const DrawnGear& gear) {
  return gear.teeth * gear.module / std::cos(gear.helix_angle) / 2.0;
}

/// The axes moved until the gap at rest position 0 is `target`; empty where they cannot be.
std::optional<double> distance_for_gap(const DrawnGear& gear_1, const DrawnGear& gear_2,
                                       double target) {
  const double reference = reference_radius(gear_1) + reference_radius(gear_2);
  const double base_circles = Flank(gear_1).base_radius() + Flank(gear_2).base_radius();
  double close = std::max(reference - 0.9 * gear_1.module, 1.0005 * base_circles);
  double far = reference + 2.0 * gear_1.module;
  const auto gap = [&](double a) { return OverlapPair(gear_1, gear_2, a).gap(0.0); };
  if (!(gap(close) < target) || !(gap(far) > target)) {
    return std::nullopt;
  }
  for (int i = 0; i < 50; ++i) {
    const double middle = (close + far) / 2.0;
    (gap(middle) < target ? close : far) = middle;
  }
  return close;
}

/// The lowest place of the flank that the other gear's tip reaches, as a string length above the
/// lowest place that a rack with the default proportions generates. Only to choose pairs with clean
/// flanks.
double clean_flank(const DrawnGear& gear, const DrawnGear& other, double axes_apart) {
  const Flank flank(gear);
  const Flank other_flank(other);
  const double line = std::sqrt(std::pow(axes_apart, 2) -
                                std::pow(flank.base_radius() + other_flank.base_radius(), 2));
  const double lowest_used = line - other_flank.base_radius() * other_flank.roll_at_tip();
  const double sine =
      std::sin(std::atan(std::tan(gear.pressure_angle) / std::cos(gear.helix_angle)));
  const double generated_height =
      gear.module * (1.25 - 0.38 * (1.0 - std::sin(gear.pressure_angle)) - gear.profile_shift) -
      gear.thickness_allowance / (2.0 * std::tan(gear.pressure_angle));
  const double lowest_generated =
      std::max(0.0, reference_radius(gear) * sine - generated_height / sine);
  return lowest_used - lowest_generated;
}

double tip_land(const DrawnGear& gear) {
  const Flank flank(gear);
  return 2.0 * flank.at_roll(flank.roll_at_tip()).angle * flank.tip_radius();
}

/// Contact ratio, only to choose pairs and to count what has been covered.
double contact_ratio(const Pair& pair) {
  const Flank flank_1(pair.gear_1);
  const Flank flank_2(pair.gear_2);
  const double line = std::sqrt(std::pow(pair.axes_apart, 2) -
                                std::pow(flank_1.base_radius() + flank_2.base_radius(), 2));
  return (flank_1.base_radius() * flank_1.roll_at_tip() +
          flank_2.base_radius() * flank_2.roll_at_tip() - line) /
         (flank_1.base_radius() * flank_1.pitch_angle());
}

enum class Sort { any, low_contact_ratio, high_contact_ratio, long_and_short_addendum };

/// One attempt at a random pair; empty where the teeth would not be clean.
std::optional<Pair> attempt(Draw& draw, Sort sort, double helix_angle, bool same_growth) {
  DrawnGear gear_1;
  gear_1.module = draw.between(1.0, 6.0) * mm;
  gear_1.pressure_angle = draw.between(14.5, 25.0) * degree;
  gear_1.helix_angle = helix_angle;
  double addendum = 1.0;
  int most_teeth = 90;
  if (sort == Sort::low_contact_ratio) {
    gear_1.pressure_angle = draw.between(22.0, 25.0) * degree;
    addendum = draw.between(0.7, 0.9);
    most_teeth = 40;
  } else if (sort == Sort::high_contact_ratio) {
    gear_1.pressure_angle = draw.between(14.5, 18.0) * degree;
    addendum = draw.between(1.0, 1.1);
  }
  DrawnGear gear_2 = gear_1;
  gear_1.teeth = draw.whole(12, most_teeth);
  gear_2.teeth = draw.whole(12, most_teeth);
  gear_1.profile_shift = draw.between(-0.3, 0.8);
  gear_2.profile_shift = draw.between(-0.3, 0.8);
  if (sort == Sort::long_and_short_addendum) {
    gear_1.profile_shift = 0.4;
    gear_2.profile_shift = -0.4;
  }
  for (DrawnGear* gear : {&gear_1, &gear_2}) {
    gear->thickness_allowance = draw.between(-80.0, 0.0) * um;
    gear->tip_diameter =
        2.0 * (reference_radius(*gear) + gear->module * (addendum + gear->profile_shift));
    // Steel, up to 100 K from the reference temperature either way.
    const double warming_in_kelvin = draw.between(-100.0, 100.0);
    gear->growth = warming_in_kelvin * draw.between(11.5e-6, 12.5e-6);
  }
  if (same_growth) {
    gear_2.growth = gear_1.growth;
  }

  const std::optional<double> apart =
      distance_for_gap(gear_1, gear_2, draw.between(40.0, 380.0) * um);
  if (!apart) {
    return std::nullopt;
  }
  // Tips cut back where they would come near the other gear's root.
  const auto root_radius = [](const DrawnGear& gear) {
    return (reference_radius(gear) + gear.module * (gear.profile_shift - 1.25)) *
           (1.0 + gear.growth);
  };
  for (auto [gear, other] : {std::pair{&gear_1, &gear_2}, std::pair{&gear_2, &gear_1}}) {
    gear->tip_diameter =
        std::min(gear->tip_diameter, 2.0 * (*apart - root_radius(*other) - 0.12 * gear->module));
  }

  const Pair pair{gear_1, gear_2, *apart};
  // A corner that leads the zone of action reaches a little lower than the zone itself.
  const double lead = 0.1 * gear_1.module;
  if (!(clean_flank(gear_1, gear_2, *apart) > lead) ||
      !(clean_flank(gear_2, gear_1, *apart) > lead) || !(tip_land(gear_1) > 0.2 * gear_1.module) ||
      !(tip_land(gear_2) > 0.2 * gear_2.module)) {
    return std::nullopt;
  }
  const double ratio = contact_ratio(pair);
  const bool fits = sort == Sort::low_contact_ratio    ? ratio > 1.1 && ratio < 1.3
                    : sort == Sort::high_contact_ratio ? ratio > 1.9 && ratio < 2.1
                                                       : ratio > 1.1;
  return fits ? std::optional(pair) : std::nullopt;
}

Pair random_pair(Draw& draw, Sort sort, double helix_angle, bool same_growth) {
  for (int attempts = 0; attempts < 20000; ++attempts) {
    if (const std::optional<Pair> pair = attempt(draw, sort, helix_angle, same_growth)) {
      return *pair;
    }
  }
  throw std::runtime_error("no clean pair found: the limits of the random pairs contradict");
}

}  // namespace

TEST_CASE("brute force: standard gears by hand", "[geometry]") {
  // Two equal standard gears without allowances at the reference centre distance touch on both
  // flanks; thinner by E_sn in the reference circle they have, at the reference circle, a gap of 2
  // |E_sn|, which is 2 |E_sn| cos alpha on the base circle. Elementary.
  DrawnGear gear;
  gear.teeth = 41;
  gear.module = 2.5 * mm;
  gear.pressure_angle = 20.0 * degree;
  gear.tip_diameter = 43.0 * 2.5 * mm;
  const double reference = 41.0 * 2.5 * mm;
  CHECK_THAT(OverlapPair(gear, gear, reference).gap(0.0), WithinAbs(0.0, sampling_tolerance));
  gear.thickness_allowance = -60.0 * um;
  const double gap_at_base = 2.0 * 60.0 * um * std::cos(20.0 * degree);
  CHECK_THAT(OverlapPair(gear, gear, reference).gap(0.01),
             WithinAbs(gap_at_base, sampling_tolerance));
  gear.thickness_allowance = 60.0 * um;
  CHECK_THAT(OverlapPair(gear, gear, reference).gap(-0.02),
             WithinAbs(-gap_at_base, sampling_tolerance));
}

TEST_CASE("brute force: the quoted pair of 41 teeth, one gear 60 K hotter", "[geometry]") {
  // 12e-6 1/K times 60 K times the base pitch of 7.3801 mm is 5.31 um: least and greatest gap of a
  // pair of usual contact ratio lie that far apart. By hand.
  DrawnGear cold;
  cold.teeth = 41;
  cold.module = 2.5 * mm;
  cold.pressure_angle = 20.0 * degree;
  cold.tip_diameter = 43.0 * 2.5 * mm;
  cold.thickness_allowance = -60.0 * um;
  const double spread_by_hand = 5.31 * um;
  constexpr double spread_rounding = 0.01 * um;

  for (const double growth : {60.0 * 12e-6, -60.0 * 12e-6}) {
    DrawnGear hot = cold;
    hot.growth = growth;
    // The axes where the greatest gap is 139.4 um: there the least is 134.1 um.
    double close = 102.4 * mm;
    double far = 103.5 * mm;
    for (int i = 0; i < 26; ++i) {
      const double middle = (close + far) / 2.0;
      const double greatest =
          flank_overlap::gap_over_cycle(OverlapPair(cold, hot, middle), cycle_samples / 5).greatest;
      (greatest < 139.4 * um ? close : far) = middle;
    }
    const Pair pair{cold, hot, close};
    const Extremes brute = flank_overlap::gap_over_cycle(pair.overlap(), cycle_samples);
    CHECK_THAT(brute.greatest - brute.least, WithinAbs(spread_by_hand, spread_rounding));

    const CycleGap gap = lashband::geometry::cycle_gap(pair.library());
    CHECK(gap.resolved);
    CHECK_THAT(gap.least.value(), WithinAbs(brute.least, gap_tolerance));
    CHECK_THAT(gap.greatest.value(), WithinAbs(brute.greatest, gap_tolerance));
    CHECK_THAT(gap.least.value(), WithinAbs(134.1 * um, gap_tolerance));
  }
}

TEST_CASE("gap over a mesh cycle of spur pairs against brute force", "[geometry][slow]") {
  Draw draw(20240611);
  int low = 0;
  int high = 0;
  int long_and_short = 0;
  int equal_pitches = 0;
  int second_gear_larger_pitch = 0;
  constexpr int pairs = 50;
  for (int i = 0; i < pairs; ++i) {
    constexpr Sort sorts[] = {Sort::any, Sort::low_contact_ratio, Sort::any,
                              Sort::high_contact_ratio, Sort::long_and_short_addendum};
    const Sort sort = sorts[i % 5];
    const bool same_growth = i % 8 == 7;
    const Pair pair = random_pair(draw, sort, 0.0, same_growth);
    CAPTURE(i, description(pair), contact_ratio(pair));

    const Extremes brute = flank_overlap::gap_over_cycle(pair.overlap(), cycle_samples);
    REQUIRE(brute.least > 15.0 * um);
    REQUIRE(brute.greatest < 405.0 * um);
    const CycleGap gap = lashband::geometry::cycle_gap(pair.library());
    CHECK(gap.resolved);
    CHECK_THAT(gap.least.value(), WithinAbs(brute.least, gap_tolerance));
    CHECK_THAT(gap.greatest.value(), WithinAbs(brute.greatest, gap_tolerance));

    low += contact_ratio(pair) < 1.3 ? 1 : 0;
    high += contact_ratio(pair) > 1.9 ? 1 : 0;
    long_and_short += sort == Sort::long_and_short_addendum ? 1 : 0;
    equal_pitches += same_growth ? 1 : 0;
    second_gear_larger_pitch += pair.gear_2.growth > pair.gear_1.growth ? 1 : 0;
  }
  // What the draw has covered.
  CHECK(low >= 5);
  CHECK(high >= 5);
  CHECK(long_and_short == pairs / 5);
  CHECK(equal_pitches >= 5);
  CHECK(second_gear_larger_pitch >= 15);
  CHECK(second_gear_larger_pitch <= pairs - equal_pitches - 15);
}

TEST_CASE("brute force does not depend on its sampling", "[geometry][slow]") {
  Draw draw(5);
  for (int i = 0; i < 5; ++i) {
    const Pair pair =
        random_pair(draw, i % 2 == 0 ? Sort::any : Sort::high_contact_ratio, 0.0, false);
    CAPTURE(i, description(pair));
    const Extremes coarse = flank_overlap::gap_over_cycle(pair.overlap(), cycle_samples);
    const Extremes fine = flank_overlap::gap_over_cycle(pair.overlap(), 7 * cycle_samples + 1);
    CHECK_THAT(coarse.least, WithinAbs(fine.least, sampling_tolerance));
    CHECK_THAT(coarse.greatest, WithinAbs(fine.greatest, sampling_tolerance));
  }
}

TEST_CASE("gap over a mesh cycle of helical pairs against a stack of slices", "[geometry][slow]") {
  Draw draw(77);
  constexpr int slices = 400;
  constexpr int samples = 2000;
  for (int i = 0; i < 14; ++i) {
    const double helix_angle = draw.between(5.0, 30.0) * degree;
    const bool same_growth = i >= 12;
    Pair pair = random_pair(draw, Sort::any, helix_angle, same_growth);
    pair.face_width = pair.gear_1.module * draw.between(3.0, 15.0);
    CAPTURE(i, description(pair), contact_ratio(pair), pair.face_width / mm);

    // The faces that meet are as wide as the narrower one has grown.
    const double width = pair.face_width * (1.0 + std::min(pair.gear_1.growth, pair.gear_2.growth));
    const Extremes brute = flank_overlap::gap_of_stack(pair.overlap(), width, slices, samples);
    const CycleGap gap = lashband::geometry::cycle_gap(pair.library());
    CHECK(gap.resolved);
    CHECK_THAT(gap.least.value(), WithinAbs(brute.least, gap_tolerance));
    CHECK_THAT(gap.greatest.value(), WithinAbs(brute.greatest, gap_tolerance));
  }
}

TEST_CASE("radial play against moving the axes together", "[geometry]") {
  Draw draw(4711);
  for (int i = 0; i < 8; ++i) {
    const double helix_angle = i % 2 == 0 ? 0.0 : draw.between(5.0, 30.0) * degree;
    const Pair pair = random_pair(draw, Sort::any, helix_angle, true);
    CAPTURE(i, description(pair));

    const double brute = flank_overlap::axes_approach(pair.gear_1, pair.gear_2, pair.axes_apart,
                                                      0.6 * pair.gear_1.module);
    const GearPair library = pair.library();
    const auto measures =
        lashband::geometry::backlash(library, lashband::geometry::same_tooth_gap(library));
    REQUIRE(measures.j_r.has_value());
    CHECK_THAT(measures.j_r->value(), WithinAbs(brute, gap_tolerance));
  }
}
