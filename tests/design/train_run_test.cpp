// Ratios, speeds and lost motion of whole trains.
#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "lashband/design/frequencies.hpp"
#include "lashband/design/train.hpp"
#include "lashband/error.hpp"
#include "lashband/geometry/centre_distance.hpp"
#include "made_designs.hpp"

using namespace lashband;
using namespace lashband::design;
using namespace lashband::design::test;
using units::Angle;
using units::AngularVelocity;
using units::from_si;
using units::Length;

namespace {

AngularVelocity rpm(double value) {
  return from_si<AngularVelocity>(value * 2.0 * std::numbers::pi / 60.0);
}

// Input 20 - 40 compound 16 - 48 output, spur, module 2 mm.
Design two_stages() {
  Design design = empty_design(11.5e-6);
  add_shaft(design, "input", at(0.0, 0.0));
  add_shaft(design, "middle", at(60.05, 0.0));
  add_shaft(design, "output", at(60.05, 64.05));
  add_gear(design, "a", 0, teeth(20, 2.0), between(-0.05, -0.03));
  add_gear(design, "b", 1, teeth(40, 2.0), between(-0.05, -0.03));
  add_gear(design, "c", 1, teeth(16, 2.0), between(-0.05, -0.03));
  add_gear(design, "d", 2, teeth(48, 2.0), between(-0.05, -0.03));
  add_mesh(design, "a-b", 0, 1, mm(60.05));
  add_mesh(design, "c-d", 2, 3, mm(64.05));
  design.conditions = {condition("reference", 20, 20)};
  design.conditions[0].speed = rpm(1500);
  design.conditions[0].speeds = {{0, rpm(1500)}};
  return design;
}

}  // namespace

TEST_CASE("ratios of a compound train are exact and speeds follow") {
  const TrainResult result = train_of(two_stages(), 0, {});
  REQUIRE(result.shafts.size() == 3);
  CHECK(train::text_of(result.shafts[1].ratio) == "-1/2");
  CHECK(train::text_of(result.shafts[2].ratio) == "1/6");
  CHECK_THAT(result.shafts[2].speed.at(0)->value(), WithinRel(rpm(250).value(), 1e-15));
  CHECK(result.backlash.loops.empty());
}

TEST_CASE("lost motion along an open train is the sum of its meshes, referred to the shaft") {
  Design design = two_stages();
  design.train.lost_motion = {{.of = 0, .held = 2}, {.of = 2, .held = 0}};
  const TrainResult result = train_of(design, 0, {});
  REQUIRE(result.lost_motion.size() == 2);
  const auto& meshes = result.backlash.meshes;
  const auto gap = [&](std::size_t mesh) {
    return meshes[mesh].states[0].gap.phi_1.nominal.value();
  };
  // By hand: what the second mesh leaves to the middle shaft is twice as much at the input.
  const double at_input = gap(0) + 2.0 * gap(1);
  const LostMotionState& of_input = result.lost_motion[0].states.at(0);
  CHECK_THAT(of_input.total->nominal.value(), WithinRel(at_input, 1e-12));
  CHECK_THAT(of_input.backlash_alone->nominal.value(), WithinRel(at_input, 1e-12));
  const LostMotionState& of_output = result.lost_motion[1].states.at(0);
  CHECK_THAT(of_output.total->nominal.value(), WithinRel(at_input / 6.0, 1e-12));
  // Independent meshes: the worst case adds, the root sum square does not.
  const auto low = [&](std::size_t mesh) { return meshes[mesh].states[0].gap.phi_1.low.value(); };
  CHECK_THAT(of_input.total->low.value(), WithinRel(low(0) + 2.0 * low(1), 1e-9));
  CHECK(*of_input.total->rss_low > of_input.total->low);
  REQUIRE(of_input.total->least);
  CHECK(of_input.total->least->low > of_input.total->low);
  REQUIRE(result.lost_motion[0].shares.size() == 2);
  CHECK_THAT((result.lost_motion[0].shares[0].from_backlash +
              result.lost_motion[0].shares[1].from_backlash)
                 .value(),
             WithinRel(at_input, 1e-12));
}

TEST_CASE("reversed torque crosses the float of bearings and, with a helix, the axial float") {
  Design design = empty_design(11.5e-6);
  add_shaft(design, "1", at(0.0, 0.0));
  add_shaft(design, "2", at(62.2, 0.0));
  add_gear(design, "g1", 0, teeth(30, 2.0, 15.0), between(-0.04, -0.04));
  add_gear(design, "g2", 1, teeth(30, 2.0, 15.0), between(-0.04, -0.04));
  add_mesh(design, "1-2", 0, 1, mm(62.2));
  design.conditions = {condition("reference", 20, 20)};
  Bearing bearing;
  bearing.clearance = between(0.018, 0.018);
  bearing.id = "b1";
  design.shafts[0].bearings = {bearing};
  design.shafts[1].axial_float = between(0.1, 0.1);
  design.train.lost_motion = {{.of = 0, .held = 1}};
  const TrainResult result = train_of(design, 0, {});
  const LostMotionState& state = result.lost_motion.at(0).states.at(0);
  const geometry::ToothedBody& body = design.gears[0].body;
  const double r_b = 0.5 * body.base_diameter().value();
  const double j = result.backlash.meshes[0].states[0].gap.j_bt.nominal.value();
  const double axial = 0.1e-3 * std::tan(body.base_helix_angle().value());
  CHECK_THAT(state.total->nominal.value(), WithinRel((j + 0.018e-3 + axial) / r_b, 1e-9));
  CHECK_THAT(state.backlash_alone->nominal.value(), WithinRel(j / r_b, 1e-9));
}

TEST_CASE(
    "around a square the shorter of two ways counts, and the sum of halves where they differ") {
  Design design = square(11.5e-6, 90.1, between(-0.04, -0.04));
  design.conditions = {condition("reference", 20, 20)};
  design.train.lost_motion = {{.of = 1, .held = 0}, {.of = 2, .held = 0}};
  const TrainResult result = train_of(design, 0, {});
  const double phi = result.backlash.meshes[0].states[0].gap.phi_1.nominal.value();
  // Neighbours: their own mesh leaves phi, the way round three times that. Opposite: two meshes
  // either way.
  CHECK(result.lost_motion.at(0).loops);
  CHECK_THAT(result.lost_motion.at(0).states.at(0).total->nominal.value(), WithinRel(phi, 1e-12));
  CHECK_THAT(result.lost_motion.at(1).states.at(0).total->nominal.value(),
             WithinRel(2.0 * phi, 1e-12));
  // Nothing varies, so nothing is sampled.
  CHECK_FALSE(result.lost_motion.at(0).percentiles_sampled);
  // A bore off its place by d along x takes d cos alpha_wt of offset at the mesh across, and what
  // the ways can turn is what is left of the way round.
  design.shafts[3].position_tolerance = mm(0.020);
  RunOptions options;
  options.samples = 4096;
  const TrainResult off = train_of(design, 0, options);
  CHECK(off.lost_motion.at(0).percentiles_sampled);
  const LostMotionState& opposite = off.lost_motion.at(1).states.at(0);
  CHECK(opposite.total->low < opposite.total->nominal);
  REQUIRE(opposite.total->least);
  CHECK(opposite.total->least->low >= opposite.total->low);
  CHECK(opposite.total->least->low < opposite.total->nominal);
  REQUIRE(opposite.least_error);
  CHECK(opposite.least_error->low.value() > 0.0);
  // The same numbers on two threads.
  options.threads = 2;
  const TrainResult again = train_of(design, 0, options);
  CHECK(again.lost_motion.at(1).states.at(0).total->least->low == opposite.total->least->low);
}

TEST_CASE("a lost motion above what is allowed is told") {
  Design design = two_stages();
  design.train.lost_motion = {{.of = 0, .held = 2, .greatest = deg(0.05)}};
  const TrainResult result = train_of(design, 0, {});
  REQUIRE(result.requirements.size() == 1);
  CHECK(result.requirements[0].what == "greatest_lost_motion");
  CHECK(result.requirements[0].kind == RequirementRow::Kind::angle);
  CHECK_FALSE(result.requirements[0].met);
  CHECK_THAT(result.requirements[0].found,
             WithinRel(result.lost_motion[0].states[0].total->high.value(), 1e-15));
}

TEST_CASE("a planetary stage: ring held, arm turned by the sun") {
  // Willis, by hand: 1 + 60/20 = 4.
  Design design = empty_design(11.5e-6);
  add_shaft(design, "sun", at(0.0, 0.0));
  add_shaft(design, "planet", at(40.0, 0.0));
  add_shaft(design, "ring", at(0.0, 0.0));
  add_gear(design, "s", 0, teeth(20, 2.0), between(-0.04, -0.04));
  add_gear(design, "p", 1, teeth(20, 2.0), between(-0.04, -0.04));
  add_gear(design, "r", 2, teeth(60, 2.0, 0.0, true), between(-0.04, -0.04));
  add_mesh(design, "s-p", 0, 1, mm(40.0));
  add_mesh(design, "p-r", 1, 2, mm(40.0));
  design.conditions = {condition("reference", 20, 20)};
  design.conditions[0].speed = rpm(1200);
  design.conditions[0].speeds = {{0, rpm(1200)}};
  design.train.arm = PlanetArm{"arm", 2};
  const TrainResult result = train_of(design, 0, {});
  CHECK(train::text_of(result.arm_ratio) == "1/4");
  CHECK(train::text_of(result.shafts[2].ratio) == "0");
  // Planet: n_p = n_arm - (z_s/z_p)(n_s - n_arm) = 1/4 - 3/4.
  CHECK(train::text_of(result.shafts[1].ratio) == "-1/2");
  // Mesh frequency: 20 (1200 - 300) / 60 Hz.
  const FrequenciesResult lines = frequencies(design);
  REQUIRE(lines.speeds.size() == 1);
  const auto mesh = std::find_if(lines.lines.begin(), lines.lines.end(), [](const auto& line) {
    return line.kind == spectrum::LineKind::mesh && line.source == "s-p";
  });
  REQUIRE(mesh != lines.lines.end());
  CHECK_THAT(frequency_of(*mesh, lines.speeds[0].speed).value(), WithinRel(300.0, 1e-12));
}

TEST_CASE("phases at an idler: in line, odd teeth in phase, even teeth half a period apart") {
  // Parker and Lin, J. Mech. Des. 126 (2004) 365 (from memory; the rule is derived and verified by
  // brute force in tests/spectrum).
  for (const int z : {24, 25}) {
    Design design = empty_design(11.5e-6);
    const double a = 0.5 * 2.0 * (20 + z);
    add_shaft(design, "input", at(0.0, 0.0));
    add_shaft(design, "idler", at(a, 0.0));
    add_shaft(design, "output", at(2.0 * a, 0.0));
    add_gear(design, "i", 0, teeth(20, 2.0), between(0.0, 0.0));
    add_gear(design, "m", 1, teeth(z, 2.0), between(0.0, 0.0));
    add_gear(design, "o", 2, teeth(20, 2.0), between(0.0, 0.0));
    add_mesh(design, "i-m", 0, 1, mm(a));
    add_mesh(design, "m-o", 1, 2, mm(a));
    const FrequenciesResult result = frequencies(design);
    REQUIRE(result.phases.size() == 1);
    CHECK(result.phases[0].idler);
    CHECK(result.phases[0].mesh_1 == "i-m");
    const double phase = result.phases[0].phase;
    const double expected = z % 2 == 0 ? 0.5 : 0.0;
    // On the circle of phases.
    const double apart = std::abs(phase - expected);
    CHECK(std::min(apart, 1.0 - apart) < 1e-9);
  }
}

TEST_CASE("phases at a gear whose meshes work on pitch circles of two sizes") {
  constexpr int z = 25;
  constexpr int z_driving = 20;
  constexpr int z_driven = 30;
  constexpr double module = 2.0;  // mm
  constexpr double a_1 = 45.3;    // mm, 0.3 wider than the sum of the pitch radii
  constexpr double a_2 = 56.4;    // mm, 1.4 wider
  constexpr double way_on = 50.0 * degree;
  Design design = empty_design(11.5e-6);
  add_shaft(design, "input", at(0.0, 0.0));
  add_shaft(design, "idler", at(a_1, 0.0));
  add_shaft(design, "output", at(a_1 + a_2 * std::cos(way_on), a_2 * std::sin(way_on)));
  add_gear(design, "i", 0, teeth(z_driving, module), between(0.0, 0.0));
  add_gear(design, "m", 1, teeth(z, module), between(-0.10, -0.06));
  add_gear(design, "o", 2, teeth(z_driven, module), between(0.0, 0.0));
  add_mesh(design, "i-m", 0, 1, mm(a_1));
  add_mesh(design, "m-o", 1, 2, mm(a_2));

  // The flanks of the gear in the middle as what the end of a thread unwound from the base circle
  // traces, and when they pass the pitch points of the two meshes while it turns.
  const double r_b = 0.5 * module * z * std::cos(20.0 * degree);
  const auto flank_at = [&](double radius) {
    const double unwound = std::sqrt(radius * radius / (r_b * r_b) - 1.0);
    const double x = std::cos(unwound) + unwound * std::sin(unwound);
    const double y = std::sin(unwound) - unwound * std::cos(unwound);
    return std::atan2(y, x);
  };
  constexpr double reference_radius = 0.5 * module * z;
  constexpr double mid_allowance = -0.08;
  const double half_at_reference =
      0.5 * (0.5 * std::numbers::pi * module + mid_allowance) / reference_radius;
  const auto half_thickness_at = [&](double radius) {
    return half_at_reference + flank_at(reference_radius) - flank_at(radius);
  };
  const double half_1 = half_thickness_at(a_1 * z / (z_driving + z));
  const double half_2 = half_thickness_at(a_2 * z / (z + z_driven));
  constexpr double rounding = 1e-12;
  const auto check = [&](double turned, double from_first_to_second) {
    const FrequenciesResult result = frequencies(design);
    REQUIRE(result.phases.size() == 1);
    const double pitches = from_first_to_second * z / (2.0 * std::numbers::pi);
    CHECK_THAT(result.phases[0].turned.value(), WithinAbs(turned, rounding));
    CHECK_THAT(result.phases[0].phase, WithinAbs(pitches - std::floor(pitches), rounding));
    return result.phases[0].idler;
  };
  SECTION("an idler") {
    // From the tooth middle at the first pitch point: the trailing flank is pushed there half a
    // thickness later; the leading one pushes at the second half a thickness before the middle
    // comes. It turns with the clock.
    const double turned = std::numbers::pi - way_on;
    CHECK(check(turned, (turned - half_2) - half_1));
  }
  SECTION("a gear that drives both") {
    // Leading flanks at both, each half a thickness of there before the middle. It turns against
    // the clock.
    design.train.reference = 1;
    const double turned = std::numbers::pi + way_on;
    CHECK_FALSE(check(turned, (turned - half_2) + half_1));
  }
  // The thickness at either pitch circle alone would give something else.
  CHECK(std::abs(half_1 - half_2) * z / (2.0 * std::numbers::pi) > 0.005);
}

TEST_CASE("a speed that is not above 0, and a range the wrong way round, are refused") {
  const Design design = two_stages();
  FrequencyQuestion question;
  question.speeds = {rpm(-100)};
  CHECK_THROWS_AS(frequencies(design, question), DomainError);
  question.speeds = {rpm(2000), rpm(1000)};
  question.range = true;
  CHECK_THROWS_AS(frequencies(design, question), DomainError);
  BacklashResult other;
  other.carrier = "no such carrier";
  CHECK_THROWS_AS(train_of(design, other, {}), DomainError);
}
