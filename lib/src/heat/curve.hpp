#pragma once

#include <cstddef>
#include <vector>

#include "lashband/materials/property.hpp"

namespace lashband::heat::kernel {

/// A property of a material over temperature, as materials::Property has it but without its range:
/// one value, or linear between points, the end lines going on.
struct Curve {
  std::vector<double> degrees;  ///< empty for one value
  std::vector<double> values;

  /// The line, by its left point, that holds at a temperature.
  [[nodiscard]] std::size_t piece(double temperature) const {
    std::size_t i = 0;
    while (i + 2 < degrees.size() && temperature >= degrees[i + 1]) {
      ++i;
    }
    return i;
  }
  [[nodiscard]] std::size_t pieces() const { return degrees.empty() ? 1 : degrees.size() - 1; }
  [[nodiscard]] double slope(std::size_t piece) const {
    return degrees.empty()
               ? 0.0
               : (values[piece + 1] - values[piece]) / (degrees[piece + 1] - degrees[piece]);
  }
  /// On that line, wherever the temperature is.
  [[nodiscard]] double on(std::size_t piece, double temperature) const {
    return degrees.empty() ? values.front()
                           : values[piece] + slope(piece) * (temperature - degrees[piece]);
  }
  [[nodiscard]] double at(double temperature) const { return on(piece(temperature), temperature); }
};

template <class Q>
[[nodiscard]] Curve curve_of(const materials::PropertyRecord<Q>& record) {
  Curve curve;
  if (const auto* value = std::get_if<Q>(&record)) {
    curve.values = {value->value()};
  } else if (const auto* spread = std::get_if<materials::SpreadValue<Q>>(&record)) {
    curve.values = {spread->value.value()};
  } else {
    const auto& points = std::get<materials::PropertyTable<Q>>(record).points;
    curve.degrees.reserve(points.size());
    curve.values.reserve(points.size());
    for (const materials::PropertyPoint<Q>& point : points) {
      curve.degrees.push_back(point.temperature.value());
      curve.values.push_back(point.value.value());
    }
  }
  return curve;
}

}  // namespace lashband::heat::kernel
