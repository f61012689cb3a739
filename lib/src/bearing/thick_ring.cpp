#include "lashband/bearing/thick_ring.hpp"

#include <cmath>

#include "requirement.hpp"

namespace lashband::bearing {
namespace {

using checks::require;
using units::from_si;
using units::Length;
using units::Pressure;

void check_material(const FitPart& part) {
  const double E = part.youngs_modulus.value();
  require(E > 0.0 && std::isfinite(E), "Young's modulus of a fitted part must be above 0 MPa",
          1e-6 * E, " MPa");
  require(part.poisson_ratio >= 0.0 && part.poisson_ratio <= 0.5,
          "Poisson's ratio of a fitted part must be from 0 to 0.5", part.poisson_ratio, "");
}

void check(const PressFit& fit) {
  const double D = fit.diameter.value();
  const double d_i = fit.inside.free_diameter.value();
  const double D_a = fit.around.free_diameter.value();
  require(D > 0.0 && std::isfinite(D), "the diameter of a fit must be above 0 mm", 1e3 * D, " mm");
  require(d_i >= 0.0 && d_i < D,
          "the inner diameter of the part inside a fit must be 0 mm or more, below that of the fit",
          1e3 * d_i, " mm");
  require(D_a > D, "the outer diameter of the part around a fit must be above that of the fit",
          1e3 * D_a, " mm");
  check_material(fit.inside);
  check_material(fit.around);
}

// C_i and C_a of the header; diameters enter as ratios below 1, so that an infinite wall is one
// more number.
double inside_coefficient(const PressFit& fit) {
  const double ratio = (fit.inside.free_diameter / fit.diameter).value();
  return (1.0 + ratio * ratio) / ((1.0 - ratio) * (1.0 + ratio)) - fit.inside.poisson_ratio;
}

double around_coefficient(const PressFit& fit) {
  const double ratio = (fit.diameter / fit.around.free_diameter).value();
  return (1.0 + ratio * ratio) / ((1.0 - ratio) * (1.0 + ratio)) + fit.around.poisson_ratio;
}

// 2 q / (1 - q^2): what a ring with the ratio q of its diameters makes of a pressure on one surface
// at the other.
double far_surface(double ratio) {
  return 2.0 * ratio / ((1.0 - ratio) * (1.0 + ratio));
}

}  // namespace

Pressure interface_pressure(const PressFit& fit, Length interference) {
  check(fit);
  const double I = interference.value();
  require(std::isfinite(I), "an interference must be finite", 1e3 * I, " mm");
  if (I <= 0.0) {
    return from_si<Pressure>(0.0);
  }
  return from_si<Pressure>(
      I / (fit.diameter.value() * (inside_coefficient(fit) / fit.inside.youngs_modulus.value() +
                                   around_coefficient(fit) / fit.around.youngs_modulus.value())));
}

double outer_ring_contraction_factor(const PressFit& fit) {
  check(fit);
  require(fit.inside.free_diameter.value() > 0.0, "the raceway of an outer ring must be above 0 mm",
          1e3 * fit.inside.free_diameter.value(), " mm");
  const double stiffness_ratio = (fit.inside.youngs_modulus / fit.around.youngs_modulus).value();
  return far_surface((fit.inside.free_diameter / fit.diameter).value()) /
         (inside_coefficient(fit) + around_coefficient(fit) * stiffness_ratio);
}

double inner_ring_expansion_factor(const PressFit& fit) {
  check(fit);
  require(std::isfinite(fit.around.free_diameter.value()),
          "the raceway of an inner ring must be finite", 1e3 * fit.around.free_diameter.value(),
          " mm");
  const double stiffness_ratio = (fit.around.youngs_modulus / fit.inside.youngs_modulus).value();
  return far_surface((fit.diameter / fit.around.free_diameter).value()) /
         (around_coefficient(fit) + inside_coefficient(fit) * stiffness_ratio);
}

}  // namespace lashband::bearing
