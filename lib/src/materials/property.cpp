#include "lashband/materials/property.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>

#include "lashband/error.hpp"
#include "materials/text.hpp"

namespace lashband::materials::detail {
namespace {

std::string with_unit(double value, std::string_view unit) {
  return unit.empty() ? text(value) : text(value) + " " + std::string(unit);
}

}  // namespace

PropertyCurve::PropertyCurve(std::string material, const PropertyRule& rule, TemperatureRange range,
                             std::vector<double> degrees, std::vector<double> values)
    : material_(std::move(material)),
      rule_(rule),
      range_(std::move(range)),
      degrees_(std::move(degrees)),
      values_(std::move(values)) {
  const std::string what = about(material_) + std::string(rule_.key);
  check_range(about(material_) + "range", range_);
  const bool is_table = !degrees_.empty();
  if (values_.size() < (is_table ? 2U : 1U)) {
    throw DomainError(what + ": the table has " + std::to_string(values_.size()) +
                      (values_.size() == 1 ? " point" : " points") + ", but needs at least 2");
  }
  std::for_each(values_.begin(), values_.end(), [this](double value) { check_value(value); });
  if (!is_table) {
    return;
  }
  for (std::size_t i = 0; i < degrees_.size(); ++i) {
    const units::Temperature here = units::celsius(degrees_[i]);
    if (!std::isfinite(degrees_[i])) {
      throw DomainError(what + ": a temperature of the table is " + text(here) +
                        ", but must be finite");
    }
    if (i > 0 && !(degrees_[i - 1] < degrees_[i])) {
      throw DomainError(what + ": the table has " + text(here) + " after " +
                        text(units::celsius(degrees_[i - 1])) + ", but its temperatures must rise");
    }
  }
  const TemperatureRange table{units::celsius(degrees_.front()), units::celsius(degrees_.back())};
  const TemperatureRange shared{std::max(table.low, range_.low), std::min(table.high, range_.high)};
  if (!(shared.low.value() < shared.high.value())) {
    throw DomainError(what + ": the table runs from " + text(table) +
                      ", but must share temperatures with the material's range of " + text(range_));
  }
  range_ = shared;
}

double PropertyCurve::at(double degrees, Extrapolation extrapolation) const {
  const units::Temperature temperature = units::celsius(degrees);
  const std::string what = about(material_) + std::string(rule_.key);
  check_level(what, temperature);
  if (extrapolation == Extrapolation::refuse && !contains(range_, temperature)) {
    throw MaterialError(what + " is asked for at " + text(temperature) + ", outside its range of " +
                        text(range_));
  }
  if (degrees_.empty()) {
    return values_.front();
  }
  // The line between the points around it; the first or last line beyond them.
  const auto above =
      std::upper_bound(std::next(degrees_.begin()), std::prev(degrees_.end()), degrees);
  const auto i = static_cast<std::size_t>(std::distance(degrees_.begin(), above));
  const double share = (degrees - degrees_[i - 1]) / (degrees_[i] - degrees_[i - 1]);
  // This form returns the values of the points themselves exactly at both ends.
  const double value = (1.0 - share) * values_[i - 1] + share * values_[i];
  if (!contains(range_, temperature)) {
    try {
      check_value(value);
    } catch (const DomainError& error) {
      throw MaterialError(std::string(error.what()) + ": continued to " + text(temperature) +
                          ", outside its range of " + text(range_));
    }
  }
  return value;
}

void PropertyCurve::check_spread(double low, double high) const {
  check_value(low);
  check_value(high);
  const double value = values_.front();
  if (!(low <= value && value <= high)) {
    throw DomainError(about(material_) + std::string(rule_.key) + " is " +
                      with_unit(value, rule_.unit) + " with limits " + text(low) + " and " +
                      with_unit(high, rule_.unit) + ", but must be low <= value <= high");
  }
}

void PropertyCurve::check_value(double value) const {
  const bool above = rule_.lower_included ? value >= rule_.lower : value > rule_.lower;
  if (above && value < rule_.upper && std::isfinite(value)) {
    return;
  }
  std::string allowed = rule_.lower_included ? "at least " : "above ";
  allowed += with_unit(rule_.lower, rule_.unit);
  allowed += std::isfinite(rule_.upper) ? " and below " + with_unit(rule_.upper, rule_.unit)
                                        : std::string(" and finite");
  throw DomainError(about(material_) + std::string(rule_.key) + " is " +
                    with_unit(value, rule_.unit) + ", but must be " + allowed);
}

}  // namespace lashband::materials::detail
