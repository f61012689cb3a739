#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lashband/units/quantities.hpp"

/// Stiffness of the teeth of a pair in mesh, ISO 6336-1, method B.
///
/// Simplifications: the mean over a mesh cycle, not its course; linear flanks, of the load only as
/// the standard's factor below 100 N/mm says; no deviations, no crowning. All coefficients are from
/// memory and not yet checked against the standard.
namespace lashband::torsion {

/// The web of a gear that is not a solid disc.
struct Web {
  units::Length thickness{};      ///< b_s
  units::Length rim_thickness{};  ///< s_R, from the root circle inwards
};

/// What of one gear counts for the stiffness of its teeth.
struct MeshGear {
  int teeth = 0;                            ///< z; of a ring gear negative (ISO 21771)
  double profile_shift_coefficient = 0.0;   ///< x
  double rack_dedendum_coefficient = 1.25;  ///< h_fP/m_n of its basic rack
  units::Pressure youngs_modulus{};         ///< E
  std::optional<Web> web{};                 ///< empty: a solid disc
};

/// A pair. Gear 1 is the pinion; gear 2 may be a ring gear.
struct MeshTeeth {
  MeshGear gear_1{};
  MeshGear gear_2{};
  units::Length normal_module{};          ///< m_n
  units::Angle normal_pressure_angle{};   ///< alpha_Pn
  units::Angle helix_angle{};             ///< beta at the reference circle, of either hand
  units::Length face_width{};             ///< b, the common one
  double transverse_contact_ratio = 0.0;  ///< eps_alpha
};

/// The load of the pair, and how far down the standard's factor for small loads is followed: at no
/// load it would be 0, which teeth are not.
struct MeshLoad {
  units::Force tangential_force{};  ///< F_t K_A, 0 or more
  double least_factor = 0.5;        ///< above 0, at most 1
};

/// The stiffness and everything that it was made of. Compliances in mm um/N, stiffnesses a width in
/// N/(mm um), as the standard has them.
struct MeshStiffness {
  double tooth_compliance = 0.0;       ///< q'
  double theoretical_stiffness = 0.0;  ///< c'_th = 1/q'
  double correction_factor = 0.0;      ///< C_M
  double blank_factor = 0.0;           ///< C_R
  double basic_rack_factor = 0.0;      ///< C_B
  double helix_factor = 0.0;           ///< cos beta
  double material_factor = 0.0;        ///< E/E_St
  double load_factor = 1.0;            ///< of small loads; 1 without a load
  bool least_load_factor_used = false;
  double single_stiffness = 0.0;  ///< c'
  double mesh_stiffness = 0.0;    ///< c_gamma_alpha
  /// k_m = c_gamma_alpha b, force over the approach on the base tangent in the transverse plane.
  /// Both ends are equal for eps_alpha >= 1.2; below, the standard allows for 10 % less, `low`.
  units::Band<units::LinearStiffness> stiffness{};
  /// Where the pair lies outside what the formula was made for, in words; empty: nowhere. The
  /// numbers are given all the same, since the reader decides.
  std::vector<std::string> outside_range{};
};

/// E_St, Young's modulus of the steel that the coefficients stand for, 206 GPa.
inline constexpr auto reference_steel_modulus = units::Pressure::from_value(206e9);

/// Mesh stiffness of a pair.
///   q' = 0.04723 + 0.15551/z_n1 + 0.25791/z_n2 - 0.00635 x_1 - 0.11654 x_1/z_n1 - 0.00193 x_2
///        - 0.24188 x_2/z_n2 + 0.00529 x_1^2 + 0.00182 x_2^2,   z_n = z/cos^3 beta,
///        1/z_n2 = 0 for a ring gear
///   c' = 1/q' C_M C_R C_B cos beta E/E_St,   C_M = 0.8,   E = 2 E_1 E_2 / (E_1 + E_2)
///   C_B = (1 + 0.5 (1.2 - h_fP/m_n)) (1 - 0.02 (20 deg - alpha_Pn)), the mean of both gears
///   C_R of the softer blank (see blank_factor)
///   c' times (F_t K_A / (100 N/mm b))^0.25 where F_t K_A/b < 100 N/mm, not below `least_factor`
///   c_gamma_alpha = c' (0.75 eps_alpha + 0.25)
///
/// Valid for x_1 >= x_2, -0.5 <= x_1 + x_2 <= 2 and eps_alpha >= 1.2; outside of these the result
/// says so. x_2 of a ring gear counts as given. How accurate the formula is, is not known; other
/// published models differ by 15 % and more (docs/theory/mesh-stiffness.md).
///
/// Throws DomainError unless z_1 >= 1, z_2 >= 1 or z_2 < -z_1, x, h_fP/m_n and eps_alpha are
/// finite, h_fP/m_n and eps_alpha above 0, lengths and moduli finite and above 0, |beta| < 90 deg,
/// 0 < alpha_Pn < 90 deg, and the load is as MeshLoad says. ComputationError where q' or C_B comes
/// out at 0 or below.
/// Source: ISO 6336-1, clause on tooth stiffness parameters, from memory.
[[nodiscard]] MeshStiffness mesh_stiffness(const MeshTeeth& teeth,
                                           const std::optional<MeshLoad>& load = std::nullopt);

/// C_R = 1 + ln(b_s/b) / (5 exp(s_R/(5 m_n))), with b_s/b from 0.2 to 1.2 and s_R/m_n of 1 or more:
/// values outside count as these ends, as the standard has it. 1 for a solid disc.
///
/// Throws DomainError unless all lengths are finite and above 0. Source as `mesh_stiffness`.
[[nodiscard]] double blank_factor(const Web& web, units::Length face_width,
                                  units::Length normal_module);

/// The mass that a pair swings with on its base tangent, 1 / (r_b1^2/J_1 + r_b2^2/J_2), with the
/// inertias that carry the teeth. Exact. Throws DomainError unless all are finite and above 0.
[[nodiscard]] units::Mass reduced_mass(units::Inertia inertia_1, units::Length base_radius_1,
                                       units::Inertia inertia_2, units::Length base_radius_2);

/// n_E1, the speed of gear 1 at which the teeth mesh with the natural frequency of the pair by
/// itself, sqrt(k_m/m_red) / z_1. Exact for a pair whose shafts are soft beside its teeth. Throws
/// DomainError unless stiffness and mass are finite and above 0 and z_1 is 1 or more.
/// Source: ISO 6336-1, from memory; exact, it is two masses and a spring.
[[nodiscard]] units::AngularVelocity resonance_speed(units::LinearStiffness mesh_stiffness,
                                                     units::Mass reduced_mass, int teeth_1);

}  // namespace lashband::torsion
