#include "lashband/torsion/shaft_segment.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/torsion/inertia.hpp"

using namespace lashband;
using namespace lashband::torsion;
using std::numbers::pi;
using units::from_si;

namespace {

// A handful of products.
constexpr double rounding = 1e-14;

const double not_a_number = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

units::Length mm(double value) {
  return from_si<units::Length>(1e-3 * value);
}
units::Pressure gigapascal(double value) {
  return from_si<units::Pressure>(1e9 * value);
}
units::TorsionalStiffness newton_metre_per_radian(double value) {
  return from_si<units::TorsionalStiffness>(value);
}

double stiffness(double D, double d, double L, double G = 84.0) {
  return torsional_stiffness({mm(D), mm(d), mm(L)}, gigapascal(G)).value();
}

double stress(double D, double d, double T) {
  return greatest_shear_stress({mm(D), mm(d), mm(100)}, from_si<units::Torque>(T)).value();
}

}  // namespace

TEST_CASE("the stiffness of a shaft of a published question") {
  // Published (textbook question on web pages, the power of ten misprinted): three rotors on a
  // shaft of 70 mm, I_p = 2.36e-6 m4; computed 2.357176e-6. A metre of G = 1 Pa has it as
  // stiffness.
  const double I_p = stiffness(70, 0, 1000, 1e-9);
  CHECK_THAT(I_p, WithinAbs(2.36e-6, 0.005e-6));
  CHECK_THAT(I_p, WithinAbs(2.357176e-6, 5e-13));
}

TEST_CASE("shafts of a geared system add up over the ratio") {
  // Exact: d 60 mm, L 300 mm and d 100 mm, L 600 mm, G 84 GPa, speeds 3 to 1.
  const double k_1 = stiffness(60, 0, 300);
  const double k_2 = stiffness(100, 0, 600);
  CHECK_THAT(k_1, WithinAbs(356256.607, 5e-4));
  CHECK_THAT(k_2, WithinAbs(1374446.786, 5e-4));
  CHECK_THAT(in_series({newton_metre_per_radian(k_1), newton_metre_per_radian(k_2 / 9.0)}).value(),
             WithinAbs(106894.085, 5e-4));
}

TEST_CASE("a hollow shaft is a solid one less its bore") {
  CHECK_THAT(stiffness(50, 30, 200),
             WithinRel(stiffness(50, 0, 200) - stiffness(30, 0, 200), 1e-14));
  // A thin tube: G 2 pi r^3 t / L, to second order in t/r.
  CHECK_THAT(stiffness(100.01, 99.99, 500),
             WithinRel(84e9 * 2.0 * pi * std::pow(0.05, 3) * 1e-5 / 0.5, 1e-7));
}

TEST_CASE("pieces in a row are softer than each") {
  const double whole = stiffness(40, 10, 300);
  CHECK_THAT(in_series({newton_metre_per_radian(stiffness(40, 10, 100)),
                        newton_metre_per_radian(stiffness(40, 10, 200))})
                 .value(),
             WithinRel(whole, rounding));
  CHECK_THAT(in_series({newton_metre_per_radian(whole)}).value(), WithinRel(whole, rounding));
}

TEST_CASE("the stress of a shaft carries its torque") {
  // 16 T / (pi d^3) of a solid one.
  CHECK_THAT(stress(40, 0, 500), WithinRel(16.0 * 500.0 / (pi * 64e-6), rounding));
  CHECK(stress(40, 0, -500) == stress(40, 0, 500));
  // Stress in proportion to the radius, ring by ring.
  const double tau = stress(60, 35, 900);
  double torque = 0.0;
  constexpr int rings = 20000;
  for (int i = 0; i < rings; ++i) {
    const double r = 0.0175 + 0.0125 * (i + 0.5) / rings;
    torque += tau * r / 0.03 * 2.0 * pi * r * r * 0.0125 / rings;
  }
  CHECK_THAT(torque, WithinRel(900.0, 1e-8));
}

TEST_CASE("the inertia of a shaft is that of its cylinder") {
  const auto rho = from_si<units::Density>(7830.0);
  CHECK(inertia({mm(40), mm(10), mm(300)}, rho).value() ==
        hollow_cylinder_inertia(mm(40), mm(10), mm(300), rho).value());
}

TEST_CASE("the shear modulus of an isotropic material") {
  // By hand: 210/2.6.
  CHECK_THAT(isotropic_shear_modulus(gigapascal(210), 0.3).value(),
             WithinRel(80.76923076923077e9, rounding));
  CHECK_THAT(isotropic_shear_modulus(gigapascal(3), 0.5).value(), WithinRel(1e9, rounding));
  CHECK_THROWS_AS(isotropic_shear_modulus(gigapascal(210), 0.51), DomainError);
  CHECK_THROWS_AS(isotropic_shear_modulus(gigapascal(210), -1.0), DomainError);
  CHECK_THROWS_AS(isotropic_shear_modulus(gigapascal(210), not_a_number), DomainError);
  CHECK_THROWS_AS(isotropic_shear_modulus(gigapascal(0), 0.3), DomainError);
}

TEST_CASE("shafts without sense are refused") {
  CHECK_THROWS_MATCHES(stiffness(30, 40, 100), DomainError,
                       Message("the outer diameter of a shaft must be above its inner one, not 30 "
                               "mm"));
  CHECK_THROWS_AS(stiffness(40, 40, 100), DomainError);
  CHECK_THROWS_AS(stiffness(40, -1, 100), DomainError);
  CHECK_THROWS_AS(stiffness(40, 10, 0), DomainError);
  CHECK_THROWS_AS(stiffness(40, 10, 100, 0), DomainError);
  CHECK_THROWS_MATCHES(in_series({}), DomainError,
                       Message("springs in a row must be 1 or more, not 0"));
  CHECK_THROWS_AS(in_series({newton_metre_per_radian(1.0), newton_metre_per_radian(0.0)}),
                  DomainError);
  CHECK_THROWS_AS(inertia({mm(40), mm(10), mm(100)}, from_si<units::Density>(0.0)), DomainError);
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(stiffness(bad, 10, 100), DomainError);
    CHECK_THROWS_AS(stiffness(40, bad, 100), DomainError);
    CHECK_THROWS_AS(stiffness(40, 10, bad), DomainError);
    CHECK_THROWS_AS(stiffness(40, 10, 100, bad), DomainError);
    CHECK_THROWS_AS(stress(40, 10, bad), DomainError);
    CHECK_THROWS_AS(in_series({newton_metre_per_radian(bad)}), DomainError);
    CHECK_THROWS_AS(inertia({mm(40), mm(10), mm(100)}, from_si<units::Density>(bad)), DomainError);
  }
}
