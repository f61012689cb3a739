#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "lashband/materials/temperature_range.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// A property of a material over temperature: one value, a table, or a value with its spread.
namespace lashband::materials {

template <class Q>
struct PropertyPoint {
  units::Temperature temperature;
  Q value;
};

/// Values over temperature, linear between neighbouring points. At least two points, in rising
/// order.
template <class Q>
struct PropertyTable {
  std::vector<PropertyPoint<Q>> points;
};

/// A value where sources disagree or a product scatters: low <= value <= high.
template <class Q>
struct SpreadValue {
  Q value;
  Q low;
  Q high;
};

/// A property as read, before it is checked.
template <class Q>
using PropertyRecord = std::variant<Q, PropertyTable<Q>, SpreadValue<Q>>;

/// The rule that every value of a property obeys, in SI units.
struct PropertyRule {
  std::string_view key;   ///< "youngs_modulus", the key of the record
  std::string_view unit;  ///< "Pa", for messages; empty for a plain number
  double lower;           ///< values lie above this,
  bool lower_included;    ///< or at it,
  double upper;           ///< and below this
};

namespace detail {

/// Property values as plain SI numbers over degC; the whole of Property but its types.
class PropertyCurve {
 public:
  PropertyCurve(std::string material, const PropertyRule& rule, TemperatureRange range,
                std::vector<double> degrees, std::vector<double> values);

  [[nodiscard]] double at(double degrees, Extrapolation extrapolation) const;
  void check_spread(double low, double high) const;
  [[nodiscard]] const TemperatureRange& range() const { return range_; }

 private:
  void check_value(double value) const;

  std::string material_;
  PropertyRule rule_;
  TemperatureRange range_;
  std::vector<double> degrees_;  ///< empty for one value
  std::vector<double> values_;
};

}  // namespace detail

/// One checked property of one material. Immutable.
template <class Q>
class Property {
 public:
  /// `material` and `rule.key` are named in every error; `range` is the material's. Throws
  /// DomainError unless every value obeys the rule, a spread is ordered, and a table has at least
  /// two points in rising order of temperature that share a stretch of temperatures with the range.
  Property(std::string material, const PropertyRule& rule, const TemperatureRange& range,
           PropertyRecord<Q> record)
      : record_(std::move(record)),
        curve_(std::move(material), rule, range, degrees_of(record_), values_of(record_)) {
    if (const auto* spread = std::get_if<SpreadValue<Q>>(&record_)) {
      curve_.check_spread(spread->low.value(), spread->high.value());
    }
  }

  /// The value at `temperature`: one value holds over the material's whole range, a table from its
  /// first to its last point within that range.
  ///
  /// With Extrapolation::allow one value holds everywhere and a table continues its last line for
  /// as long as the value obeys the property's rule. Accuracy: a few units in the last place.
  /// Throws MaterialError outside, naming material, property, temperature and range.
  [[nodiscard]] Q at(units::Temperature temperature,
                     Extrapolation extrapolation = Extrapolation::refuse) const {
    return Q::from_value(curve_.at(temperature.value(), extrapolation));
  }

  /// Where `at` has a value without extrapolation.
  [[nodiscard]] const TemperatureRange& range() const { return curve_.range(); }

  /// What was read, spread included.
  [[nodiscard]] const PropertyRecord<Q>& record() const { return record_; }

 private:
  [[nodiscard]] static std::vector<double> degrees_of(const PropertyRecord<Q>& record) {
    std::vector<double> degrees;
    if (const auto* table = std::get_if<PropertyTable<Q>>(&record)) {
      for (const PropertyPoint<Q>& point : table->points) {
        degrees.push_back(point.temperature.value());
      }
    }
    return degrees;
  }

  [[nodiscard]] static std::vector<double> values_of(const PropertyRecord<Q>& record) {
    std::vector<double> values;
    if (const auto* value = std::get_if<Q>(&record)) {
      values.push_back(value->value());
    } else if (const auto* spread = std::get_if<SpreadValue<Q>>(&record)) {
      values.push_back(spread->value.value());
    } else {
      for (const PropertyPoint<Q>& point : std::get<PropertyTable<Q>>(record).points) {
        values.push_back(point.value.value());
      }
    }
    return values;
  }

  PropertyRecord<Q> record_;
  detail::PropertyCurve curve_;
};

}  // namespace lashband::materials
