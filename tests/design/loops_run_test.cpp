// Closed loops at temperature: a square of equal gears, whose margins have closed forms.
#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "lashband/design/loops.hpp"
#include "lashband/design/run.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "made_designs.hpp"

using namespace lashband;
using namespace lashband::design;
using namespace lashband::design::test;
using units::celsius;
using units::Length;

namespace {

constexpr double rounding = 1e-13;  // m

const RequirementRow* loop_row(const BacklashResult& result) {
  const auto row =
      std::find_if(result.requirements.begin(), result.requirements.end(),
                   [](const RequirementRow& one) { return one.what == "no_loop_binding"; });
  return row == result.requirements.end() ? nullptr : &*row;
}

// Inv of the working pressure angle of a pair of base radii r_b at the distance a.
double inv_at(double a, double r_b) {
  const double alpha = std::acos(2.0 * r_b / a);
  return std::tan(alpha) - alpha;
}

// The margin of the square with one bore moved by `u` along x and by `u` along y, inwards, both
// senses: plain geometry with equal gears of base radius r_b and tooth thickness s_b there.
// The lines of centres of its two meshes turn by atan(u / (a - u)) each, both the same way around
// the loop, which moves tooth against space by 2 r_b times that in each.
double square_margin(double a, double u, double r_b, double s_b, double p_b) {
  const double moved = std::hypot(a - u, u);
  const auto gap = [&](double distance) {
    return p_b - 2.0 * s_b + 4.0 * r_b * inv_at(distance, r_b);
  };
  const double room = 2.0 * (0.5 * gap(a)) + 2.0 * (0.5 * gap(moved));
  const double offset = 2.0 * 2.0 * r_b * std::atan2(u, a - u);
  // Each mesh has half its gap on either side: margin over four meshes of half a gap each.
  return (room - offset) / 2.0;
}

}  // namespace

TEST_CASE("a square of equal gears closes by its places, and its margin is the gap of one mesh") {
  Design design = square(23e-6, 90.1, between(-0.04, -0.04));
  design.conditions = {condition("reference", 20, 20), condition("cold", -40, -40)};
  const BacklashResult result = backlash(design, 0, {});
  REQUIRE(result.loops.size() == 1);
  const LoopResult& loop = result.loops[0];
  CHECK(loop.closed_by == train::ClosedBy::places);
  CHECK_THAT(loop.offset, WithinAbs(0.0, 1e-13));
  CHECK(loop.can_be_assembled == true);
  CHECK(loop.meshes.size() == 4);
  REQUIRE(loop.states.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) {
    // Every mesh has the same gap and nothing is left over: each can lose all of it.
    CHECK_THAT(loop.states[i].margin.value(),
               WithinAbs(result.meshes[0].states[i].gap.j_bt.nominal.value(), rounding));
    CHECK_THAT(loop.states[i].taken_up.value(), WithinAbs(loop.states[i].margin.value(), rounding));
  }
  REQUIRE(loop_row(result) != nullptr);
  CHECK(loop_row(result)->met);
  CHECK(loop_row(result)->state == "cold");
}

TEST_CASE("the bore reserve of a square is where its closed form is used up") {
  Design design = square(23e-6, 90.1, between(-0.03, -0.03));
  design.conditions = {condition("cold", -40, -40)};
  const BacklashResult result = backlash(design, 0, {});
  const LoopState& state = result.loops.at(0).states.at(0);
  REQUIRE(state.bore_reserve);
  // The same by bisection of the closed form, at the temperature of the state: gears and case have
  // grown by their own strains.
  const double e_g = 1.0 + 11.5e-6 * -60.0;
  const double e_c = 1.0 + 23e-6 * -60.0;
  const geometry::ToothedBody body =
      geometry::ToothedBody(teeth(30, 3.0)).with_thickness_allowance(mm(-0.03)).grown(e_g - 1.0);
  const double r_b = 0.5 * body.base_diameter().value();
  const double s_b = body.base_tooth_thickness().value();
  const double p_b = body.base_pitch().value();
  double low = 0.0;
  double high = 1e-3;
  for (int i = 0; i < 100; ++i) {
    const double u = 0.5 * (low + high);
    (square_margin(0.0901 * e_c, u * e_c, r_b, s_b, p_b) > 0.0 ? low : high) = u;
  }
  // Along the diagonal both meshes suffer alike, which is the worst direction.
  CHECK_THAT(state.bore_reserve->value(), WithinAbs(std::sqrt(2.0) * low, 1e-10));
  // First order: j = (dx + dy)(sin alpha_wt + cos alpha_wt) / 2.
  const double j = result.meshes[0].states[0].gap.j_bt.nominal.value();
  const double alpha = result.meshes[0].states[0].alpha_wt.value();
  CHECK_THAT(state.bore_reserve->value(),
             WithinRel(std::sqrt(2.0) * j / (std::sin(alpha) + std::cos(alpha)), 2e-3));
}

TEST_CASE("boring errors act on a loop through distances and directions alike, shared by meshes") {
  Design design = square(11.5e-6, 90.1, between(-0.04, -0.04));
  design.conditions = {condition("reference", 20, 20)};
  const double margin = backlash(design, 0, {}).loops.at(0).states.at(0).margin_low.value();
  for (Shaft& shaft : design.shafts) {
    shaft.position_tolerance = mm(0.020);
  }
  const BacklashResult result = backlash(design, 0, {});
  const LoopState& state = result.loops.at(0).states.at(0);
  // By hand, first order: of a bore off by d along its diagonal, inwards, the gaps lose d sqrt(2)
  // sin alpha_wt together and the offsets around the loop change by d sqrt(2) cos alpha_wt, those
  // of neighbours against each other. So two bores go inwards and two outwards, and a margin over
  // four meshes of half a gap each loses sqrt(2)/2 [2 (cos + sin) + 2 (cos - sin)] d.
  const double alpha = result.meshes[0].states[0].alpha_wt.value();
  const double taken = 2.0 * std::sqrt(2.0) * 10e-6 * std::cos(alpha);
  CHECK_THAT(state.margin_low.value(), WithinAbs(margin - taken, 0.1e-6));
  // Sixteen choices of places near the edges of the zones, each a design of its own: none gets
  // below, and one comes near.
  double least = 1.0;
  for (int i = 0; i < 16; ++i) {
    Design one = square(11.5e-6, 90.1, between(-0.04, -0.04));
    one.conditions = design.conditions;
    for (std::size_t s = 0; s < 4; ++s) {
      const double angle =
          degree * ((i >> s) % 2 == 0 ? 45.0 : 225.0) + degree * 90.0 * static_cast<double>(s);
      one.shafts[s].at->x += mm(0.0099 * std::cos(angle));
      one.shafts[s].at->y += mm(0.0099 * std::sin(angle));
    }
    for (Mesh& mesh : one.meshes) {
      mesh.centre_distance = geometry::distance(*one.shafts[one.gears[mesh.gear_1].shaft].at,
                                                *one.shafts[one.gears[mesh.gear_2].shaft].at);
    }
    least = std::min(least, backlash(one, 0, {}).loops.at(0).states.at(0).margin.value());
  }
  CHECK(least >= state.margin_low.value());
  CHECK(least < state.margin_low.value() + 0.05 * taken);
  // A root sum square of independent coordinates is wider than the nominal and less than the worst.
  REQUIRE(state.margin_rss_low);
  CHECK(state.margin_rss_low->value() > state.margin_low.value());
  CHECK(state.margin_rss_low->value() < state.margin.value());
}

TEST_CASE("a loop binds while every single mesh of it is free") {
  Design design = square(23e-6, 90.04, between(-0.025, -0.015));
  design.conditions = {condition("cold", -40, -40)};
  for (Shaft& shaft : design.shafts) {
    shaft.position_tolerance = mm(0.016);
  }
  const BacklashResult result = backlash(design, 0, {});
  for (const MeshResult& mesh : result.meshes) {
    CHECK(mesh.states[0].gap.j_bind.low.value() > 0.0);
  }
  REQUIRE(loop_row(result) != nullptr);
  CHECK_FALSE(loop_row(result)->met);
  CHECK(loop_row(result)->found < 0.0);
  CHECK(loop_row(result)->mesh == "loop 4-1, 1-2, 2-3, 3-4");
  CHECK_FALSE(result.all_requirements_met());
}

TEST_CASE("a loop whose teeth do not meet cannot be assembled") {
  Design design = empty_design(11.5e-6);
  const double side = 93.1;
  add_shaft(design, "1", at(0.0, 0.0));
  add_shaft(design, "2", at(side, 0.0));
  add_shaft(design, "3", at(side, side));
  add_shaft(design, "4", at(0.0, side));
  for (std::size_t i = 0; i < 4; ++i) {
    add_gear(design, "g" + std::to_string(i), i, teeth(31, 3.0), between(-0.04, -0.04));
  }
  for (std::size_t i = 0; i < 4; ++i) {
    add_mesh(design, "m" + std::to_string(i), i, (i + 1) % 4, mm(side));
  }
  design.conditions = {condition("reference", 20, 20)};
  const BacklashResult result = backlash(design, 0, {});
  const LoopResult& loop = result.loops.at(0);
  // 2 z (0 - 90 + 180 - 270)/360 = -31 whole pitches: it does close.
  CHECK_THAT(loop.offset, WithinAbs(0.0, 1e-12));
  CHECK(loop.can_be_assembled == true);
  // With one axis out of square by 1 degree, 2 z / 360 pitches are left for each degree that a line
  // of centres turns.
  design.shafts[2].at = at(side + side * std::sin(2.0 * degree), side * std::cos(2.0 * degree));
  design.shafts[3].at = at(side * std::sin(2.0 * degree), side * std::cos(2.0 * degree));
  const BacklashResult rhombus = backlash(design, 0, {});
  // The two sloping sides turn by 2 deg each, in the same sense around the loop.
  const double expected = 2.0 * 62.0 * 2.0 / 360.0;
  CHECK_THAT(std::abs(rhombus.loops.at(0).offset),
             WithinAbs(std::abs(expected - std::round(expected)), 1e-9));
  CHECK(rhombus.loops.at(0).can_be_assembled == false);
  CHECK(std::any_of(rhombus.warnings.begin(), rhombus.warnings.end(),
                    [](const Warning& warning) { return warning.kind == "loop"; }));
}

TEST_CASE("without places a loop is told as not known, and nothing is judged") {
  Design design = square(23e-6, 90.1, between(-0.04, -0.04));
  design.conditions = {condition("cold", -40, -40)};
  design.shafts[2].at.reset();
  const BacklashResult result = backlash(design, 0, {});
  REQUIRE(result.loops.size() == 1);
  CHECK(result.loops[0].closed_by == train::ClosedBy::unknown);
  CHECK(result.loops[0].states.empty());
  CHECK(loop_row(result) == nullptr);
  CHECK(std::any_of(result.warnings.begin(), result.warnings.end(),
                    [](const Warning& warning) { return warning.kind == "loop"; }));
}

TEST_CASE("two loops that share a mesh bind around both of them where neither binds by itself") {
  // Two squares side by side, with three bores off their places so that each square is left with an
  // offset, and both turn the same way around the rectangle.
  const auto pair_of_squares = [](double off_in_mm) {
    Design design = empty_design(11.5e-6);
    const double side = 90.06;
    const double places[6][2] = {{0.0, 0.0},  {side, 0.0},  {2.0 * side, 0.0},
                                 {0.0, side}, {side, side}, {2.0 * side, side}};
    for (std::size_t i = 0; i < 6; ++i) {
      add_shaft(design, std::to_string(i + 1), at(places[i][0], places[i][1]));
      add_gear(design, "g" + std::to_string(i + 1), i, teeth(30, 3.0), between(-0.02, -0.02));
    }
    // Bores 1 and 3 inwards and up, bore 5 down.
    for (const std::size_t i : {std::size_t{0}, std::size_t{4}, std::size_t{2}}) {
      design.shafts[i].at->y += mm(i == 4 ? -off_in_mm : off_in_mm);
      design.shafts[i].at->x += mm(i == 0 ? off_in_mm : i == 2 ? -off_in_mm : 0.0);
    }
    const auto join = [&](std::size_t one, std::size_t two) {
      add_mesh(design, std::to_string(one + 1) + "-" + std::to_string(two + 1), one, two,
               geometry::distance(*design.shafts[one].at, *design.shafts[two].at));
    };
    join(0, 1);
    join(1, 2);
    join(3, 4);
    join(4, 5);
    join(0, 3);
    join(1, 4);
    join(2, 5);
    design.conditions = {condition("reference", 20, 20)};
    return design;
  };
  // Somewhere between free and bound there is a displacement at which the sum alone binds.
  bool found = false;
  for (double off = 0.0; off < 0.06 && !found; off += 0.0005) {
    const BacklashResult result = backlash(pair_of_squares(off), 0, {});
    REQUIRE(result.loops.size() >= 2);
    const bool each_is_free = std::all_of(
        result.loops.begin(), result.loops.begin() + 2,
        [](const LoopResult& loop) { return loop.states.at(0).taken_up_low.value() > 0.0; });
    if (result.loops.size() > 2 && each_is_free) {
      found = true;
      CHECK(result.loops[2].meshes.size() == 6);
      CHECK(result.loops[2].states.at(0).taken_up_low.value() < 0.0);
      CHECK_FALSE(result.all_requirements_met());
    }
  }
  CHECK(found);
}
