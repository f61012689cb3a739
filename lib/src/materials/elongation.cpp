#include "lashband/materials/elongation.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <utility>

#include "lashband/error.hpp"
#include "materials/text.hpp"

// Symbols: t = T - 20 degC. Every form becomes c[0] + c[1] t + c[2] t^2 + ... over a stretch of T:
//   mean coefficient      c = {0, alpha_m}
//   table, points i, i+1  c = {0, alpha_i - s t_i, s},  s = (alpha_(i+1) - alpha_i)/(t_(i+1) - t_i)
//   polynomial            its Taylor coefficients about 20 degC, c[0] less the zero of the curve
namespace lashband::materials {
namespace {

constexpr double zero_in_celsius = 20.0;
/// Steps of the grid on which a piece is looked at for absurd sizes. The check is for wrong powers
/// of ten, which show at the ends already; the grid catches a polynomial that swings in between.
constexpr int size_check_steps = 32;

/// Value at t of c[0] + c[1] t + ...
double polynomial(const std::vector<double>& c, double t) {
  double value = 0.0;
  for (std::size_t k = c.size(); k-- > 0;) {
    value = value * t + c[k];
  }
  return value;
}

/// (p(t) - p(r)) / (t - r) without the subtraction: p(t) - p(r) = (t - r) q(t), where Horner's
/// scheme at r yields the coefficients of q as its intermediate sums.
double divided_difference(const std::vector<double>& c, double r, double t) {
  double sum = 0.0;
  double quotient = 0.0;
  for (std::size_t k = c.size(); k-- > 1;) {
    sum = sum * r + c[k];
    quotient = quotient * t + sum;
  }
  return quotient;
}

/// Coefficients in t = x - x0 of the polynomial with coefficients c in x (Horner's scheme,
/// repeated).
std::vector<double> shifted_to(double x0, std::vector<double> c) {
  for (std::size_t first = 0; first + 1 < c.size(); ++first) {
    for (std::size_t k = c.size() - 1; k-- > first;) {
      c[k] += x0 * c[k + 1];
    }
  }
  return c;
}

bool holds_zero(const TemperatureRange& range) {
  return contains(range, units::celsius(zero_in_celsius));
}

void check_finite(double value, const std::string& what) {
  if (!std::isfinite(value)) {
    throw DomainError(what + " is " + text(value) + ", but must be a finite number");
  }
}

void check_form(const MeanCoefficient& mean, const TemperatureRange& /*range*/) {
  check_finite(mean.value.value(), "the mean coefficient in 1/K");
}

void check_form(const MeanCoefficientTable& table, const TemperatureRange& range) {
  const std::vector<MeanCoefficientPoint>& points = table.points;
  if (points.size() < 2) {
    throw DomainError("the table of mean coefficients has " + std::to_string(points.size()) +
                      (points.size() == 1 ? " point" : " points") + ", but needs at least 2");
  }
  for (std::size_t i = 0; i < points.size(); ++i) {
    check_finite(points[i].temperature.value(), "a temperature of the table in degC");
    check_finite(points[i].mean_coefficient.value(),
                 "the mean coefficient in 1/K at " + text(points[i].temperature));
    if (i > 0 && !(points[i - 1].temperature.value() < points[i].temperature.value())) {
      throw DomainError("the table has " + text(points[i].temperature) + " after " +
                        text(points[i - 1].temperature) + ", but its temperatures must rise");
    }
  }
  const TemperatureRange covered{points.front().temperature, points.back().temperature};
  if (!contains(covered, range.low) || !contains(covered, range.high)) {
    throw DomainError("the table runs from " + text(covered) + ", but must cover " + text(range));
  }
}

void check_form(const ElongationPolynomial& form, const TemperatureRange& /*range*/) {
  if (form.coefficients.empty()) {
    throw DomainError("the polynomial has no coefficients, but needs at least 1");
  }
  for (std::size_t k = 0; k < form.coefficients.size(); ++k) {
    check_finite(form.coefficients[k], "coefficient " + std::to_string(k) + " of the polynomial");
  }
}

/// Coefficients of the polynomial in t = T - 20 degC, its own constant kept.
std::vector<double> about_20_degrees(const ElongationPolynomial& form) {
  const double zero = form.of == PolynomialVariable::kelvin
                          ? units::in_kelvin(units::celsius(zero_in_celsius))
                          : zero_in_celsius;
  return shifted_to(zero, form.coefficients);
}

/// Value at 20 degC of a form: that of the polynomial, nothing by definition for the others.
double value_at_20_degrees(const ElongationForm& form) {
  const auto* polynomial_form = std::get_if<ElongationPolynomial>(&form);
  return polynomial_form ? about_20_degrees(*polynomial_form).front() : 0.0;
}

}  // namespace

Elongation::Elongation(std::string material, TemperatureRange range, const ElongationRecord& record)
    : material_(std::move(material)), range_(std::move(range)), uncertainty_(record.uncertainty) {
  check_range(about(material_) + "range", range_);
  if (!holds_zero(range_)) {
    throw DomainError(about(material_) + "range is " + text(range_) +
                      ", but must hold 20 degC, where the elongation has its zero");
  }
  if (uncertainty_ && !(uncertainty_->value() >= 0.0 && uncertainty_->value() < 1.0)) {
    throw DomainError(about(material_) + "the relative uncertainty of the elongation is " +
                      text(uncertainty_->value()) + ", but must lie in [0, 1)");
  }
  const auto* form = std::get_if<ElongationForm>(&record.curve);
  const std::vector<ElongationPiece> pieces =
      form ? std::vector<ElongationPiece>{ElongationPiece{range_, *form}}
           : std::get<ElongationPieces>(record.curve).pieces;
  try {
    check_pieces(pieces);
    add_segments(pieces);
    check_size();
  } catch (const DomainError& error) {
    throw DomainError(about(material_) + "elongation: " + error.what());
  }
}

void Elongation::check_pieces(const std::vector<ElongationPiece>& pieces) const {
  if (pieces.empty()) {
    throw DomainError("there are no pieces, but at least 1 is needed");
  }
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    check_range("the range of a piece", pieces[i].range);
    // Wider than the slack at both ends, so that its form holds over at least a part of it.
    const double width = pieces[i].range.high.value() - pieces[i].range.low.value();
    if (!(width > 2.0 * range_slack_in_kelvin)) {
      throw DomainError("the range of a piece, " + text(pieces[i].range) + ", is " + text(width) +
                        " K wide, but must be wider than " + text(2.0 * range_slack_in_kelvin) +
                        " K");
    }
    std::visit([&](const auto& form) { check_form(form, pieces[i].range); }, pieces[i].form);
    if (i == 0) {
      continue;
    }
    const units::Temperature end = pieces[i - 1].range.high;
    const units::Temperature start = pieces[i].range.low;
    if (!(std::abs(start.value() - end.value()) <= range_slack_in_kelvin)) {
      throw DomainError("a piece starts at " + text(start) + " where the one before it ends at " +
                        text(end) + ", but pieces must meet without gap or overlap");
    }
  }
  const TemperatureRange covered{pieces.front().range.low, pieces.back().range.high};
  if (!contains(covered, range_.low) || !contains(covered, range_.high)) {
    throw DomainError("the pieces run from " + text(covered) + ", but must cover " + text(range_));
  }
}

std::vector<Elongation::Segment> Elongation::segments_of(const ElongationPiece& piece,
                                                         double zero) {
  const double low = piece.range.low.value();
  const double high = piece.range.high.value();
  if (const auto* mean = std::get_if<MeanCoefficient>(&piece.form)) {
    return {Segment{low, high, {0.0, mean->value.value()}}};
  }
  if (const auto* form = std::get_if<ElongationPolynomial>(&piece.form)) {
    std::vector<double> coefficients = about_20_degrees(*form);
    coefficients.front() = holds_zero(piece.range) ? 0.0 : coefficients.front() - zero;
    return {Segment{low, high, std::move(coefficients)}};
  }
  const auto& points = std::get<MeanCoefficientTable>(piece.form).points;
  std::vector<Segment> segments;
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const double from = std::max(low, points[i].temperature.value());
    const double to = std::min(high, points[i + 1].temperature.value());
    if (!(from < to)) {
      continue;  // a line of the table beyond its piece: the neighbour's temperatures
    }
    const double t = points[i].temperature.value() - zero_in_celsius;
    const double alpha = points[i].mean_coefficient.value();
    const double slope = (points[i + 1].mean_coefficient.value() - alpha) /
                         (points[i + 1].temperature.value() - points[i].temperature.value());
    segments.push_back(Segment{from, to, {0.0, alpha - slope * t, slope}});
  }
  return segments;
}

void Elongation::add_segments(const std::vector<ElongationPiece>& pieces) {
  // What the polynomials on either side of 20 degC are shifted by (see ElongationPieces). Two
  // pieces reach 20 degC where they meet there.
  const auto at_20 = [](const ElongationPiece& piece) { return holds_zero(piece.range); };
  const auto coldest = std::find_if(pieces.begin(), pieces.end(), at_20);
  const auto hottest = std::find_if(pieces.rbegin(), pieces.rend(), at_20);
  const double zero_below = value_at_20_degrees(coldest->form);
  const double zero_above = value_at_20_degrees(hottest->form);

  for (const ElongationPiece& piece : pieces) {
    const bool is_below = piece.range.high.value() < zero_in_celsius;
    std::vector<Segment> segments = segments_of(piece, is_below ? zero_below : zero_above);
    if (!segments_.empty()) {
      const double t = piece.range.low.value() - zero_in_celsius;
      const double before = polynomial(segments_.back().coefficients, t);
      const double after = polynomial(segments.front().coefficients, t);
      if (!(std::abs(after - before) <= greatest_joint_step)) {
        throw DomainError("the pieces that meet at " + text(piece.range.low) + " give " +
                          text(before) + " and " + text(after) + " there, but must agree within " +
                          text(greatest_joint_step));
      }
    }
    std::move(segments.begin(), segments.end(), std::back_inserter(segments_));
  }
}

void Elongation::check_size() const {
  for (const Segment& segment : segments_) {
    const double low = std::max(segment.low, range_.low.value());
    const double high = std::min(segment.high, range_.high.value());
    for (int i = 0; i <= size_check_steps && low <= high; ++i) {
      const double degrees = low + (high - low) * i / size_check_steps;
      const double strain = polynomial(segment.coefficients, degrees - zero_in_celsius);
      if (!(std::abs(strain) < greatest_elongation)) {
        throw DomainError("it reaches " + text(strain) + " at " + text(units::celsius(degrees)) +
                          ", but must stay within +-" + text(greatest_elongation) +
                          " over the range: is the unit right?");
      }
    }
  }
}

void Elongation::check_domain(units::Temperature temperature, Extrapolation extrapolation) const {
  check_level(about(material_) + "elongation", temperature);
  if (extrapolation == Extrapolation::refuse && !contains(range_, temperature)) {
    throw MaterialError(about(material_) + "elongation is asked for at " + text(temperature) +
                        ", outside its range of " + text(range_));
  }
}

const Elongation::Segment& Elongation::segment_at(units::Temperature temperature) const {
  // The hottest segment that starts at or below the temperature; the coldest for all below its end.
  const auto above = std::upper_bound(
      segments_.begin(), segments_.end(), temperature.value(),
      [](double degrees, const Segment& segment) { return degrees < segment.low; });
  return above == segments_.begin() ? segments_.front() : *std::prev(above);
}

units::Ratio Elongation::eps20(units::Temperature temperature, Extrapolation extrapolation) const {
  check_domain(temperature, extrapolation);
  const double strain =
      polynomial(segment_at(temperature).coefficients, temperature.value() - zero_in_celsius);
  // Within the range this holds by construction; a form that is continued may end anywhere.
  if (!(strain > -1.0 && std::isfinite(strain))) {
    throw MaterialError(about(material_) + "elongation continued to " + text(temperature) + " is " +
                        text(strain) + ", but a length must remain: range is " + text(range_));
  }
  return units::from_si<units::Ratio>(strain);
}

units::Ratio Elongation::between(units::Temperature reference, units::Temperature temperature,
                                 Extrapolation extrapolation) const {
  const double at_reference = eps20(reference, extrapolation).value();
  const double at_temperature = eps20(temperature, extrapolation).value();
  const Segment& segment = segment_at(temperature);
  const double growth =
      &segment == &segment_at(reference)
          ? (temperature.value() - reference.value()) *
                divided_difference(segment.coefficients, reference.value() - zero_in_celsius,
                                   temperature.value() - zero_in_celsius)
          : at_temperature - at_reference;
  return units::from_si<units::Ratio>(growth / (1.0 + at_reference));
}

units::PerKelvin Elongation::mean_coefficient(units::Temperature temperature,
                                              Extrapolation extrapolation) const {
  const double strain = eps20(temperature, extrapolation).value();
  const double t = temperature.value() - zero_in_celsius;
  const std::vector<double>& c = segment_at(temperature).coefficients;
  if (c.front() != 0.0) {
    return units::from_si<units::PerKelvin>(strain / t);  // a piece that does not reach 20 degC
  }
  return units::from_si<units::PerKelvin>(divided_difference(c, 0.0, t));
}

}  // namespace lashband::materials
