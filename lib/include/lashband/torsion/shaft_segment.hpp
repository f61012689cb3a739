#pragma once

#include <vector>

#include "lashband/units/quantities.hpp"

/// Pieces of round shaft in torsion.
///
/// Simplifications: linear elastic; every piece twists over its whole length, steps and fits
/// neither stiffen nor soften it; keyways and splines left out.
namespace lashband::torsion {

/// A piece of constant section.
struct ShaftSegment {
  units::Length outer_diameter{};  ///< D
  units::Length inner_diameter{};  ///< d, 0 for a solid shaft
  units::Length length{};          ///< L
};

/// Every function below throws DomainError unless 0 <= d < D, the length, moduli and densities are
/// finite and above 0, and torques are finite.

/// G = E / (2 (1 + nu)) of an isotropic material. Exact. Throws DomainError unless E is finite and
/// above 0 and -1 < nu <= 0.5.
[[nodiscard]] units::Pressure isotropic_shear_modulus(units::Pressure youngs_modulus,
                                                      double poisson_ratio);

/// k = G I_p / L with I_p = pi/32 (D^4 - d^4). Exact for a round section away from its ends
/// (Saint-Venant).
[[nodiscard]] units::TorsionalStiffness torsional_stiffness(const ShaftSegment& segment,
                                                            units::Pressure shear_modulus);

/// Stiffness of springs in a row, 1 / sum(1/k). Exact. Throws DomainError unless there is one, and
/// all are finite and above 0.
[[nodiscard]] units::TorsionalStiffness in_series(
    const std::vector<units::TorsionalStiffness>& stiffnesses);

/// Polar inertia of the piece, pi/32 rho L (D^4 - d^4). Exact.
[[nodiscard]] units::Inertia inertia(const ShaftSegment& segment, units::Density density);

/// Nominal shear stress at the outer surface, 16 T D / (pi (D^4 - d^4)), 0 or more. Exact away from
/// steps and notches, where it is higher.
[[nodiscard]] units::Pressure greatest_shear_stress(const ShaftSegment& segment,
                                                    units::Torque torque);

}  // namespace lashband::torsion
