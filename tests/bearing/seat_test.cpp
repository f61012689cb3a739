#include "lashband/bearing/seat.hpp"

#include <limits>

#include "catch.hpp"
#include "lashband/bearing/thick_ring.hpp"
#include "lashband/error.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::bearing;
using namespace lashband::test;
using units::from_si;

namespace {

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

constexpr double alpha_steel = 12e-6;
constexpr double alpha_aluminium = 21e-6;

// A bearing of 40/80 mm, all steel, its outer ring held in aluminium.
SeatElongations uniform(double dT) {
  const double steel = alpha_steel * dT;
  return {steel, steel, steel, alpha_aluminium * dT, steel};
}

Seat seat_40_80() {
  return {ball_bearing_diameters(mm(40), mm(80)), {um(15), um(10), um(12)}, {0.5, 0.8}};
}

}  // namespace

TEST_CASE("raceways are estimated where they are not given") {
  // D_o = 0.20 (d + 4 D), d_i = 0.20 (4 d + D): bearing makers' handbooks, from memory. By hand for
  // 40/80 mm: 72, 48 and balls of 12 mm.
  const BearingDiameters estimated = ball_bearing_diameters(mm(40), mm(80));
  CHECK(estimated.raceways_estimated);
  CHECK_THAT(in_um(estimated.outer_raceway), WithinAbs(72e3, rounding_in_um));
  CHECK_THAT(in_um(estimated.inner_raceway), WithinAbs(48e3, rounding_in_um));
  CHECK_THAT(in_um(estimated.ball), WithinAbs(12e3, rounding_in_um));

  const BearingDiameters given = ball_bearing_diameters(mm(40), mm(80), mm(70.6), mm(50.2));
  CHECK_FALSE(given.raceways_estimated);
  CHECK(given.outer_raceway == mm(70.6));
  CHECK(given.inner_raceway == mm(50.2));
  CHECK_THAT(in_um(given.ball), WithinAbs(10.2e3, rounding_in_um));

  CHECK(ball_bearing_diameters(mm(40), mm(80), mm(70.6)).raceways_estimated);
  CHECK(ball_bearing_diameters(mm(40), mm(80), {}, mm(50.2)).raceways_estimated);
}

TEST_CASE("an inner ring hotter than the outer ring costs clearance") {
  const auto row = reference_row("hotter inner ring");
  const double eps = row.at("alpha").get<double>() * row.at("dT").get<double>();
  const BearingDiameters bearing =
      ball_bearing_diameters(mm(40), mm(80), mm(row.at("D_o")), mm(50.2));
  const SeatFits shift = thermal_shift(bearing, {0.0, eps, eps, 0.0, eps});
  CHECK_THAT(-in_um(shift.clearance),
             WithinAbs(row.at("lost_um")[0].get<double>(), row.at("lost_um")[1].get<double>()));
  CHECK(shift.inner_interference == um(0));
}

TEST_CASE("a steel outer ring loosens in a hot aluminium bore") {
  const auto row = reference_row("steel ring in an aluminium bore");
  Seat seat;
  seat.bearing = ball_bearing_diameters(mm(40), mm(row.at("D")), mm(row.at("d_e")), mm(50.2));
  seat.reference = {um(30), um(row.at("interference_um")), um(0)};
  seat.factors.outer = outer_ring_contraction_factor(
      {mm(row.at("D")),
       {mm(row.at("d_e")), from_si<units::Pressure>(row.at("E_ring")), row.at("nu_ring")},
       {mm(row.at("D_a")), from_si<units::Pressure>(row.at("E_housing")), row.at("nu_housing")}});
  const auto at = [&](double dT) {
    const double ring = row.at("alpha_ring").get<double>() * dT;
    return seat_state(seat, {ring, ring, ring, row.at("alpha_housing").get<double>() * dT, ring});
  };
  const auto state_at_reference = at(0.0);
  CHECK_THAT(in_um(um(30) - state_at_reference.operating_clearance),
             WithinAbs(row.at("closes_um")[0].get<double>(), row.at("closes_um")[1].get<double>()));
  CHECK(state_at_reference.outer_ring_looseness == um(0));
  for (const auto& loose : row.at("loose_um")) {
    const SeatState state = at(loose.at("T").get<double>() - 20.0);
    CHECK_THAT(in_um(state.outer_ring_looseness),
               WithinAbs(loose.at("um")[0].get<double>(), loose.at("um")[1].get<double>()));
    // The raceway is no longer squeezed: its own clearance and the looseness add up.
    CHECK_THAT(
        in_um(state.radial_float),
        WithinAbs(in_um(state.operating_clearance + state.outer_ring_looseness), rounding_in_um));
    CHECK_THAT(in_um(state.operating_clearance), WithinAbs(30.0, rounding_in_um));
  }
  const double lost_at = row.at("lost_at_dT")[0];
  const double digits = row.at("lost_at_dT")[1];
  CHECK(at(lost_at - digits).outer_ring_looseness == um(0));
  CHECK(at(lost_at + digits).outer_ring_looseness > um(0));
}

TEST_CASE("a seat of one material keeps its fits, and its clearance but for the scale") {
  // Everything grows alike: D_o - d_i - 2 D_w = 0 leaves the clearance as it is.
  const double eps = alpha_steel * 80.0;
  const SeatFits shift =
      thermal_shift(ball_bearing_diameters(mm(40), mm(80)), {eps, eps, eps, eps, eps});
  CHECK_THAT(in_um(shift.clearance), WithinAbs(0.0, rounding_in_um));
  CHECK(shift.outer_interference == um(0));
  CHECK(shift.inner_interference == um(0));
}

TEST_CASE("thermal shifts are those of diameters times differences of elongation") {
  // By hand, 40/80 mm with estimated raceways: 80 mm * (1 - 3)e-4, 40 mm * (5 - 2)e-4,
  // 72e-4 - 2 * 48e-4 - 24 * 4e-4 mm.
  const SeatFits shift =
      thermal_shift(ball_bearing_diameters(mm(40), mm(80)), {1e-4, 2e-4, 4e-4, 3e-4, 5e-4});
  CHECK_THAT(in_um(shift.outer_interference), WithinAbs(-16.0, rounding_in_um));
  CHECK_THAT(in_um(shift.inner_interference), WithinAbs(12.0, rounding_in_um));
  CHECK_THAT(in_um(shift.clearance), WithinAbs(7.2 - 9.6 - 9.6, rounding_in_um));
}

TEST_CASE("the float of a seat adds what is loose") {
  // By hand: operating clearance G - 0.5 I_o - 0.8 I_i.
  struct Row {
    double G, I_o, I_i;                       // um
    double operating, preload, outer, inner;  // um
    double radial_float;
  };
  for (const Row& row : {Row{20, 0, 0, 20, 0, 0, 0, 20}, Row{20, 10, 5, 11, 0, 0, 0, 11},
                         Row{20, -6, 5, 16, 0, 6, 0, 22}, Row{20, 10, -3, 15, 0, 0, 3, 18},
                         Row{10, 20, 10, -8, 8, 0, 0, 0}, Row{-4, -6, -3, -4, 4, 6, 3, 9},
                         Row{0, 0, 0, 0, 0, 0, 0, 0}}) {
    INFO(row.G << " " << row.I_o << " " << row.I_i);
    const SeatState state = state_with_fits({um(row.G), um(row.I_o), um(row.I_i)}, {0.5, 0.8});
    CHECK_THAT(in_um(state.operating_clearance), WithinAbs(row.operating, rounding_in_um));
    CHECK_THAT(in_um(state.radial_preload), WithinAbs(row.preload, rounding_in_um));
    CHECK_THAT(in_um(state.outer_ring_looseness), WithinAbs(row.outer, rounding_in_um));
    CHECK_THAT(in_um(state.inner_ring_looseness), WithinAbs(row.inner, rounding_in_um));
    CHECK_THAT(in_um(state.radial_float), WithinAbs(row.radial_float, rounding_in_um));
    CHECK(state.fits.clearance == um(row.G));
  }
}

TEST_CASE("float grows with clearance and temperature, and falls with interference") {
  double previous = -1.0;
  for (double G = -20.0; G <= 60.0; G += 5.0) {
    const double now = in_um(state_with_fits({um(G), um(8), um(8)}, {0.5, 0.8}).radial_float);
    CHECK(now >= previous);
    previous = now;
  }
  for (double I = -40.0; I <= 40.0; I += 5.0) {
    const double now = in_um(state_with_fits({um(30), um(I), um(0)}, {0.5, 0.8}).radial_float);
    if (I > -40.0) {
      CHECK(now < previous);
    }
    previous = now;
  }
  previous = -1.0;
  for (double dT = -60.0; dT <= 100.0; dT += 10.0) {
    const double now = in_um(seat_state(seat_40_80(), uniform(dT)).radial_float);
    CHECK(now >= previous);
    previous = now;
  }
  CHECK(previous > in_um(seat_40_80().reference.clearance));
}

TEST_CASE("the state of a seat is that of its fits plus their thermal shift") {
  const Seat seat = seat_40_80();
  const SeatState whole = seat_state(seat, uniform(30.0));
  const SeatFits shift = thermal_shift(seat.bearing, uniform(30.0));
  CHECK_THAT(in_um(whole.fits.outer_interference),
             WithinAbs(10.0 + in_um(shift.outer_interference), rounding_in_um));
  CHECK(whole.radial_float == state_with_fits(whole.fits, seat.factors).radial_float);
  const SeatState unheated = seat_state(seat, {});
  CHECK(unheated.fits.clearance == seat.reference.clearance);
  CHECK(unheated.fits.outer_interference == seat.reference.outer_interference);
  CHECK(unheated.fits.inner_interference == seat.reference.inner_interference);
}

TEST_CASE("seats that cannot be are refused") {
  CHECK_THROWS_MATCHES(ball_bearing_diameters(mm(0), mm(80)), DomainError,
                       Message("the bore of a bearing must be above 0 mm, not 0 mm"));
  CHECK_THROWS_AS(ball_bearing_diameters(mm(not_a_number), mm(80)), DomainError);
  CHECK_THROWS_AS(ball_bearing_diameters(mm(40), mm(40)), DomainError);
  CHECK_THROWS_AS(ball_bearing_diameters(mm(40), mm(infinite)), DomainError);
  CHECK_THROWS_AS(ball_bearing_diameters(mm(40), mm(80), mm(80)), DomainError);
  CHECK_THROWS_AS(ball_bearing_diameters(mm(40), mm(80), mm(not_a_number)), DomainError);
  CHECK_THROWS_AS(ball_bearing_diameters(mm(40), mm(80), mm(72), mm(40)), DomainError);
  CHECK_THROWS_AS(ball_bearing_diameters(mm(40), mm(80), mm(50), mm(50)), DomainError);

  const BearingDiameters bearing = ball_bearing_diameters(mm(40), mm(80));
  for (const double bad : {-1.0, not_a_number, infinite}) {
    CHECK_THROWS_AS(thermal_shift(bearing, {bad, 0, 0, 0, 0}), DomainError);
    CHECK_THROWS_AS(thermal_shift(bearing, {0, bad, 0, 0, 0}), DomainError);
    CHECK_THROWS_AS(thermal_shift(bearing, {0, 0, bad, 0, 0}), DomainError);
    CHECK_THROWS_AS(thermal_shift(bearing, {0, 0, 0, bad, 0}), DomainError);
    CHECK_THROWS_AS(thermal_shift(bearing, {0, 0, 0, 0, bad}), DomainError);
  }
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(state_with_fits({um(bad), um(0), um(0)}, {0.5, 0.5}), DomainError);
    CHECK_THROWS_AS(state_with_fits({um(0), um(bad), um(0)}, {0.5, 0.5}), DomainError);
    CHECK_THROWS_AS(state_with_fits({um(0), um(0), um(bad)}, {0.5, 0.5}), DomainError);
    CHECK_THROWS_AS(state_with_fits({um(0), um(0), um(0)}, {bad, 0.5}), DomainError);
  }
  CHECK_THROWS_AS(state_with_fits({um(0), um(0), um(0)}, {0.5, -0.1}), DomainError);
}
