#include "lashband/torsion/inertia.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"

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
units::Density density(double value) {
  return from_si<units::Density>(value);
}

double cylinder(double D, double d, double b, double rho = 7830.0) {
  return hollow_cylinder_inertia(mm(D), mm(d), mm(b), density(rho)).value();
}

/// Polar second moment of area of a spur gear of module 1 mm in mm4, its involute teeth (20 deg,
/// h_aP 1, h_fP 1.25) counted ring by ring, with radial flanks below the base circle and no fillet.
double counted_teeth(int z, double x) {
  const double alpha = pi / 9.0;
  const auto involute = [](double angle) { return std::tan(angle) - angle; };
  const double base = 0.5 * z * std::cos(alpha);
  const double tip = 0.5 * z + 1.0 + x;
  const double root = 0.5 * z - 1.25 + x;
  const double half_at_base = (pi / 2.0 + 2.0 * x * std::tan(alpha)) / z + involute(alpha);
  constexpr int rings = 20000;
  const double step = (tip - root) / rings;
  double moment = pi / 2.0 * std::pow(root, 4);
  for (int i = 0; i < rings; ++i) {
    const double r = root + (i + 0.5) * step;
    const double half = half_at_base - (r > base ? involute(std::acos(base / r)) : 0.0);
    moment += 2.0 * z * half * r * r * r * step;
  }
  return moment;
}

}  // namespace

TEST_CASE("the inertia of a hollow cylinder") {
  // By hand: pi/32 * 7830 * 0.02 * 0.1^4.
  CHECK_THAT(cylinder(100, 0, 20), WithinRel(1.537416904e-3, 1e-8));
  // Ring by ring.
  double sum = 0.0;
  constexpr int rings = 100000;
  for (int i = 0; i < rings; ++i) {
    const double r = 0.02 + 0.03 * (i + 0.5) / rings;
    sum += 2.0 * pi * r * r * r * 0.03 / rings;
  }
  CHECK_THAT(cylinder(100, 40, 25, 2700.0), WithinRel(sum * 2700.0 * 0.025, 1e-9));
  CHECK_THAT(cylinder(100, 40, 25),
             WithinRel(cylinder(100, 0, 25) - cylinder(40, 0, 25), rounding));
  // A thin ring is its mass at its radius: rho pi D t b (D/2)^2, to first order in t/D.
  CHECK_THAT(cylinder(200.001, 199.999, 10),
             WithinRel(7830.0 * pi * 0.2 * 1e-6 * 0.01 * 0.01, 1e-9));
}

TEST_CASE("a gear counts as a cylinder of its mean tooth diameter") {
  CHECK_THAT(mean_tooth_diameter(mm(96), mm(82.5)).value(), WithinRel(89.25e-3, rounding));
  CHECK_THAT(gear_inertia(mm(96), mm(82.5), mm(30), mm(20), density(7830)).value(),
             WithinRel(cylinder(89.25, 30, 20), rounding));
  CHECK_THAT(ring_gear_inertia(mm(220), mm(180), mm(193.5), mm(20), density(7830)).value(),
             WithinRel(cylinder(220, 186.75, 20), rounding));
}

TEST_CASE("the mean tooth diameter leaves out a little of the teeth") {
  // Share of the inertia that is missing of a solid gear, for the comment of gear_inertia.
  struct Row {
    int z;
    double missing;
  };
  for (const Row& row : {Row{17, 0.048}, Row{30, 0.022}, Row{60, 0.010}}) {
    INFO(row.z << " teeth");
    const double J =
        gear_inertia(mm(row.z + 2.0), mm(row.z - 2.5), mm(0.0), mm(1.0), density(1.0)).value();
    // mm4 to m4, a width of 1 mm.
    const double counted = 1e-12 * 1e-3 * counted_teeth(row.z, 0.0);
    CHECK_THAT(1.0 - J / counted, WithinAbs(row.missing, 1e-3));
  }
}

TEST_CASE("bodies without sense are refused") {
  CHECK_THROWS_MATCHES(
      cylinder(40, 60, 10), DomainError,
      Message("the outer diameter of a hollow cylinder must be above its inner one, not 40 mm"));
  CHECK_THROWS_AS(cylinder(40, 40, 10), DomainError);
  CHECK_THROWS_AS(cylinder(40, -1, 10), DomainError);
  CHECK_THROWS_AS(cylinder(40, 10, 0), DomainError);
  CHECK_THROWS_AS(cylinder(40, 10, 10, 0), DomainError);
  for (const double bad : {not_a_number, infinite}) {
    CHECK_THROWS_AS(cylinder(bad, 10, 10), DomainError);
    CHECK_THROWS_AS(cylinder(40, bad, 10), DomainError);
    CHECK_THROWS_AS(cylinder(40, 10, bad), DomainError);
    CHECK_THROWS_AS(cylinder(40, 10, 10, bad), DomainError);
    CHECK_THROWS_AS(mean_tooth_diameter(mm(bad), mm(30)), DomainError);
    CHECK_THROWS_AS(mean_tooth_diameter(mm(40), mm(bad)), DomainError);
  }
  const auto rho = density(7830);
  CHECK_THROWS_AS(mean_tooth_diameter(mm(-40), mm(30)), DomainError);
  CHECK_THROWS_AS(gear_inertia(mm(40), mm(45), mm(10), mm(10), rho), DomainError);
  CHECK_THROWS_AS(gear_inertia(mm(40), mm(35), mm(35), mm(10), rho), DomainError);
  CHECK_THROWS_AS(gear_inertia(mm(40), mm(35), mm(not_a_number), mm(10), rho), DomainError);
  CHECK_THROWS_AS(ring_gear_inertia(mm(220), mm(193), mm(180), mm(10), rho), DomainError);
  CHECK_THROWS_AS(ring_gear_inertia(mm(190), mm(180), mm(193), mm(10), rho), DomainError);
}
