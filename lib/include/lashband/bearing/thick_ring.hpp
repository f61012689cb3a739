#pragma once

#include "lashband/units/quantities.hpp"

/// Rings pressed into a bore or on a shaft: what the fit does to the raceway.
///
/// Simplifications: smooth thick-walled rings in plane stress (Lame), both as long as the fit;
/// elastic; raceway groove and the shape of the housing around the bore left out. A diameter that
/// an interference changes stands for its nominal value.
namespace lashband::bearing {

/// One of the two parts of a fit: a ring between the fit and its other, free surface.
struct FitPart {
  /// The free surface. Of the part inside the fit: its inner diameter, 0 for a solid shaft. Of the
  /// part around the fit: its outer diameter, infinite for a wall that is thick all around.
  units::Length free_diameter;
  units::Pressure youngs_modulus;
  double poisson_ratio = 0.0;
};

/// Two rings that meet at a diameter.
struct PressFit {
  units::Length diameter;  ///< of the fit, D or d
  FitPart inside;          ///< an outer ring in its bore, or the shaft in an inner ring
  FitPart around;          ///< the housing, or the inner ring
};

/// Pressure p in the fit under a diametral interference I:
///   I = p D (C_i / E_i + C_a / E_a)
///   C_i = (D^2 + d_i^2) / (D^2 - d_i^2) - nu_i     C_a = (D_a^2 + D^2) / (D_a^2 - D^2) + nu_a
/// with the free diameters d_i and D_a; C_a = 1 + nu_a for an infinite wall. 0 where I is 0 or
/// below: the parts do not touch all around.
///
/// Exact within the theory. Throws DomainError unless 0 <= d_i < D < D_a, the moduli are finite and
/// above 0, the Poisson's ratios lie from 0 to 0.5 and I is finite.
/// Source: Lame; any strength of materials text (Timoshenko, Strength of Materials, Part II).
[[nodiscard]] units::Pressure interface_pressure(const PressFit& fit, units::Length interference);

/// f_o: by how much the raceway of an outer ring (`inside`, its raceway the free diameter d_e)
/// closes, as a share of the interference:
///   f_o = (2 D d_e / (D^2 - d_e^2)) / (C_i + C_a E_i / E_a)
/// d_e/D in an infinite wall of the same material; may pass 1 a little in a housing much stiffer
/// than the ring. Throws as `interface_pressure`, and DomainError for d_e = 0: a solid has no
/// raceway.
[[nodiscard]] double outer_ring_contraction_factor(const PressFit& fit);

/// f_i: by how much the raceway of an inner ring (`around`, its raceway the free diameter d_r)
/// grows on its shaft, as a share of the interference:
///   f_i = (2 d d_r / (d_r^2 - d^2)) / (C_a + C_i E_a / E_i)
/// d/d_r on a solid shaft of the same material. Throws as `interface_pressure`, and DomainError for
/// an infinite d_r.
[[nodiscard]] double inner_ring_expansion_factor(const PressFit& fit);

}  // namespace lashband::bearing
