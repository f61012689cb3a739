// Mean and variance of a float by two routes: alone, and from its whole distribution.
#include "band/float_measure.hpp"

#include <cmath>

#include "band/gap_terms.hpp"
#include "catch.hpp"
#include "mesh_examples.hpp"

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;

TEST_CASE("mean and variance of a float are those of its distribution") {
  // As the header promises.
  constexpr double normal_accuracy = 1e-10;
  constexpr double accuracy_with_corners = 1e-7;
  for (const Shape& shape : {Shape::normal(), Shape::uniform(), Shape::triangular(0.3)}) {
    const examples::Example e = examples::with_bearings(examples::plain_pair(), shape);
    const double of_the_range =
        shape.kind() == Shape::Kind::normal ? normal_accuracy : accuracy_with_corners;
    for (const SeatModel& seat : e.state.seats) {
      const auto measure = float_measure(seat, e.draws);
      const double range = measure.high - measure.low;
      const FloatMoments moments = float_moments(seat, e.draws);
      const double mean = mean_of(measure);
      double variance = 0.0;
      for (std::size_t i = 0; i < measure.place.size(); ++i) {
        variance += measure.weight[i] * std::pow(measure.place[i] - mean, 2);
      }
      CHECK_THAT(moments.mean, WithinAbs(mean, of_the_range * range));
      CHECK_THAT(moments.variance, WithinAbs(variance, of_the_range * range * range));
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
  CHECK_THAT(float_moments(seat, draws).mean, WithinRel(0.4 * 20.0 * um, rounding));
  // Always loose outside: the play adds itself.
  seat.outer = {-9.0 * um, {{1, 4.0 * um}}};
  CHECK_THAT(float_moments(seat, draws).mean, WithinRel(0.4 * 29.0 * um, of_quadrature));
  // Always tight inside: a share of the interference is taken.
  seat.inner = {5.0 * um, {{1, 4.0 * um}}};
  seat.inner_factor = 0.7;
  CHECK_THAT(float_moments(seat, draws).mean, WithinRel(0.4 * (29.0 - 3.5) * um, of_quadrature));
  // Of a uniform density over +-4 um: 16/3 um^2.
  CHECK_THAT(float_moments(seat, draws).variance,
             WithinRel(0.16 * (1.0 + 0.49) * 16.0 / 3.0 * um * um, 1e3 * of_quadrature));
}

TEST_CASE("measures that are kept are those worked out anew") {
  constexpr double rounding = 1e-12;
  const examples::Example e =
      examples::with_drawn_phase(examples::with_bearings(examples::plain_pair()));
  FloatMeasures floats;
  for (int again = 0; again < 2; ++again) {
    for (const SeatModel& seat : e.state.seats) {
      CHECK(floats.moments_of(seat, e.draws).mean == float_moments(seat, e.draws).mean);
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
