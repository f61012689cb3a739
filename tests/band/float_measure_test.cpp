// The mean of a float by two routes: alone, and from its whole distribution.
#include "band/float_measure.hpp"

#include "band/gap_terms.hpp"
#include "catch.hpp"
#include "mesh_examples.hpp"

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;

TEST_CASE("the mean of a float is that of its distribution") {
  // As the header promises.
  constexpr double normal_accuracy = 1e-10;
  constexpr double accuracy_with_corners = 1e-7;
  for (const Shape& shape : {Shape::normal(), Shape::uniform(), Shape::triangular(0.3)}) {
    const examples::Example e = examples::with_bearings(examples::plain_pair(), shape);
    const double of_the_range =
        shape.kind() == Shape::Kind::normal ? normal_accuracy : accuracy_with_corners;
    for (const SeatModel& seat : e.state.seats) {
      const auto measure = float_measure(seat, e.draws);
      CHECK_THAT(mean_float(seat, e.draws),
                 WithinAbs(mean_of(measure), of_the_range * (measure.high - measure.low)));
    }
  }
}

TEST_CASE("the mean of a float without fits and of one that cannot be closed is exact") {
  constexpr double um = examples::um;
  constexpr double rounding = 1e-14;
  constexpr double of_quadrature = 1e-12;
  Draws draws;
  draws.shapes = {Shape::normal(), Shape::uniform()};
  draws.elongation = {false, false};
  SeatModel seat;
  seat.weight = 0.4;
  seat.clearance = {20.0 * um, {}};
  CHECK_THAT(mean_float(seat, draws), WithinRel(0.4 * 20.0 * um, rounding));
  // Always loose outside: the play adds itself.
  seat.outer = {-9.0 * um, {{1, 4.0 * um}}};
  CHECK_THAT(mean_float(seat, draws), WithinRel(0.4 * 29.0 * um, of_quadrature));
  // Always tight inside: a share of the interference is taken.
  seat.inner = {5.0 * um, {{1, 4.0 * um}}};
  seat.inner_factor = 0.7;
  CHECK_THAT(mean_float(seat, draws), WithinRel(0.4 * (29.0 - 3.5) * um, of_quadrature));
}

TEST_CASE("measures that are kept are those worked out anew") {
  constexpr double rounding = 1e-12;
  const examples::Example e =
      examples::with_drawn_phase(examples::with_bearings(examples::plain_pair()));
  FloatMeasures floats;
  for (int again = 0; again < 2; ++again) {
    for (const SeatModel& seat : e.state.seats) {
      CHECK(floats.mean_of(seat, e.draws) == mean_float(seat, e.draws));
      CHECK(floats.of(seat, e.draws).place == float_measure(seat, e.draws).place);
    }
    for (const double e_2 : {1.0, 1.001}) {
      const auto kept = floats.run_out_of(e.mesh, e.draws, 0.999, e_2);
      const auto anew = phased_run_out(e.mesh, e.draws, 0.999, e_2);
      REQUIRE(kept.place.size() == anew.place.size());
      CHECK_THAT(mean_of(kept), WithinRel(mean_of(anew), rounding));
      CHECK_THAT(kept.high, WithinRel(anew.high, rounding));
    }
  }
}
