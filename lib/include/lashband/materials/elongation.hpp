#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "lashband/materials/temperature_range.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// Free elongation of a solid over temperature, eps20(T) = L(T)/L(20 degC) - 1: what it grows when
/// nothing holds it. Derived in docs/theory/elongation.md.
namespace lashband::materials {

/// eps20(T) = alpha_m (T - 20 degC), with one mean coefficient alpha_m.
struct MeanCoefficient {
  units::PerKelvin value;
};

/// A point of a table of mean coefficients from 20 degC to `temperature`. A point at 20 degC, if
/// there is one, is the limit of the mean there: the instantaneous coefficient.
struct MeanCoefficientPoint {
  units::Temperature temperature;
  units::PerKelvin mean_coefficient;
};

/// eps20(T) = alpha_m(T) (T - 20 degC), alpha_m linear between neighbouring points (the mean is
/// interpolated, not the elongation). At least two points, in rising order of temperature.
struct MeanCoefficientTable {
  std::vector<MeanCoefficientPoint> points;
};

/// The scale of a polynomial's variable.
enum class PolynomialVariable { degree_celsius, kelvin };

/// eps(T) = c[0] + c[1] T + c[2] T^2 + ..., T the plain number of degrees on the scale named, so
/// that c[k] is in K^-k. The constant is replaced such that the elongation is nothing at 20 degC;
/// published polynomials may miss that zero by some 1e-6, or relate to 293 K.
struct ElongationPolynomial {
  std::vector<double> coefficients;
  PolynomialVariable of = PolynomialVariable::degree_celsius;
};

using ElongationForm = std::variant<MeanCoefficient, MeanCoefficientTable, ElongationPolynomial>;

/// A form that holds over a part of the temperatures.
struct ElongationPiece {
  TemperatureRange range;
  ElongationForm form;
};

/// Forms for neighbouring ranges, from cold to hot, without gap or overlap. At a joint the hotter
/// piece holds.
///
/// Zero of the polynomials among them: the piece that reaches 20 degC is zero there, and every
/// other polynomial piece on the same side of 20 degC is shifted by the same constant, as pieces of
/// one published curve share their zero. If the piece that reaches 20 degC is no polynomial, the
/// others are taken as given.
struct ElongationPieces {
  std::vector<ElongationPiece> pieces;
};

/// Free elongation as read, before it is checked.
struct ElongationRecord {
  std::variant<ElongationForm, ElongationPieces> curve;
  /// Relative uncertainty u: the elongation lies within eps20 (1 -+ u), limits of +-3 sigma.
  std::optional<units::Ratio> uncertainty;
};

/// The greatest step that two pieces may leave at their joint. The Eurocode curve of structural
/// steel has one of 8.4e-6 at 750 degC (EN 1993-1-2, 3.4.1.1), which must be read as published;
/// 1e-5, a micrometre on 100 mm, is more than rounding in published pieces makes and less than any
/// mistake.
inline constexpr double greatest_joint_step = 1e-5;

/// The greatest |eps20| that a record may reach within its range. Metals stay under 2 %, rubber
/// under 6 %; what exceeds 10 % is a wrong power of ten or a wrong unit.
inline constexpr double greatest_elongation = 0.1;

/// The free elongation of one material. Immutable.
class Elongation {
 public:
  /// `material` is named in every error; `range` is the material's and must hold 20 degC, where the
  /// elongation has its zero. Throws DomainError unless the range is ordered, every number is
  /// finite, table and pieces cover the range in order, pieces meet without gap or overlap and with
  /// a step of at most greatest_joint_step, |eps20| stays below greatest_elongation (looked at on a
  /// grid of 32 steps a piece) and the uncertainty lies in [0, 1).
  Elongation(std::string material, TemperatureRange range, const ElongationRecord& record);

  /// eps20(T) = L(T)/L(20 degC) - 1.
  ///
  /// Domain: the material's range. With Extrapolation::allow the piece at that end is continued in
  /// its own form (a table: its last line of alpha_m), as far as a length remains, 1 + eps20 > 0.
  ///
  /// Accuracy: exactly 0 at 20 degC; otherwise a few units in the last place of the form's largest
  /// term in (T - 20 degC), below 1e-17 for the shipped materials.
  ///
  /// Throws MaterialError outside the domain, naming material, temperature and range.
  /// Derived in docs/theory/elongation.md.
  [[nodiscard]] units::Ratio eps20(units::Temperature temperature,
                                   Extrapolation extrapolation = Extrapolation::refuse) const;

  /// L(temperature)/L(reference) - 1 = (eps20(T) - eps20(T_ref)) / (1 + eps20(T_ref)).
  ///
  /// Domain and errors: as eps20, for both temperatures.
  ///
  /// Accuracy: exactly 0 where the two are equal. Within one piece (in a table: between
  /// neighbouring points) the numerator is a divided difference times (T - T_ref), so that small
  /// steps keep a relative accuracy of 1e-14; across pieces the absolute accuracy is that of eps20.
  [[nodiscard]] units::Ratio between(units::Temperature reference, units::Temperature temperature,
                                     Extrapolation extrapolation = Extrapolation::refuse) const;

  /// alpha_m(T) = eps20(T) / (T - 20 degC), the mean coefficient from 20 degC; at 20 degC its
  /// limit, the instantaneous coefficient of the hotter piece. Domain, accuracy and errors: as
  /// eps20.
  [[nodiscard]] units::PerKelvin mean_coefficient(
      units::Temperature temperature, Extrapolation extrapolation = Extrapolation::refuse) const;

  /// Relative uncertainty (limits of +-3 sigma); empty where the record gives none.
  [[nodiscard]] const std::optional<units::Ratio>& uncertainty() const { return uncertainty_; }

  [[nodiscard]] const TemperatureRange& range() const { return range_; }

 private:
  /// Every form is a polynomial in t = T - 20 degC over a stretch of temperatures (degC).
  struct Segment {
    double low;
    double high;
    std::vector<double> coefficients;
  };

  /// The segments of one piece; `zero` is what a polynomial is shifted down by unless it reaches
  /// 20 degC itself.
  [[nodiscard]] static std::vector<Segment> segments_of(const ElongationPiece& piece, double zero);
  void check_pieces(const std::vector<ElongationPiece>& pieces) const;
  void add_segments(const std::vector<ElongationPiece>& pieces);
  void check_size() const;
  void check_domain(units::Temperature temperature, Extrapolation extrapolation) const;
  [[nodiscard]] const Segment& segment_at(units::Temperature temperature) const;

  std::string material_;
  TemperatureRange range_;
  std::optional<units::Ratio> uncertainty_;
  std::vector<Segment> segments_;
};

}  // namespace lashband::materials
