#include "lashband/geometry/toothed_body.hpp"

#include <cmath>
#include <numbers>
#include <sstream>
#include <string>

#include "involute_kernel.hpp"
#include "lashband/error.hpp"

namespace lashband::geometry {
namespace {

constexpr double degree = std::numbers::pi / 180.0;
// A hair of tolerance on limits given in degrees, so that "45 deg" itself is allowed.
constexpr double angle_slack = 1e-12;

void require(bool holds, const char* rule, double value, const char* unit) {
  if (!holds) {
    std::ostringstream message;
    message.precision(10);
    message << rule << ", not " << value << unit;
    throw DomainError(message.str());
  }
}

}  // namespace

ToothedBody::ToothedBody(const ToothData& data)
    : z_(data.teeth),
      side_(data.internal ? -1.0 : 1.0),
      x_(data.profile_shift),
      rack_(data.rack),
      alpha_n_(data.pressure_angle.value()),
      beta_(data.helix_angle.value()),
      m_n_(data.module.value()),
      b_(data.face_width.value()),
      E_sn_(data.thickness_allowance.value()) {
  require(z_ >= 3 && z_ <= 10000, "the number of teeth must be from 3 to 10000", z_, "");
  require(m_n_ > 0.0 && std::isfinite(m_n_), "the module must be above 0 mm", 1e3 * m_n_, " mm");
  require(alpha_n_ >= 5.0 * degree - angle_slack && alpha_n_ <= 45.0 * degree + angle_slack,
          "the pressure angle must be from 5 to 45 deg", alpha_n_ / degree, " deg");
  require(beta_ >= 0.0 && beta_ <= 60.0 * degree + angle_slack,
          "the helix angle must be from 0 to 60 deg", beta_ / degree, " deg");
  require(std::abs(x_) <= 5.0, "the profile shift must be from -5 to 5", x_, "");
  require(b_ > 0.0 && std::isfinite(b_), "the face width must be above 0 mm", 1e3 * b_, " mm");
  require(std::abs(E_sn_) < m_n_, "the tooth-thickness allowance must be smaller than the module",
          1e3 * E_sn_, " mm");
  require(rack_.addendum > 0.0 && rack_.addendum <= 3.0,
          "the addendum of the basic rack must be above 0 and at most 3 modules", rack_.addendum,
          " modules");
  require(rack_.dedendum > 0.0 && rack_.dedendum <= 3.0,
          "the dedendum of the basic rack must be above 0 and at most 3 modules", rack_.dedendum,
          " modules");
  require(rack_.fillet_radius >= 0.0 && rack_.fillet_radius <= 1.0,
          "the fillet radius of the basic rack must be from 0 to 1 module", rack_.fillet_radius,
          " modules");

  tan_alpha_n_ = std::tan(alpha_n_);
  cos_beta_ = std::cos(beta_);
  const double tan_alpha_t = tan_alpha_n_ / cos_beta_;
  const double cos_alpha_t = 1.0 / std::sqrt(1.0 + tan_alpha_t * tan_alpha_t);
  alpha_t_ = std::atan(tan_alpha_t);
  sin_alpha_t_ = tan_alpha_t * cos_alpha_t;
  inv_alpha_t_ = kernel::involute_of_tangent(tan_alpha_t);
  beta_b_ = std::atan(std::tan(beta_) * cos_alpha_t);
  d_ = z_ * m_n_ / cos_beta_;
  r_b_ = 0.5 * d_ * cos_alpha_t;
  r_a_ = data.tip_diameter ? 0.5 * data.tip_diameter->value()
                           : 0.5 * d_ + side_ * m_n_ * (rack_.addendum + x_);
  require(root_diameter().value() > 0.0, "the root diameter must be above 0 mm",
          1e3 * root_diameter().value(), " mm");
  check_tip();
}

void ToothedBody::check_tip() const {
  require(
      r_a_ > r_b_ && std::isfinite(r_a_),
      ("the tip diameter must be above the base diameter of " + std::to_string(2e3 * r_b_) + " mm")
          .c_str(),
      2e3 * r_a_, " mm");
  const double root = root_diameter().value();
  if (internal()) {
    require(root > 2.0 * r_a_, "the root diameter of a ring gear must be above the tip diameter",
            1e3 * root, " mm");
  } else {
    require(root < 2.0 * r_a_, "the root diameter must be below the tip diameter", 1e3 * root,
            " mm");
  }
}

ToothedBody ToothedBody::grown(double strain) const {
  require(strain > -1.0 && std::isfinite(strain), "a strain must be above -1", strain, "");
  const double scale = 1.0 + strain;
  ToothedBody result = *this;
  result.m_n_ *= scale;
  result.d_ *= scale;
  result.r_b_ *= scale;
  result.r_a_ *= scale;
  result.b_ *= scale;
  result.E_sn_ *= scale;
  return result;
}

ToothedBody ToothedBody::with_thickness_allowance(units::Length E_sn) const {
  ToothedBody result = *this;
  result.E_sn_ = E_sn.value();
  require(std::abs(result.E_sn_) < m_n_,
          "the tooth-thickness allowance must be smaller than the module", 1e3 * result.E_sn_,
          " mm");
  return result;
}

ToothedBody ToothedBody::with_tip_diameter(units::Length d_a) const {
  ToothedBody result = *this;
  result.r_a_ = 0.5 * d_a.value();
  result.check_tip();
  return result;
}

double ToothedBody::psi() const {
  return (0.5 * std::numbers::pi + 2.0 * x_ * tan_alpha_n_ + E_sn_ / m_n_) / z_;
}

double ToothedBody::generating_profile_shift() const {
  return x_ + E_sn_ / (2.0 * m_n_ * tan_alpha_n_);
}

units::Length ToothedBody::root_diameter() const {
  return units::from_si<units::Length>(d_ + side_ * 2.0 * m_n_ *
                                                (generating_profile_shift() - rack_.dedendum));
}

units::Length ToothedBody::base_pitch() const {
  return units::from_si<units::Length>(2.0 * std::numbers::pi * r_b_ / z_);
}

units::Length ToothedBody::base_tooth_thickness() const {
  return units::from_si<units::Length>(2.0 * r_b_ * (psi() + side_ * inv_alpha_t_));
}

double ToothedBody::root_form_height() const {
  return rack_.dedendum - rack_.fillet_radius * (1.0 - std::sin(alpha_n_));
}

void ToothedBody::require_external(const char* what) const {
  if (internal()) {
    throw DomainError(std::string(what) + " is that of a gear cut by a rack, not of a ring gear");
  }
}

units::Length ToothedBody::root_form_curvature() const {
  require_external("the root form circle");
  return units::from_si<units::Length>(0.5 * d_ * sin_alpha_t_ -
                                       m_n_ * (root_form_height() - generating_profile_shift()) /
                                           sin_alpha_t_);
}

double ToothedBody::undercut_limit() const {
  require_external("the undercut limit");
  return root_form_height() - z_ * sin_alpha_t_ * sin_alpha_t_ / (2.0 * cos_beta_);
}

}  // namespace lashband::geometry
