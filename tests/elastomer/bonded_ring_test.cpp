#include "lashband/elastomer/bonded_ring.hpp"

#include <array>
#include <boost/numeric/odeint/integrate/integrate_n_steps.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_fehlberg78.hpp>
#include <cmath>
#include <functional>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_quantities.hpp"

using namespace lashband;
using namespace lashband::elastomer;
using namespace lashband::test;
using std::numbers::pi;
using units::from_si;

namespace {

// Closed forms of some ten operations, none of which cancels more than a digit or two.
constexpr double closed_form = 1e-13;
// Runge-Kutta of order 8 in 400 steps, shot from one end: what is left is rounding times the growth
// of the solutions, some thousandfold for the thinnest ring.
constexpr double integrated = 1e-9;

BondedRing ring(double d_i, double d_o, double L) {
  return {mm(d_i), mm(d_o), mm(L)};
}

/// Plane fields u_r = U(r) cos phi, u_phi = V(r) sin phi, sigma_r = s cos phi, tau = t sin phi.
using Plane = std::array<double, 4>;
enum class Ends { free, held };

/// Equilibrium of such a field in an incompressible material with G = 1, between free ends (plane
/// stress, E/(1 - nu^2) = 4 G) or held ones (plane strain, the pressure an unknown of its own).
Plane slope(const Plane& y, double r, Ends ends) {
  const auto [U, V, s, t] = y;
  const double hoop_strain = (U + V) / r;
  double dU = 0.0;
  double hoop = 0.0;
  if (ends == Ends::free) {
    dU = s / 4.0 - hoop_strain / 2.0;
    hoop = 4.0 * (hoop_strain + dU / 2.0);
  } else {
    dU = -hoop_strain;
    hoop = s - 2.0 * (dU - hoop_strain);
  }
  return {dU, t + (U + V) / r, -(s - hoop + t) / r, (hoop - 2.0 * t) / r};
}

Plane at_outside(Plane y, double A, double B, Ends ends) {
  constexpr std::size_t steps = 400;
  boost::numeric::odeint::runge_kutta_fehlberg78<Plane> stepper;
  boost::numeric::odeint::integrate_n_steps(
      std::ref(stepper),
      [ends](const Plane& at, Plane& out, double r) { out = slope(at, r, ends); }, y, A,
      (B - A) / steps, steps);
  return y;
}

/// Force on the hub, a metre of width, for G = 1 Pa and a displacement of 1 along phi = 0, the rim
/// at rest.
double numeric_radial_stiffness(double A, double B, Ends ends) {
  const Plane moved = at_outside({1.0, -1.0, 0.0, 0.0}, A, B, ends);
  const Plane of_s = at_outside({0.0, 0.0, 1.0, 0.0}, A, B, ends);
  const Plane of_t = at_outside({0.0, 0.0, 0.0, 1.0}, A, B, ends);
  const double det = of_s[0] * of_t[1] - of_s[1] * of_t[0];
  const double s = (-moved[0] * of_t[1] + moved[1] * of_t[0]) / det;
  const double t = (-moved[1] * of_s[0] + moved[0] * of_s[1]) / det;
  return -pi * A * (s - t);
}

}  // namespace

TEST_CASE("the torsional stiffness of a ring is that of its cylinders in a row") {
  // By hand, G 1 MPa, L 30 mm, r 20 and 30 mm: 4 pi 1e6 0.03 / (2500 - 1111.1) = 271.434 N m/rad.
  CHECK_THAT(torsional_stiffness(ring(40, 60, 30), megapascal(1.0)).value(),
             WithinAbs(271.434, 5e-4));
  // The twist summed over thin cylinders, each of which carries the torque as shear over its own
  // surface: d phi = gamma dr / r with gamma = T / (2 pi r^2 L G).
  for (const double r_o : {20.5, 30.0, 80.0}) {
    INFO("r_o = " << r_o);
    constexpr int cylinders = 20000;
    const double r_i = 20.0;
    double twist = 0.0;
    for (int i = 0; i < cylinders; ++i) {
      const double r = 1e-3 * (r_i + (r_o - r_i) * (i + 0.5) / cylinders);
      const double gamma = 1.0 / (2.0 * pi * r * r * 0.03 * 1.2e6);
      twist += gamma * 1e-3 * (r_o - r_i) / cylinders / r;
    }
    // The midpoint rule: (h/r)^2 / 2 of the whole.
    CHECK_THAT(torsional_stiffness(ring(2 * r_i, 2 * r_o, 30), megapascal(1.2)).value(),
               WithinRel(1.0 / twist, 2e-7));
  }
}

TEST_CASE("a thin ring is a sheet in shear") {
  // k = G 2 pi R^3 L / h to first order in h/R, which is 1e-4.
  const double k = torsional_stiffness(ring(100.0, 100.01, 20), megapascal(2.0)).value();
  CHECK_THAT(k, WithinRel(2e6 * 2.0 * pi * std::pow(0.0500025, 3) * 0.02 / 5e-6, 1e-7));
  CHECK_THAT(greatest_shear_strain(ring(100.0, 100.01, 20), radian(1e-5)),
             WithinRel(1e-5 * 0.05 / 5e-6, 2e-4));
}

TEST_CASE("strain and stress of a ring belong together") {
  const BondedRing shown = ring(40, 60, 30);
  const auto G = megapascal(1.3);
  const units::Angle twist = radian(0.12);
  const units::TorsionalStiffness k = torsional_stiffness(shown, G);
  const units::Torque torque = from_si<units::Torque>(k.value() * twist.value());
  const double gamma = greatest_shear_strain(shown, twist);
  // By hand: 2 * 0.12 / (1 - 4/9).
  CHECK_THAT(gamma, WithinRel(0.432, closed_form));
  CHECK_THAT(greatest_shear_stress(shown, torque).value(),
             WithinRel(G.value() * gamma, closed_form));
  CHECK(greatest_shear_strain(shown, -twist) == gamma);
  CHECK(greatest_shear_stress(shown, -torque) == greatest_shear_stress(shown, torque));
}

TEST_CASE("the radial stiffness of a ring lies between plane stress and plane strain") {
  for (const double ratio : {1.02, 1.1, 1.35, 1.8, 3.0, 10.0}) {
    INFO("r_o/r_i = " << ratio);
    const auto band = radial_stiffness(ring(40, 40 * ratio, 1000), from_si<units::Pressure>(1.0));
    CHECK_THAT(band.low.value(),
               WithinRel(numeric_radial_stiffness(0.02, 0.02 * ratio, Ends::free), integrated));
    CHECK_THAT(band.high.value(),
               WithinRel(numeric_radial_stiffness(0.02, 0.02 * ratio, Ends::held), integrated));
    CHECK(band.low < band.high);
  }
}

TEST_CASE("the radial stiffness is the printed one of Adkins and Gent") {
  // Br. J. Appl. Phys. 5 (1954) 354, from memory. The logarithm cancels three digits at 1.35.
  for (const double ratio : {1.35, 2.0, 8.0}) {
    INFO("r_o/r_i = " << ratio);
    const double A = 0.015;
    const double B = A * ratio;
    const double sum = A * A + B * B;
    const double gap = B * B - A * A;
    const double GL = 0.9e6 * 0.025;
    const auto band = radial_stiffness(ring(30, 30 * ratio, 25), megapascal(0.9));
    CHECK_THAT(band.low.value(),
               WithinRel(80 * pi * GL * sum / (25 * sum * std::log(B / A) - 9 * gap), 1e-12));
    CHECK_THAT(band.high.value(),
               WithinRel(4 * pi * GL * sum / (sum * std::log(B / A) - gap), 1e-12));
  }
}

TEST_CASE("a thin ring is a film between plates") {
  // Low: a sheet between free ends, 4 G in compression and G in shear, each over half of the
  // circumference: 5 pi G L R/h. High: the film must flow around the hub, 12 pi G L (R/h)^3 as in
  // Reynolds' equation of a thin bearing. First order in h/R, which is 1e-5.
  const double h = 2.5e-7;
  const double R = 0.025 + h / 2.0;
  const auto band = radial_stiffness(ring(50, 50.0005, 10), megapascal(1.0));
  CHECK_THAT(band.low.value(), WithinRel(5 * pi * 1e4 * R / h, 1e-9));
  CHECK_THAT(band.high.value(), WithinRel(12 * pi * 1e4 * std::pow(R / h, 3), 1e-9));
}

TEST_CASE("a ring without sense is refused") {
  const auto G = megapascal(1.0);
  CHECK_THROWS_MATCHES(
      torsional_stiffness(ring(60, 40, 30), G), DomainError,
      Message("the outer diameter of an elastomer ring must be above its inner one, not 40 mm"));
  CHECK_THROWS_AS(torsional_stiffness(ring(0, 40, 30), G), DomainError);
  CHECK_THROWS_AS(torsional_stiffness(ring(40, 40, 30), G), DomainError);
  CHECK_THROWS_AS(torsional_stiffness(ring(40, 60, 0), G), DomainError);
  CHECK_THROWS_AS(radial_stiffness(ring(40, 60, -1), G), DomainError);
  CHECK_THROWS_AS(radial_stiffness(ring(40, 60, 30), megapascal(0)), DomainError);
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(torsional_stiffness(ring(bad, 60, 30), G), DomainError);
    CHECK_THROWS_AS(torsional_stiffness(ring(40, bad, 30), G), DomainError);
    CHECK_THROWS_AS(torsional_stiffness(ring(40, 60, bad), G), DomainError);
    CHECK_THROWS_AS(torsional_stiffness(ring(40, 60, 30), megapascal(bad)), DomainError);
    CHECK_THROWS_AS(greatest_shear_strain(ring(40, 60, 30), radian(bad)), DomainError);
    CHECK_THROWS_AS(greatest_shear_stress(ring(40, 60, 30), from_si<units::Torque>(bad)),
                    DomainError);
  }
}
