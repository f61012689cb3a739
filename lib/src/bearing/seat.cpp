#include "lashband/bearing/seat.hpp"

#include <algorithm>
#include <cmath>

#include "requirement.hpp"

namespace lashband::bearing {
namespace {

using checks::require;
using units::from_si;
using units::Length;

void require_finite(Length length, const char* rule) {
  require(std::isfinite(length.value()), rule, 1e3 * length.value(), " mm");
}

void require_elongation(double elongation) {
  require(elongation > -1.0 && std::isfinite(elongation),
          "an elongation of a part of a bearing seat must be above -1", elongation, "");
}

Length positive_part(Length length) {
  return from_si<Length>(std::max(0.0, length.value()));
}

}  // namespace

BearingDiameters ball_bearing_diameters(Length bore, Length outside,
                                        std::optional<Length> outer_raceway,
                                        std::optional<Length> inner_raceway) {
  const double d = bore.value();
  const double D = outside.value();
  require(d > 0.0 && std::isfinite(d), "the bore of a bearing must be above 0 mm", 1e3 * d, " mm");
  require(D > d && std::isfinite(D), "the outside diameter of a bearing must be above its bore",
          1e3 * D, " mm");
  BearingDiameters result;
  result.bore = bore;
  result.outside = outside;
  result.outer_raceway = outer_raceway ? *outer_raceway : 0.20 * (bore + 4.0 * outside);
  result.inner_raceway = inner_raceway ? *inner_raceway : 0.20 * (4.0 * bore + outside);
  result.ball = 0.5 * (result.outer_raceway - result.inner_raceway);
  result.raceways_estimated = !outer_raceway || !inner_raceway;
  require(result.outer_raceway < outside,
          "the outer raceway of a bearing must be below its outside diameter",
          1e3 * result.outer_raceway.value(), " mm");
  require(result.inner_raceway > bore, "the inner raceway of a bearing must be above its bore",
          1e3 * result.inner_raceway.value(), " mm");
  require(result.ball.value() > 0.0, "the outer raceway of a bearing must be above the inner one",
          1e3 * result.outer_raceway.value(), " mm");
  return result;
}

SeatFits thermal_shift(const BearingDiameters& bearing, const SeatElongations& elongations) {
  for (const double elongation : {elongations.outer_ring, elongations.inner_ring, elongations.balls,
                                  elongations.housing, elongations.shaft}) {
    require_elongation(elongation);
  }
  SeatFits shift;
  shift.clearance = bearing.outer_raceway * elongations.outer_ring -
                    bearing.inner_raceway * elongations.inner_ring -
                    2.0 * bearing.ball * elongations.balls;
  shift.outer_interference = bearing.outside * (elongations.outer_ring - elongations.housing);
  shift.inner_interference = bearing.bore * (elongations.shaft - elongations.inner_ring);
  return shift;
}

SeatState state_with_fits(const SeatFits& at_state, const RacewayFactors& factors) {
  require_finite(at_state.clearance, "the clearance of a bearing must be finite");
  require_finite(at_state.outer_interference, "the interference of an outer ring must be finite");
  require_finite(at_state.inner_interference, "the interference of an inner ring must be finite");
  for (const double factor : {factors.outer, factors.inner}) {
    require(factor >= 0.0 && std::isfinite(factor),
            "the share of an interference that a raceway takes over must be 0 or more", factor, "");
  }
  SeatState state;
  state.fits = at_state;
  state.operating_clearance = at_state.clearance -
                              factors.outer * positive_part(at_state.outer_interference) -
                              factors.inner * positive_part(at_state.inner_interference);
  state.radial_preload = positive_part(-state.operating_clearance);
  state.outer_ring_looseness = positive_part(-at_state.outer_interference);
  state.inner_ring_looseness = positive_part(-at_state.inner_interference);
  state.radial_float = positive_part(state.operating_clearance) + state.outer_ring_looseness +
                       state.inner_ring_looseness;
  return state;
}

SeatState seat_state(const Seat& seat, const SeatElongations& elongations) {
  const SeatFits shift = thermal_shift(seat.bearing, elongations);
  SeatFits at_state;
  at_state.clearance = seat.reference.clearance + shift.clearance;
  at_state.outer_interference = seat.reference.outer_interference + shift.outer_interference;
  at_state.inner_interference = seat.reference.inner_interference + shift.inner_interference;
  return state_with_fits(at_state, seat.factors);
}

}  // namespace lashband::bearing
