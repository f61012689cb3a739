#include "lashband/bearing/float_at_gear.hpp"

#include <cmath>

#include "requirement.hpp"

namespace lashband::bearing {

using checks::require;
using units::Length;

std::vector<double> float_weights(const std::vector<Length>& seat_places, Length gear_place) {
  require(seat_places.size() == 1 || seat_places.size() == 2,
          "the seats of a shaft with float must be one or two",
          static_cast<double>(seat_places.size()), "");
  for (const Length& place : seat_places) {
    require(std::isfinite(place.value()), "the axial place of a bearing must be finite",
            1e3 * place.value(), " mm");
  }
  const double x = gear_place.value();
  require(std::isfinite(x), "the axial place of a gear must be finite", 1e3 * x, " mm");
  if (seat_places.size() == 1) {
    return {1.0};
  }
  const double x_a = seat_places.front().value();
  const double x_b = seat_places.back().value();
  const double span = std::abs(x_b - x_a);
  require(span > 0.0, "the axial places of two bearings must differ", 1e3 * x_b, " mm twice");
  return {std::abs(x_b - x) / span, std::abs(x - x_a) / span};
}

}  // namespace lashband::bearing
