#include "lashband/losses/mesh_loss.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "requirement.hpp"

namespace lashband::losses {
namespace {

using checks::require;
using checks::require_not_negative;
using checks::require_positive;

constexpr double right_angle = std::numbers::pi / 2.0;
constexpr double degrees_per_radian = 180.0 / std::numbers::pi;

void check_teeth(int teeth_1, int teeth_2) {
  require(teeth_1 >= 1, "a gear must have 1 tooth or more", teeth_1, "");
  require(
      teeth_2 >= 1 || teeth_2 < -teeth_1,
      "a gear must have 1 tooth or more, or as a ring gear more than its mate, counted negative",
      teeth_2, "");
}

void check_base_helix(units::Angle angle) {
  require(std::abs(angle.value()) < right_angle,
          "a helix angle at the base circle must be above -90 deg and below 90 deg",
          degrees_per_radian * angle.value(), " deg");
}

void check_pressure_angle(units::Angle angle) {
  require(angle.value() > 0.0 && angle.value() < right_angle,
          "a working pressure angle must be above 0 deg and below 90 deg",
          degrees_per_radian * angle.value(), " deg");
}

// Integral of |x| from 0 to x.
double moment(double x) {
  return 0.5 * x * std::abs(x);
}

// Integral of |x| / k(x) over the path from -eps_2 to eps_1, k the pairs in contact. While the pair
// that came last is less than `surplus` on its way, one pair more is in contact than afterwards.
double shared_sliding(double eps_1, double eps_2) {
  const double eps_alpha = eps_1 + eps_2;
  const double whole = std::floor(eps_alpha);
  const double surplus = eps_alpha - whole;
  const int pairs = static_cast<int>(whole);
  double with_surplus = 0.0;
  double without = 0.0;
  for (int pair = 0; pair <= pairs; ++pair) {
    const double start = pair - eps_2;
    with_surplus += moment(start + surplus) - moment(start);
    if (pair < pairs) {
      without += moment(start + 1.0) - moment(start + surplus);
    }
  }
  return with_surplus / (pairs + 1) + without / pairs;
}

}  // namespace

double tooth_loss_factor(const ToothContact& contact) {
  check_teeth(contact.teeth_1, contact.teeth_2);
  check_base_helix(contact.base_helix_angle);
  for (const double eps : {contact.eps_1, contact.eps_2}) {
    require(std::isfinite(eps), "a tip contact ratio must be finite", eps, "");
  }
  const double eps_alpha = contact.eps_1 + contact.eps_2;
  require(eps_alpha >= 1.0 && eps_alpha <= greatest_contact_ratio,
          "the loss of teeth is known for transverse contact ratios from 1 to 10", eps_alpha, "");
  return 2.0 * std::numbers::pi * (1.0 / contact.teeth_1 + 1.0 / contact.teeth_2) /
         std::cos(contact.base_helix_angle.value()) * shared_sliding(contact.eps_1, contact.eps_2);
}

units::Length reduced_radius(units::Length centre_distance, int teeth_1, int teeth_2,
                             units::Angle working_pressure_angle, units::Angle base_helix_angle) {
  require_positive("the centre distance of a pair must be above 0 mm",
                   1e3 * centre_distance.value(), " mm");
  check_teeth(teeth_1, teeth_2);
  check_pressure_angle(working_pressure_angle);
  check_base_helix(base_helix_angle);
  const double z_1 = teeth_1;
  const double z_2 = teeth_2;
  const double share_1 = std::abs(z_1 / (z_1 + z_2));
  const double share_2 = std::abs(z_2 / (z_1 + z_2));
  return centre_distance * (share_1 * share_2 * std::sin(working_pressure_angle.value()) /
                            std::cos(base_helix_angle.value()));
}

MeshFriction mean_friction(const MeshLubrication& lubrication) {
  const double force = lubrication.base_tangent_force.value();
  const double width = 1e3 * lubrication.face_width.value();
  const double v_t = lubrication.pitch_velocity.value();
  const double radius = 1e3 * lubrication.reduced_radius.value();
  const double eta = 1e3 * lubrication.viscosity.value();
  const double R_a = 1e6 * lubrication.roughness.value();
  require_not_negative("the tooth force at the base circle must be 0 N or more", force, " N");
  require_positive("the common face width of a pair must be above 0 mm", width, " mm");
  require(v_t > 0.0 && lubrication.pitch_velocity <= greatest_pitch_velocity,
          "the formula of the mean friction of teeth holds for pitch velocities above 0 m/s, up to "
          "50 m/s",
          v_t, " m/s");
  check_pressure_angle(lubrication.working_pressure_angle);
  require_positive("the reduced radius of curvature of a pair must be above 0 mm", radius, " mm");
  require_positive("the viscosity of the oil of a pair must be above 0 mPa s", eta, " mPa s");
  require_positive("the roughness R_a of flanks must be above 0 um", R_a, " um");
  require_positive("the lubricant factor X_L must be above 0", lubrication.lubricant_factor, "");

  const double v_sum = 2.0 * v_t * std::sin(lubrication.working_pressure_angle.value());
  const double force_per_width = force / width;
  MeshFriction friction;
  friction.least_force_used = force_per_width < least_force_per_width_in_newton_per_mm;
  friction.coefficient =
      0.048 *
      std::pow(std::max(force_per_width, least_force_per_width_in_newton_per_mm) / (v_sum * radius),
               0.2) *
      std::pow(eta, -0.05) * std::pow(R_a, 0.25) * lubrication.lubricant_factor;
  return friction;
}

units::Power mesh_loss(units::Power transmitted, double friction_coefficient, double loss_factor) {
  require_not_negative("the power that a pair transmits must be 0 W or more", transmitted.value(),
                       " W");
  require_not_negative("the friction coefficient of teeth must be 0 or more", friction_coefficient,
                       "");
  require_not_negative("the tooth loss factor must be 0 or more", loss_factor, "");
  const double share = friction_coefficient * loss_factor;
  require(share < 1.0, "the loss of a pair must be below 1 of the power that it transmits", share,
          "");
  return transmitted * share;
}

}  // namespace lashband::losses
