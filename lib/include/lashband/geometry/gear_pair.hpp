#pragma once

#include "lashband/geometry/toothed_body.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::geometry {

/// Two gears on parallel axes at a centre distance, as they stand at one moment: external ones, or
/// an external gear 1 in a ring gear 2.
///
/// ISO 21771 counts teeth and radii of a ring gear and the centre distance of its pair as negative;
/// then one set of equations holds for both kinds, and equations here are to be read so. Values
/// handed out are magnitudes.
///
/// The gears may have slightly different base pitches (one is hotter than the other); teeth that do
/// not belong together at all are the caller's business.
class GearPair {
 public:
  /// Throws ComputationError where |r_b1 + r_b2| > a or a is not finite: no line of action exists;
  /// DomainError where gear 1 is a ring gear, or gear 2 is one with no more teeth than gear 1.
  GearPair(const ToothedBody& gear_1, const ToothedBody& gear_2, units::Length a);

  [[nodiscard]] const ToothedBody& gear_1() const { return gear_1_; }
  [[nodiscard]] const ToothedBody& gear_2() const { return gear_2_; }
  [[nodiscard]] units::Length centre_distance() const { return units::from_si<units::Length>(a_); }

  /// Gear 2 is a ring gear.
  [[nodiscard]] bool internal() const { return gear_2_.internal(); }

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
