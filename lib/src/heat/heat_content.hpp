#pragma once

#include <vector>

#include "heat/curve.hpp"
#include "lashband/heat/network.hpp"

namespace lashband::heat::kernel {

/// The heat in one body over its temperature, counted from the temperature at the start.
class HeatContent {
 public:
  HeatContent(const Body& body, double start);

  /// C at a temperature, J/K.
  [[nodiscard]] double capacity(double temperature) const {
    return mass_ * specific_heat_.at(temperature);
  }
  /// The temperature with that heat, degC; not a number where the specific heat, going on beyond
  /// its table, falls to zero before.
  [[nodiscard]] double temperature(double heat) const;
  /// Whether C is the same at all temperatures.
  [[nodiscard]] bool constant() const { return specific_heat_.degrees.size() < 2; }

 private:
  double mass_ = 1.0;
  Curve specific_heat_;
  double start_;
  std::vector<double> heats_;  // at the points of the specific heat
};

/// A sum of many terms with the rounding of each kept.
class Sum {
 public:
  void add(double term);
  [[nodiscard]] double value() const { return high_ + low_; }

 private:
  double high_ = 0.0;
  double low_ = 0.0;
};

}  // namespace lashband::heat::kernel
