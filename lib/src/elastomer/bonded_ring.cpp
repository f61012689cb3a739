#include "lashband/elastomer/bonded_ring.hpp"

#include <cmath>
#include <numbers>

#include "requirement.hpp"

namespace lashband::elastomer {
namespace {

using checks::require;
using checks::require_positive;
using std::numbers::pi;
using units::from_si;

/// Radii and width in metres.
struct Radii {
  double inner = 0.0;
  double outer = 0.0;
  double width = 0.0;
};

Radii checked(const BondedRing& ring) {
  const double d_i = 1e3 * ring.inner_diameter.value();
  const double d_o = 1e3 * ring.outer_diameter.value();
  require_positive("the inner diameter of an elastomer ring must be above 0 mm", d_i, " mm");
  require(d_o > d_i && std::isfinite(d_o),
          "the outer diameter of an elastomer ring must be above its inner one", d_o, " mm");
  require_positive("the width of an elastomer ring must be above 0 mm", 1e3 * ring.width.value(),
                   " mm");
  return {0.5 * ring.inner_diameter.value(), 0.5 * ring.outer_diameter.value(), ring.width.value()};
}

double checked(units::Pressure shear_modulus) {
  require_positive("the shear modulus of an elastomer must be above 0 MPa",
                   1e-6 * shear_modulus.value(), " MPa");
  return shear_modulus.value();
}

/// 1 - (r_i/r_o)^2 without the cancellation of a thin ring.
double hollow_share(const Radii& radii) {
  return (radii.outer - radii.inner) * (radii.outer + radii.inner) / (radii.outer * radii.outer);
}

/// atanh(q) - q for 0 < q < 1: its series where the difference would cancel.
double excess_of_atanh(double q) {
  if (q > 0.3) {
    return std::atanh(q) - q;
  }
  const double square = q * q;
  double power = q * square;
  double sum = 0.0;
  // 0.3^2 a term: 20 terms leave less than 1e-21 of the first one.
  for (int n = 3; n <= 41; n += 2) {
    sum += power / n;
    power *= square;
  }
  return sum;
}

}  // namespace

units::TorsionalStiffness torsional_stiffness(const BondedRing& ring,
                                              units::Pressure shear_modulus) {
  const Radii radii = checked(ring);
  const double G = checked(shear_modulus);
  return from_si<units::TorsionalStiffness>(4.0 * pi * G * radii.width * radii.inner * radii.inner /
                                            hollow_share(radii));
}

double greatest_shear_strain(const BondedRing& ring, units::Angle twist) {
  const Radii radii = checked(ring);
  require(std::isfinite(twist.value()), "the twist of an elastomer ring must be finite",
          twist.value(), " rad");
  return 2.0 * std::abs(twist.value()) / hollow_share(radii);
}

units::Pressure greatest_shear_stress(const BondedRing& ring, units::Torque torque) {
  const Radii radii = checked(ring);
  require(std::isfinite(torque.value()), "the torque of an elastomer ring must be finite",
          torque.value(), " N m");
  return from_si<units::Pressure>(std::abs(torque.value()) /
                                  (2.0 * pi * radii.inner * radii.inner * radii.width));
}

units::Band<units::LinearStiffness> radial_stiffness(const BondedRing& ring,
                                                     units::Pressure shear_modulus) {
  const Radii radii = checked(ring);
  const double GL = checked(shear_modulus) * radii.width;
  // Both formulas over (A^2 + B^2), with q = (B^2 - A^2)/(B^2 + A^2), of which ln(B/A) is atanh(q).
  const double squares = radii.outer * radii.outer + radii.inner * radii.inner;
  const double q = (radii.outer - radii.inner) * (radii.outer + radii.inner) / squares;
  const double excess = excess_of_atanh(q);
  return {from_si<units::LinearStiffness>(80.0 * pi * GL / (25.0 * excess + 16.0 * q)),
          from_si<units::LinearStiffness>(4.0 * pi * GL / excess)};
}

}  // namespace lashband::elastomer
