#pragma once

#include "lashband/units/quantities.hpp"

/// Power that sliding teeth turn into heat in a pair of cylindrical gears.
///
/// Simplifications: one friction coefficient along the whole path of contact; the pairs of teeth in
/// contact share the force equally at every moment; rolling friction and the churning of oil are
/// left out. Derived in docs/theory/losses.md.
namespace lashband::losses {

/// What of the teeth of a pair counts for sliding.
struct ToothContact {
  int teeth_1 = 0;  ///< z_1
  int teeth_2 = 0;  ///< z_2, of a ring gear negative (ISO 21771)
  /// Tip contact ratio of gear 1 (ISO 21771): path of contact from the pitch point to where the tip
  /// of gear 1 ends it, over the transverse base pitch. Negative where the path does not reach the
  /// pitch point on that side.
  double eps_1 = 0.0;
  double eps_2 = 0.0;             ///< of gear 2; eps_1 + eps_2 = eps_alpha
  units::Angle base_helix_angle;  ///< beta_b, of either hand
};

/// More pairs than any gears have in contact at once, as a limit for eps_alpha.
inline constexpr double greatest_contact_ratio = 10.0;

/// Tooth loss factor H_V: the power of sliding over the transmitted power, for a friction
/// coefficient of 1. Where both eps_1 and eps_2 lie in [0, 1], as with nearly all gears,
///   H_V = pi (1/z_1 + 1/z_2) / cos beta_b (1 - eps_alpha + eps_1^2 + eps_2^2)
/// with (u + 1)/(z_1 u) = 1/z_1 + 1/z_2. For every other pair it is the mean that this comes from,
///   H_V = 2 pi (1/z_1 + 1/z_2) / cos beta_b  int |x| / k(x) dx
/// over the path of contact, x from the pitch point in base pitches and k pairs in contact.
///
/// Valid for 1 <= eps_alpha <= greatest_contact_ratio; exact. Throws DomainError outside of that,
/// for z_1 below 1, z_2 from -z_1 to 0, for eps_1 or eps_2 not finite and unless |beta_b| is below
/// 90 deg. Source: Ohlendorf; ISO/TR 14179-2; from memory, derived in docs/theory/losses.md.
[[nodiscard]] double tooth_loss_factor(const ToothContact& contact);

/// Reduced radius of curvature at the pitch point, in the normal section,
///   rho_redC = a sin alpha_wt z_1 z_2 / ((z_1 + z_2)^2 cos beta_b)
/// which is that of the radii r_w1 sin alpha_wt and r_w2 sin alpha_wt in series, over cos beta_b;
/// with a ring gear z_2 is negative and a counts as negative.
///
/// Exact. Throws DomainError unless a is finite and above 0, z_1 is 1 or more, z_2 is 1 or more or
/// below -z_1, alpha_wt
/// lies above 0 and below 90 deg and |beta_b| is below 90 deg. Source: Hertz.
[[nodiscard]] units::Length reduced_radius(units::Length centre_distance, int teeth_1, int teeth_2,
                                           units::Angle working_pressure_angle,
                                           units::Angle base_helix_angle);

/// What the friction of a lubricated pair depends on.
struct MeshLubrication {
  units::Force base_tangent_force;      ///< F_bt, torque over base radius
  units::Length face_width;             ///< b, the common one
  units::Velocity pitch_velocity;       ///< v_t, circumferential, at the pitch point
  units::Angle working_pressure_angle;  ///< alpha_wt, transverse
  units::Length reduced_radius;         ///< rho_redC
  units::DynamicViscosity viscosity;    ///< eta_oil, at the temperature of the oil
  units::Length roughness;              ///< R_a, the mean of both flanks
  double lubricant_factor = 1.0;        ///< X_L, 1 for mineral oil
};

/// The force a width below which the friction does not rise any further, and the greatest velocity
/// at the pitch point: limits of the tests behind the formula, from memory.
inline constexpr double least_force_per_width_in_newton_per_mm = 150.0;
inline constexpr auto greatest_pitch_velocity = units::Velocity::from_value(50.0);

/// A friction coefficient with what was done to get it.
struct MeshFriction {
  double coefficient = 0.0;       ///< mu_m
  bool least_force_used = false;  ///< F_bt/b was below 150 N/mm, which stands for it
};

/// Mean friction coefficient of the teeth,
///   mu_m = 0.048 (F_bt/b / (v_SigmaC rho_redC))^0.2 eta_oil^-0.05 R_a^0.25 X_L
/// F_bt/b in N/mm, rho_redC in mm, eta_oil in mPa s, R_a in um, and with the sum of the velocities
/// of both flanks at the pitch point, v_SigmaC = 2 v_t sin alpha_wt in m/s. F_bt/b below 150 N/mm
/// counts as 150 N/mm, F_bt = 0 included; the result says so.
///
/// Valid for 0 < v_t <= 50 m/s. A fit to tests of oiled steel gears; how close it comes to a given
/// pair is not known. It rises without bound towards rest, where friction does not: oiled steel
/// flanks hardly pass 0.15 (common practice, no source).
/// Throws DomainError outside of that, unless F_bt is finite and 0 or more, alpha_wt lies above 0
/// and below 90 deg, and everything else is finite and above 0.
/// Source: Schlenk, after Michaelis; ISO/TR 14179-2; from memory, limits included.
[[nodiscard]] MeshFriction mean_friction(const MeshLubrication& lubrication);

/// Loss of the teeth under load, P_VZ = P_A mu_m H_V, of the transmitted power P_A.
///
/// First order: friction is taken not to change the tooth force. Throws DomainError unless P_A,
/// mu_m and H_V are finite and 0 or more and mu_m H_V is below 1, where nothing would be left to
/// transmit. Source: ISO/TR 14179-2, from memory.
[[nodiscard]] units::Power mesh_loss(units::Power transmitted, double friction_coefficient,
                                     double loss_factor);

}  // namespace lashband::losses
