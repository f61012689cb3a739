#include "lashband/torsion/mesh_stiffness.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <sstream>

#include "requirement.hpp"

namespace lashband::torsion {
namespace {

using checks::require;
using checks::require_not_negative;
using checks::require_positive;
using units::from_si;

constexpr double degrees_per_radian = 180.0 / std::numbers::pi;
constexpr double right_angle_in_degrees = 90.0;
/// N/(mm um) in N/(m m), the stiffness of a metre of width.
constexpr double si_per_standard_unit = 1e9;
constexpr double full_stiffness_load_in_newton_per_mm = 100.0;
constexpr double least_contact_ratio = 1.2;
constexpr double least_shift_sum = -0.5;
constexpr double greatest_shift_sum = 2.0;

void check_gear(const MeshGear& gear) {
  require(std::isfinite(gear.profile_shift_coefficient),
          "a profile shift coefficient must be finite", gear.profile_shift_coefficient, "");
  require_positive("the dedendum coefficient h_fP/m_n of a basic rack must be above 0",
                   gear.rack_dedendum_coefficient, "");
  require_positive("Young's modulus of a gear must be above 0 GPa",
                   1e-9 * gear.youngs_modulus.value(), " GPa");
}

void check(const MeshTeeth& teeth) {
  const int z_1 = teeth.gear_1.teeth;
  const int z_2 = teeth.gear_2.teeth;
  require(z_1 >= 1, "a gear must have 1 tooth or more", z_1, "");
  require(
      z_2 >= 1 || z_2 < -z_1,
      "a gear must have 1 tooth or more, or as a ring gear more than its mate, counted negative",
      z_2, "");
  check_gear(teeth.gear_1);
  check_gear(teeth.gear_2);
  require_positive("the normal module of a pair must be above 0 mm",
                   1e3 * teeth.normal_module.value(), " mm");
  const double alpha = degrees_per_radian * teeth.normal_pressure_angle.value();
  require(alpha > 0.0 && alpha < right_angle_in_degrees,
          "a normal pressure angle must be above 0 deg and below 90 deg", alpha, " deg");
  const double beta = degrees_per_radian * teeth.helix_angle.value();
  require(std::abs(beta) < right_angle_in_degrees,
          "a helix angle must be above -90 deg and below 90 deg", beta, " deg");
  require_positive("the common face width of a pair must be above 0 mm",
                   1e3 * teeth.face_width.value(), " mm");
  require_positive("the transverse contact ratio of a pair must be above 0",
                   teeth.transverse_contact_ratio, "");
}

double tooth_compliance(const MeshTeeth& teeth) {
  const double cos_beta = std::cos(teeth.helix_angle.value());
  const double cubed = cos_beta * cos_beta * cos_beta;
  const bool is_ring = teeth.gear_2.teeth < 0;
  const double per_zn_1 = cubed / teeth.gear_1.teeth;
  const double per_zn_2 = is_ring ? 0.0 : cubed / teeth.gear_2.teeth;
  const double x_1 = teeth.gear_1.profile_shift_coefficient;
  const double x_2 = teeth.gear_2.profile_shift_coefficient;
  return 0.04723 + 0.15551 * per_zn_1 + 0.25791 * per_zn_2 - 0.00635 * x_1 -
         0.11654 * x_1 * per_zn_1 - 0.00193 * x_2 - 0.24188 * x_2 * per_zn_2 + 0.00529 * x_1 * x_1 +
         0.00182 * x_2 * x_2;
}

double basic_rack_factor(const MeshTeeth& teeth) {
  const double dedendum =
      0.5 * (teeth.gear_1.rack_dedendum_coefficient + teeth.gear_2.rack_dedendum_coefficient);
  const double alpha = degrees_per_radian * teeth.normal_pressure_angle.value();
  return (1.0 + 0.5 * (1.2 - dedendum)) * (1.0 - 0.02 * (20.0 - alpha));
}

double softer_blank_factor(const MeshTeeth& teeth) {
  double factor = 1.0;
  for (const MeshGear* gear : {&teeth.gear_1, &teeth.gear_2}) {
    if (gear->web) {
      factor = std::min(factor, blank_factor(*gear->web, teeth.face_width, teeth.normal_module));
    }
  }
  return factor;
}

void apply_load(MeshStiffness& result, const MeshLoad& load, units::Length face_width) {
  require_not_negative("the tangential force of a pair must be 0 N or more",
                       load.tangential_force.value(), " N");
  require(load.least_factor > 0.0 && load.least_factor <= 1.0,
          "the least factor of the stiffness at small loads must be above 0, at most 1",
          load.least_factor, "");
  const double per_width = load.tangential_force.value() / (1e3 * face_width.value());
  const double factor =
      std::min(1.0, std::pow(per_width / full_stiffness_load_in_newton_per_mm, 0.25));
  result.least_load_factor_used = factor < load.least_factor;
  result.load_factor = std::max(factor, load.least_factor);
}

std::vector<std::string> findings(const MeshTeeth& teeth) {
  const double x_1 = teeth.gear_1.profile_shift_coefficient;
  const double x_2 = teeth.gear_2.profile_shift_coefficient;
  const double eps_alpha = teeth.transverse_contact_ratio;
  std::vector<std::string> found;
  const auto add = [&found](const auto&... parts) {
    std::ostringstream text;
    text.precision(6);
    (text << ... << parts);
    found.push_back(text.str());
  };
  if (x_1 < x_2) {
    add("x_1 = ", x_1, " is below x_2 = ", x_2,
        ": the formula of the tooth stiffness is for x_1 of x_2 or more");
  }
  if (x_1 + x_2 < least_shift_sum || x_1 + x_2 > greatest_shift_sum) {
    add("x_1 + x_2 = ", x_1 + x_2, ": the formula of the tooth stiffness is for -0.5 to 2");
  }
  if (eps_alpha < 1.0) {
    add("eps_alpha = ", eps_alpha,
        " is below 1: the teeth part between two pairs, and a mean stiffness does not hold");
  } else if (eps_alpha < least_contact_ratio) {
    add("eps_alpha = ", eps_alpha, " is below 1.2: the mesh may be up to 10 % softer");
  }
  return found;
}

void require_result(double value, const char* what) {
  if (!(value > 0.0)) {
    std::ostringstream message;
    message.precision(10);
    message << "the " << what << " of the pair comes out as " << value
            << " and must be above 0: the pair lies far outside the formula's range";
    throw ComputationError(message.str());
  }
}

}  // namespace

MeshStiffness mesh_stiffness(const MeshTeeth& teeth, const std::optional<MeshLoad>& load) {
  check(teeth);
  const double E_1 = teeth.gear_1.youngs_modulus.value();
  const double E_2 = teeth.gear_2.youngs_modulus.value();
  MeshStiffness result;
  result.tooth_compliance = tooth_compliance(teeth);
  require_result(result.tooth_compliance, "tooth compliance q'");
  result.theoretical_stiffness = 1.0 / result.tooth_compliance;
  result.correction_factor = 0.8;
  result.blank_factor = softer_blank_factor(teeth);
  result.basic_rack_factor = basic_rack_factor(teeth);
  require_result(result.basic_rack_factor, "basic rack factor C_B");
  result.helix_factor = std::cos(teeth.helix_angle.value());
  result.material_factor = 2.0 / (1.0 / E_1 + 1.0 / E_2) / reference_steel_modulus.value();
  if (load) {
    apply_load(result, *load, teeth.face_width);
  }
  result.single_stiffness = result.theoretical_stiffness * result.correction_factor *
                            result.blank_factor * result.basic_rack_factor * result.helix_factor *
                            result.material_factor * result.load_factor;
  const double eps_alpha = teeth.transverse_contact_ratio;
  result.mesh_stiffness = result.single_stiffness * (0.75 * eps_alpha + 0.25);
  const auto k_m = from_si<units::LinearStiffness>(si_per_standard_unit * result.mesh_stiffness *
                                                   teeth.face_width.value());
  result.stiffness = {eps_alpha < least_contact_ratio ? 0.9 * k_m : k_m, k_m};
  result.outside_range = findings(teeth);
  return result;
}

double blank_factor(const Web& web, units::Length face_width, units::Length normal_module) {
  require_positive("the thickness of a web must be above 0 mm", 1e3 * web.thickness.value(), " mm");
  require_positive("the rim thickness of a gear must be above 0 mm",
                   1e3 * web.rim_thickness.value(), " mm");
  require_positive("the face width of a gear must be above 0 mm", 1e3 * face_width.value(), " mm");
  require_positive("the normal module of a gear must be above 0 mm", 1e3 * normal_module.value(),
                   " mm");
  const double web_share = std::clamp((web.thickness / face_width).value(), 0.2, 1.2);
  const double rim_share = std::max((web.rim_thickness / normal_module).value(), 1.0);
  return 1.0 + std::log(web_share) / (5.0 * std::exp(rim_share / 5.0));
}

units::Mass reduced_mass(units::Inertia inertia_1, units::Length base_radius_1,
                         units::Inertia inertia_2, units::Length base_radius_2) {
  for (const units::Inertia& inertia : {inertia_1, inertia_2}) {
    require_positive("the inertia of a gear must be above 0 kg m2", inertia.value(), " kg m2");
  }
  for (const units::Length& radius : {base_radius_1, base_radius_2}) {
    require_positive("the base radius of a gear must be above 0 mm", 1e3 * radius.value(), " mm");
  }
  return 1.0 /
         (base_radius_1 * base_radius_1 / inertia_1 + base_radius_2 * base_radius_2 / inertia_2);
}

units::AngularVelocity resonance_speed(units::LinearStiffness mesh_stiffness,
                                       units::Mass reduced_mass, int teeth_1) {
  require_positive("the stiffness of a mesh must be above 0 N/m", mesh_stiffness.value(), " N/m");
  require_positive("the reduced mass of a pair must be above 0 kg", reduced_mass.value(), " kg");
  require(teeth_1 >= 1, "a gear must have 1 tooth or more", teeth_1, "");
  return from_si<units::AngularVelocity>(std::sqrt(mesh_stiffness.value() / reduced_mass.value()) /
                                         teeth_1);
}

}  // namespace lashband::torsion
