#pragma once

#include "lashband/geometry/toothed_body.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::geometry {

/// Two external gears on parallel axes at a centre distance, as they stand at one moment.
///
/// The gears may have slightly different base pitches (one is hotter than the other); teeth that do
/// not belong together at all are the caller's business.
class GearPair {
 public:
  /// Throws ComputationError where r_b1 + r_b2 > a or a is not finite: no line of action exists.
  GearPair(const ToothedBody& gear_1, const ToothedBody& gear_2, units::Length a);

  [[nodiscard]] const ToothedBody& gear_1() const { return gear_1_; }
  [[nodiscard]] const ToothedBody& gear_2() const { return gear_2_; }
  [[nodiscard]] units::Length centre_distance() const { return units::from_si<units::Length>(a_); }

  /// alpha_wt of cos alpha_wt = (r_b1 + r_b2) / a (ISO 21771), through its tangent so that small
  /// angles keep their accuracy: 4e-16 / tan alpha_wt rad from the radii and distance as given.
  [[nodiscard]] units::Angle working_pressure_angle() const;

  /// tan alpha_wt, the form in which the equations of a pair use it.
  [[nodiscard]] double working_pressure_tangent() const { return tan_alpha_wt_; }

  /// p_b2 - p_b1; 0 where the gears have the same growth.
  [[nodiscard]] units::Length base_pitch_mismatch() const;

 private:
  ToothedBody gear_1_;
  ToothedBody gear_2_;
  double a_;
  double tan_alpha_wt_;
};

}  // namespace lashband::geometry
