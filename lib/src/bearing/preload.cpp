#include "lashband/bearing/preload.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "requirement.hpp"

namespace lashband::bearing {
namespace {

using checks::require;
using units::from_si;
using units::Length;

constexpr double degree = std::numbers::pi / 180.0;

void check(const PreloadedPair& pair) {
  const double travel = pair.preload_travel.value();
  const double span = pair.span.value();
  const double angle = pair.contact_angle.value();
  require(pair.arrangement == Arrangement::face_to_face ||
              pair.arrangement == Arrangement::back_to_back,
          "the arrangement of a preloaded pair must be one of the two that exist",
          static_cast<double>(pair.arrangement), "");
  require(travel >= 0.0 && std::isfinite(travel), "the preload travel must be 0 mm or more",
          1e3 * travel, " mm");
  require(span > 0.0 && std::isfinite(span), "the span of a preloaded pair must be above 0 mm",
          1e3 * span, " mm");
  require(angle > 0.0 && angle < 90.0 * degree,
          "the contact angle of a preloaded pair must be above 0 deg and below 90 deg",
          angle / degree, " deg");
}

}  // namespace

Length preload_travel_left(const PreloadedPair& pair, double eps_case, double eps_shaft) {
  check(pair);
  for (const double elongation : {eps_case, eps_shaft}) {
    require(elongation > -1.0 && std::isfinite(elongation),
            "an elongation at a preloaded pair must be above -1", elongation, "");
  }
  const double loosening = pair.arrangement == Arrangement::face_to_face ? 1.0 : -1.0;
  return pair.preload_travel - loosening * (eps_case - eps_shaft) * pair.span;
}

Length preloaded_radial_float(const PreloadedPair& pair, double eps_case, double eps_shaft) {
  const double play = std::max(0.0, -preload_travel_left(pair, eps_case, eps_shaft).value());
  return from_si<Length>(play * std::tan(pair.contact_angle.value()));
}

}  // namespace lashband::bearing
