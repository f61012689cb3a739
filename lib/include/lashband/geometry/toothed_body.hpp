#pragma once

#include <optional>

#include "lashband/units/quantities.hpp"

namespace lashband::geometry {

/// The basic rack in multiples of the normal module. The defaults are profile A of ISO 53.
struct BasicRack {
  double addendum = 1.0;        ///< h_aP*
  double dedendum = 1.25;       ///< h_fP*
  double fillet_radius = 0.38;  ///< rho_fP*
};

/// What a drawing says of the teeth of one involute gear. Diameters and the number of teeth are
/// given as magnitudes for a ring gear too; its profile shift has the sign of ISO 21771: positive
/// makes its teeth thicker, as with an external gear.
struct ToothData {
  int teeth = 0;                              ///< z, of a ring gear |z|
  bool internal = false;                      ///< a ring gear, with its teeth inside
  units::Length module;                       ///< m_n
  units::Angle pressure_angle;                ///< alpha_n
  units::Angle helix_angle;                   ///< beta, as a magnitude
  double profile_shift = 0.0;                 ///< x
  units::Length face_width;                   ///< b
  units::Length thickness_allowance;          ///< E_sn, in the normal section, negative = thinner
  std::optional<units::Length> tip_diameter;  ///< d_a where it does not follow from the rack
  BasicRack rack;
};

/// One involute gear, external or a ring gear, as it is at one moment: all lengths as they stand.
///
/// A uniform change of temperature scales every length and keeps every angle; `grown` returns the
/// gear in that state. Nothing here knows of temperature.
///
/// Symbols of ISO 21771. Equations:
///   tan alpha_t = tan alpha_n / cos beta     m_t = m_n / cos beta     d = z m_t
///   d_b = d cos alpha_t     tan beta_b = tan beta cos alpha_t     p_bt = pi m_t cos alpha_t
///   d_a = d + 2 m_n (h_aP* + x)     x_E = x + E_sn / (2 m_n tan alpha_n)
///   d_f = d + 2 m_n (x_E - h_fP*)
///   psi = (pi/2 + 2 x tan alpha_n + E_sn / m_n) / z     s_bt = d_b (psi + inv alpha_t)
/// ISO 21771 counts the teeth and diameters of a ring gear as negative, and then these hold as they
/// stand. Here they are magnitudes, so that of a ring gear
///   d_a = d - 2 m_n (h_aP* + x)     d_f = d - 2 m_n (x_E - h_fP*)     s_bt = d_b (psi - inv
///   alpha_t)
/// Every result is within 1e-15 relative of the exact value for the doubles given, angles within
/// 4e-16 rad.
class ToothedBody {
 public:
  /// Throws DomainError unless 3 <= z <= 10000, m_n > 0, 5 deg <= alpha_n <= 45 deg,
  /// 0 <= beta <= 60 deg, |x| <= 5, b > 0, a positive basic rack, a tip diameter above the base
  /// diameter, a root diameter above zero, and the tips beyond the roots (a ring gear has them
  /// inside). The message names value, rule and unit.
  explicit ToothedBody(const ToothData& data);

  /// The same gear with every length times (1 + strain). Throws DomainError unless strain > -1.
  [[nodiscard]] ToothedBody grown(double strain) const;

  /// The same gear with another tooth-thickness allowance E_sn (given as it stands in this state).
  [[nodiscard]] ToothedBody with_thickness_allowance(units::Length E_sn) const;

  /// The same gear with another tip diameter d_a (given as it stands in this state). Throws
  /// DomainError unless it is above the base diameter and the tips are beyond the roots.
  [[nodiscard]] ToothedBody with_tip_diameter(units::Length d_a) const;

  [[nodiscard]] int teeth() const { return z_; }
  [[nodiscard]] bool internal() const { return side_ < 0.0; }
  [[nodiscard]] double profile_shift() const { return x_; }
  [[nodiscard]] units::Length module() const { return units::from_si<units::Length>(m_n_); }
  [[nodiscard]] units::Length face_width() const { return units::from_si<units::Length>(b_); }
  [[nodiscard]] units::Length thickness_allowance() const {
    return units::from_si<units::Length>(E_sn_);
  }
  [[nodiscard]] units::Angle pressure_angle() const {
    return units::from_si<units::Angle>(alpha_n_);
  }
  [[nodiscard]] units::Angle helix_angle() const { return units::from_si<units::Angle>(beta_); }
  [[nodiscard]] units::Angle transverse_pressure_angle() const {
    return units::from_si<units::Angle>(alpha_t_);
  }
  [[nodiscard]] units::Angle base_helix_angle() const {
    return units::from_si<units::Angle>(beta_b_);
  }
  /// psi at the reference circle, for the thickness that E_sn leaves.
  [[nodiscard]] units::Angle thickness_half_angle() const {
    return units::from_si<units::Angle>(psi());
  }
  [[nodiscard]] units::Length reference_diameter() const {
    return units::from_si<units::Length>(d_);
  }
  [[nodiscard]] units::Length base_diameter() const {
    return units::from_si<units::Length>(2.0 * r_b_);
  }
  [[nodiscard]] units::Length tip_diameter() const {
    return units::from_si<units::Length>(2.0 * r_a_);
  }
  [[nodiscard]] units::Length root_diameter() const;
  [[nodiscard]] units::Length base_pitch() const;            ///< p_bt
  [[nodiscard]] units::Length base_tooth_thickness() const;  ///< s_bt

  /// Radius of curvature of the flank at the root form circle, where the straight flank of the
  /// basic rack stops to generate: rho_Ff = (d/2) sin alpha_t - m_n (h_FfP* - x_E) / sin alpha_t
  /// with h_FfP* = h_fP* - rho_fP* (1 - sin alpha_n). Negative means that the root is undercut.
  /// Source: ISO 21771, generated root form diameter. Of an external gear only: a ring gear's roots
  /// are those of its cutter. Throws DomainError for a ring gear.
  [[nodiscard]] units::Length root_form_curvature() const;

  /// Least profile shift without undercut at this tooth thickness,
  /// x_E,min = h_FfP* - z sin^2 alpha_t / (2 cos beta) (ISO 21771; classical). Of an external gear
  /// only; throws DomainError for a ring gear, which no rack can cut.
  [[nodiscard]] double undercut_limit() const;

  /// Generating profile shift coefficient x_E = x + E_sn / (2 m_n tan alpha_n).
  [[nodiscard]] double generating_profile_shift() const;

 private:
  void check_tip() const;
  void require_external(const char* what) const;
  [[nodiscard]] double psi() const;
  [[nodiscard]] double root_form_height() const;

  int z_;
  double side_;  // +1, of a ring gear -1
  double x_;
  BasicRack rack_;
  double alpha_n_, beta_, alpha_t_, beta_b_, tan_alpha_n_, sin_alpha_t_, inv_alpha_t_, cos_beta_;
  double m_n_, d_, r_b_, r_a_, b_, E_sn_;
};

}  // namespace lashband::geometry
