#include "lashband/torsion/inertia.hpp"

#include <cmath>

#include "requirement.hpp"
#include "torsion/polar_moment.hpp"

namespace lashband::torsion {
namespace {

using checks::require;
using checks::require_not_negative;
using checks::require_positive;

double in_millimetres(units::Length length) {
  return 1e3 * length.value();
}

}  // namespace

units::Inertia hollow_cylinder_inertia(units::Length outer_diameter, units::Length inner_diameter,
                                       units::Length width, units::Density density) {
  require_not_negative("the inner diameter of a hollow cylinder must be 0 mm or more",
                       in_millimetres(inner_diameter), " mm");
  require(outer_diameter > inner_diameter && std::isfinite(outer_diameter.value()),
          "the outer diameter of a hollow cylinder must be above its inner one",
          in_millimetres(outer_diameter), " mm");
  require_positive("the width of a hollow cylinder must be above 0 mm", in_millimetres(width),
                   " mm");
  require_positive("the density of a part must be above 0 kg/m3", density.value(), " kg/m3");
  return units::from_si<units::Inertia>(
      density.value() * width.value() *
      kernel::polar_moment(outer_diameter.value(), inner_diameter.value()));
}

units::Length mean_tooth_diameter(units::Length tip_diameter, units::Length root_diameter) {
  require_positive("the tip diameter of a gear must be above 0 mm", in_millimetres(tip_diameter),
                   " mm");
  require_positive("the root diameter of a gear must be above 0 mm", in_millimetres(root_diameter),
                   " mm");
  return 0.5 * (tip_diameter + root_diameter);
}

units::Inertia gear_inertia(units::Length tip_diameter, units::Length root_diameter,
                            units::Length bore, units::Length width, units::Density density) {
  const units::Length d_m = mean_tooth_diameter(tip_diameter, root_diameter);
  require(tip_diameter > root_diameter,
          "the tip diameter of a gear must be above its root diameter",
          in_millimetres(tip_diameter), " mm");
  require(bore < root_diameter, "the bore of a gear must be below its root diameter",
          in_millimetres(bore), " mm");
  return hollow_cylinder_inertia(d_m, bore, width, density);
}

units::Inertia ring_gear_inertia(units::Length outside_diameter, units::Length tip_diameter,
                                 units::Length root_diameter, units::Length width,
                                 units::Density density) {
  const units::Length d_m = mean_tooth_diameter(tip_diameter, root_diameter);
  require(tip_diameter < root_diameter,
          "the tip diameter of a ring gear must be below its root diameter",
          in_millimetres(tip_diameter), " mm");
  require(outside_diameter > root_diameter,
          "the outside diameter of a ring gear must be above its root diameter",
          in_millimetres(outside_diameter), " mm");
  return hollow_cylinder_inertia(outside_diameter, d_m, width, density);
}

}  // namespace lashband::torsion
