#pragma once

#include <vector>

#include "lashband/units/quantities.hpp"

namespace lashband::bearing {

/// The share of each seat's float that arrives at a gear, for a rigid shaft whose ends may move
/// independently and either way:
///   two seats at x_a, x_b and the gear at x:  |x_b - x| / |x_b - x_a| and |x - x_a| / |x_b - x_a|
///   one seat:                                 1 (a tilt of the shaft is left out)
/// The float at the gear is the sum of weight times float. Between the seats the weights add up to
/// 1; outside, where a gear overhangs, one is above 1 and the sum with it.
///
/// Exact. Throws DomainError unless there are one or two seats, at different, finite places.
[[nodiscard]] std::vector<double> float_weights(const std::vector<units::Length>& seat_places,
                                                units::Length gear_place);

}  // namespace lashband::bearing
