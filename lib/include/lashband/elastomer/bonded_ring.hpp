#pragma once

#include "lashband/units/quantities.hpp"

/// A ring of elastomer bonded to a hub inside and to a rim outside, its ends free.
///
/// Simplifications: linear, incompressible material of one modulus; hub and rim rigid; a bond
/// without flaw; no preload from shrinkage or from a fit.
namespace lashband::elastomer {

/// Its faces are plane and as wide inside as outside.
struct BondedRing {
  units::Length inner_diameter{};  ///< d_i = 2 r_i, of the hub
  units::Length outer_diameter{};  ///< d_o = 2 r_o, of the rim's bore
  units::Length width{};           ///< L
};

/// Every function below throws DomainError unless 0 < d_i < d_o, the width and the modulus are
/// finite and above 0, and angles and torques are finite.

/// Torque over twist of the rim against the hub,
///   k = 4 pi G L / (1/r_i^2 - 1/r_o^2).
///
/// Exact, for neo-Hookean material at any twist: every cylinder turns as a whole, the ends stay
/// free of stress. Derived in docs/theory/elastomer.md.
[[nodiscard]] units::TorsionalStiffness torsional_stiffness(const BondedRing& ring,
                                                            units::Pressure shear_modulus);

/// The greatest amount of shear (the tangent of its angle), at the hub. It rises with the twist as
///   gamma = 2 theta / (1 - (r_i/r_o)^2)
/// Exact, 0 or more for a twist of either sense.
[[nodiscard]] double greatest_shear_strain(const BondedRing& ring, units::Angle twist);

/// The greatest shear stress, at the bond to the hub, T / (2 pi r_i^2 L). Exact; 0 or more.
[[nodiscard]] units::Pressure greatest_shear_stress(const BondedRing& ring, units::Torque torque);

/// Radial force over the displacement of the hub against the rim, axes kept parallel. With r_i = A
/// and r_o = B,
///   low   80 pi G L (A^2 + B^2) / (25 (A^2 + B^2) ln(B/A) - 9 (B^2 - A^2))
///   high   4 pi G L (A^2 + B^2) / ((A^2 + B^2) ln(B/A) - (B^2 - A^2))
/// The low end is the plane-stress solution, reached by a short ring whose ends bulge freely; the
/// high end is that of plane strain, reached by a long one. Both are bounds for every length at
/// small displacement. They are far apart for thin rings: the ratio grows as 1/(B - A)^2.
///
/// The high end needs the bulk modulus to be far above 12 G (B/(B - A))^2, else it is too high, and
/// the real stiffness is lower. Source: J. E. Adkins, A. N. Gent, Br. J. Appl. Phys. 5 (1954) 354,
/// from memory; derived in docs/theory/elastomer.md.
[[nodiscard]] units::Band<units::LinearStiffness> radial_stiffness(const BondedRing& ring,
                                                                   units::Pressure shear_modulus);

}  // namespace lashband::elastomer
