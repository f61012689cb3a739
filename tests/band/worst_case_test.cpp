// The ends of the worst case by another route: units drawn within their bands, and every corner of
// a small example.
#include "band/worst_case.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "catch.hpp"
#include "mesh_examples.hpp"

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;

namespace {

constexpr double gap_rounding = 1e-14;  // m; a gap is a difference of lengths of 0.1 m
constexpr double um = examples::um;

// j_bt of one unit before the mesh cycle, by the exact model.
double gap_of(const examples::Example& e, const std::vector<double>& y, Stance stance) {
  StateModel state = e.state;
  state.cycle_least = state.cycle_greatest = 0.0;
  const Gaps all = gaps(e.mesh, state, y.data());
  return stance.shafts < 0.0 ? all.least : stance.run_out > 0.0 ? all.greatest : all.bind;
}

double end_of(const examples::Example& e, Stance stance, End end) {
  const StrainModel& carrier =
      stance.shafts < 0.0 ? e.state.carrier_least : e.state.carrier_greatest;
  return corner(e.mesh, e.state, carrier, e.draws, stance, end).gap.j_bt;
}

}  // namespace

TEST_CASE("no unit within the bands leaves the worst case") {
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> within(-1.0, 1.0);
  std::bernoulli_distribution at_end(0.5);
  for (const examples::Example& e : examples::all()) {
    INFO(e.name);
    for (const Stance stance : {together, apart, taken_up}) {
      const double low = end_of(e, stance, End::low);
      const double high = end_of(e, stance, End::high);
      for (int i = 0; i < 4000; ++i) {
        std::vector<double> y(e.draws.shapes.size());
        for (double& value : y) {
          value = within(random);
          value = at_end(random) ? std::copysign(1.0, value) : value;
        }
        const double gap = gap_of(e, y, stance);
        CHECK(gap >= low - gap_rounding);
        CHECK(gap <= high + gap_rounding);
      }
    }
  }
}

TEST_CASE("the ends of the worst case are units that can be built") {
  // Run-outs are summed as in a hunting pair, so pairs that keep their phase are left out.
  for (const examples::Example& e : examples::all()) {
    if (e.mesh.run_out_phase || !e.state.misalignment.terms.empty()) {
      continue;
    }
    INFO(e.name);
    for (const Stance stance : {together, apart, taken_up}) {
      for (const End end : {End::low, End::high}) {
        const StrainModel& carrier =
            stance.shafts < 0.0 ? e.state.carrier_least : e.state.carrier_greatest;
        const Corner found = corner(e.mesh, e.state, carrier, e.draws, stance, end);
        CHECK_THAT(found.gap.j_bt, WithinAbs(gap_of(e, found.y, stance), gap_rounding));
        for (const double y : found.y) {
          CHECK(std::abs(y) <= 1.0);
        }
      }
    }
  }
}

TEST_CASE("misalignment costs its whole sum at the low end and nothing at the high end") {
  const examples::Example plain = examples::plain_pair();
  const examples::Example tilted = examples::with_misalignment(plain, 5.0 * um);
  CHECK_THAT(end_of(plain, together, End::low) - end_of(tilted, together, End::low),
             WithinAbs(28.0 * um, gap_rounding));
  // The slopes may stand against the tilt.
  CHECK_THAT(end_of(plain, apart, End::high),
             WithinAbs(end_of(tilted, apart, End::high), gap_rounding));
  const examples::Example steep = examples::with_misalignment(plain, 30.0 * um);
  CHECK_THAT(end_of(plain, apart, End::high) - end_of(steep, apart, End::high),
             WithinAbs(7.0 * um, gap_rounding));
}

TEST_CASE("a place in a round zone reaches the rim of the zone, not the corner of a square") {
  examples::Example e = examples::plain_pair();
  const std::size_t x = e.add(Shape::normal());
  const std::size_t y = e.add(Shape::normal());
  e.mesh.deviation.terms.push_back({x, 6.0 * um});
  e.mesh.deviation.terms.push_back({y, 8.0 * um});
  e.draws.discs.push_back({x, y});
  const Range range = range_of(e.mesh.deviation, e.draws);
  // The first draw reaches 15 um, the place 10 um in this direction (6, 8, 10).
  CHECK_THAT(range.high, WithinAbs(25.0 * um, gap_rounding));
  CHECK_THAT(range.low, WithinAbs(-25.0 * um, gap_rounding));
}

TEST_CASE("more elongations than are tried together end at the same place") {
  // One at a time reaches what trying all reaches: the gap is nearly linear in them.
  examples::Example few = examples::with_materials(examples::plain_pair(), true);
  examples::Example many = few;
  for (int i = 0; i < 12; ++i) {
    const std::size_t draw = many.add(Shape::normal(), true);
    many.state.carrier_least.linear.terms.push_back({draw, 1e-12});
    many.state.carrier_greatest.linear.terms.push_back({draw, 1e-12});
  }
  REQUIRE(elongation_draws(many.state, many.draws).size() > most_tried_together);
  constexpr double twelve_tiny_strains = 1e-11;
  for (const Stance stance : {together, apart}) {
    for (const End end : {End::low, End::high}) {
      CHECK_THAT(end_of(many, stance, end),
                 WithinAbs(end_of(few, stance, end), twelve_tiny_strains));
    }
  }
}
