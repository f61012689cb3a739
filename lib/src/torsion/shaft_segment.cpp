#include "lashband/torsion/shaft_segment.hpp"

#include <cmath>

#include "requirement.hpp"
#include "torsion/polar_moment.hpp"

namespace lashband::torsion {
namespace {

using checks::require;
using checks::require_not_negative;
using checks::require_positive;
using units::from_si;

double checked_polar_moment(const ShaftSegment& segment) {
  const double D = segment.outer_diameter.value();
  const double d = segment.inner_diameter.value();
  require_not_negative("the inner diameter of a shaft must be 0 mm or more", 1e3 * d, " mm");
  require(D > d && std::isfinite(D), "the outer diameter of a shaft must be above its inner one",
          1e3 * D, " mm");
  require_positive("the length of a piece of shaft must be above 0 mm",
                   1e3 * segment.length.value(), " mm");
  return kernel::polar_moment(D, d);
}

}  // namespace

units::Pressure isotropic_shear_modulus(units::Pressure youngs_modulus, double poisson_ratio) {
  require_positive("Young's modulus must be above 0 GPa", 1e-9 * youngs_modulus.value(), " GPa");
  require(poisson_ratio > -1.0 && poisson_ratio <= 0.5,
          "Poisson's ratio must be above -1 and at most 0.5", poisson_ratio, "");
  return youngs_modulus / (2.0 * (1.0 + poisson_ratio));
}

units::TorsionalStiffness torsional_stiffness(const ShaftSegment& segment,
                                              units::Pressure shear_modulus) {
  const double I_p = checked_polar_moment(segment);
  require_positive("the shear modulus of a shaft must be above 0 GPa", 1e-9 * shear_modulus.value(),
                   " GPa");
  return from_si<units::TorsionalStiffness>(shear_modulus.value() * I_p / segment.length.value());
}

units::TorsionalStiffness in_series(const std::vector<units::TorsionalStiffness>& stiffnesses) {
  require(!stiffnesses.empty(), "springs in a row must be 1 or more", 0.0, "");
  double compliance = 0.0;
  for (const units::TorsionalStiffness& stiffness : stiffnesses) {
    require_positive("the stiffness of a spring in a row must be above 0 N m/rad",
                     stiffness.value(), " N m/rad");
    compliance += 1.0 / stiffness.value();
  }
  return from_si<units::TorsionalStiffness>(1.0 / compliance);
}

units::Inertia inertia(const ShaftSegment& segment, units::Density density) {
  const double I_p = checked_polar_moment(segment);
  require_positive("the density of a shaft must be above 0 kg/m3", density.value(), " kg/m3");
  return from_si<units::Inertia>(density.value() * segment.length.value() * I_p);
}

units::Pressure greatest_shear_stress(const ShaftSegment& segment, units::Torque torque) {
  const double I_p = checked_polar_moment(segment);
  require(std::isfinite(torque.value()), "the torque of a shaft must be finite", torque.value(),
          " N m");
  return from_si<units::Pressure>(std::abs(torque.value()) * 0.5 * segment.outer_diameter.value() /
                                  I_p);
}

}  // namespace lashband::torsion
