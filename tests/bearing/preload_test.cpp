#include "lashband/bearing/preload.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "reference.hpp"

using namespace lashband;
using namespace lashband::bearing;
using namespace lashband::test;

namespace {

constexpr double degree = std::numbers::pi / 180.0;
const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

units::Angle deg(double value) {
  return units::from_si<units::Angle>(value * degree);
}

PreloadedPair pair_of(Arrangement arrangement = Arrangement::face_to_face) {
  return {arrangement, um(30), mm(100), deg(15)};
}

}  // namespace

TEST_CASE("preload travel is used up by an aluminium case that grows") {
  // By hand: 100 mm * (21 - 12)e-6/K * 20 K = 18 um of 30 um.
  const PreloadedPair pair = pair_of();
  CHECK_THAT(in_um(preload_travel_left(pair, 21e-6 * 20, 12e-6 * 20)),
             WithinAbs(12.0, rounding_in_um));
  CHECK(preloaded_radial_float(pair, 21e-6 * 20, 12e-6 * 20) == um(0));
  CHECK(preload_travel_left(pair, 0.0, 0.0) == um(30));
  CHECK(preloaded_radial_float(pair, 0.0, 0.0) == um(0));
}

TEST_CASE("axial play becomes radial float through the contact angle") {
  // By hand: 100 mm * 9e-6/K * 80 K = 72 um, 42 um beyond the travel, times tan 15 deg = 0.267949.
  constexpr double digits_of_tan = 1e-4;
  const units::Length radial_float = preloaded_radial_float(pair_of(), 21e-6 * 80, 12e-6 * 80);
  CHECK_THAT(in_um(radial_float), WithinAbs(42.0 * 0.267949, digits_of_tan));
}

TEST_CASE("the float is that of a ball in two grooves, for small play") {
  // Independent: in contact the centres of curvature of the two grooves lie A = r_i + r_o - D_w
  // apart, at the contact angle. Moved along the shaft by x, they are A apart again after the way
  // y across it: (A sin alpha - x)^2 + (A cos alpha + y)^2 = A^2.
  constexpr double A = 1000.0;  // um
  constexpr double play = 1.0;  // um
  const double alpha = 25.0 * degree;
  PreloadedPair pair = pair_of();
  pair.preload_travel = um(0);
  pair.contact_angle = deg(25);
  const double along = A * std::sin(alpha) - play;
  const double exact = std::sqrt(A * A - along * along) - A * std::cos(alpha);
  constexpr double second_order = 2.0 * play / A;
  CHECK_THAT(in_um(preloaded_radial_float(pair, play / 100e3, 0.0)),
             WithinRel(exact, second_order));
}

TEST_CASE("bearings back to back loosen in the cold") {
  const PreloadedPair pair = pair_of(Arrangement::back_to_back);
  CHECK_THAT(in_um(preload_travel_left(pair, 21e-6 * 20, 12e-6 * 20)),
             WithinAbs(48.0, rounding_in_um));
  CHECK(preloaded_radial_float(pair, 21e-6 * 80, 12e-6 * 80) == um(0));
  CHECK(preloaded_radial_float(pair, 21e-6 * -60, 12e-6 * -60) > um(0));
  // One is the mirror image of the other.
  CHECK(preloaded_radial_float(pair, -2e-3, -1e-3) ==
        preloaded_radial_float(pair_of(), 2e-3, 1e-3));
}

TEST_CASE("preloaded float never falls as the case grows away from the shaft") {
  double previous = 0.0;
  for (double dT = -60.0; dT <= 100.0; dT += 5.0) {
    const double now = in_um(preloaded_radial_float(pair_of(), 21e-6 * dT, 12e-6 * dT));
    CHECK(now >= previous);
    previous = now;
  }
  CHECK(previous > 0.0);
}

TEST_CASE("preloaded pairs that cannot be are refused") {
  const auto refused = [](const PreloadedPair& pair) {
    CHECK_THROWS_AS(preload_travel_left(pair, 0.0, 0.0), DomainError);
    CHECK_THROWS_AS(preloaded_radial_float(pair, 0.0, 0.0), DomainError);
  };
  for (const double travel : {-1.0, not_a_number, infinite}) {
    PreloadedPair pair = pair_of();
    pair.preload_travel = um(travel);
    refused(pair);
  }
  for (const double span : {0.0, -1.0, not_a_number, infinite}) {
    PreloadedPair pair = pair_of();
    pair.span = mm(span);
    refused(pair);
  }
  for (const double angle : {0.0, -15.0, 90.0, not_a_number}) {
    PreloadedPair pair = pair_of();
    pair.contact_angle = deg(angle);
    refused(pair);
  }
  refused(pair_of(static_cast<Arrangement>(2)));
  for (const double bad : {-1.0, not_a_number, infinite}) {
    CHECK_THROWS_AS(preload_travel_left(pair_of(), bad, 0.0), DomainError);
    CHECK_THROWS_AS(preload_travel_left(pair_of(), 0.0, bad), DomainError);
  }
  PreloadedPair none = pair_of();
  none.preload_travel = um(0);
  CHECK_NOTHROW(preload_travel_left(none, 0.0, 0.0));
}
