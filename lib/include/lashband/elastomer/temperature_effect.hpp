#pragma once

#include <vector>

#include "lashband/elastomer/dynamic_stiffness.hpp"
#include "lashband/materials/elastomer.hpp"
#include "lashband/materials/temperature_range.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// What temperature does to an elastomer: its times shift, its stiffness falls or rises.
///
/// Simplifications: thermo-rheologically simple, all relaxation times shift alike; no ageing, no
/// crystals in the cold.
namespace lashband::elastomer {

/// a_T, by which relaxation times are longer at a temperature than at the reference one,
///   log10 a_T = -C1 (T - T0) / (C2 + T - T0).
///
/// Exact. Meant for some 10 to 100 K above the glass transition. Throws DomainError unless
/// T > T0 - C2, where the equation has its pole, all numbers are finite and C1 and C2 above 0, and
/// ComputationError where a_T leaves the range of floating point.
/// Source: Williams, Landel, Ferry, J. Am. Chem. Soc. 77 (1955) 3701, from memory.
[[nodiscard]] double shift_factor(const materials::Wlf& wlf, units::Temperature temperature);

/// The chain at a temperature: its relaxation times, given at the reference temperature, times a_T.
/// Stiffnesses stay. Throws as `shift_factor`.
[[nodiscard]] GeneralisedMaxwell shifted(const GeneralisedMaxwell& chain, const materials::Wlf& wlf,
                                         units::Temperature temperature);

/// Stiffness at temperature over the stiffness that it multiplies, linear between points of a
/// table. Immutable.
class StiffnessFactor {
 public:
  struct Point {
    units::Temperature temperature;
    double factor = 1.0;
  };

  /// Throws DomainError unless there are two points or more, in rising order of temperature, and
  /// all numbers are finite and factors above 0.
  explicit StiffnessFactor(std::vector<Point> points);

  /// Exact at the points. Throws DomainError, saying what the table covers, outside of it
  /// (materials::contains tells beforehand).
  [[nodiscard]] double at(units::Temperature temperature) const;

  /// From the coldest point to the warmest.
  [[nodiscard]] const materials::TemperatureRange& range() const { return range_; }

 private:
  std::vector<Point> points_;
  materials::TemperatureRange range_;
};

}  // namespace lashband::elastomer
