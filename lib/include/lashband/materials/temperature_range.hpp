#pragma once

#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

namespace lashband::materials {

/// The temperatures for which data hold, both ends included.
using TemperatureRange = units::Band<units::Temperature>;

/// What to do with a temperature outside the range of the data.
enum class Extrapolation {
  refuse,  ///< throw MaterialError; the default everywhere
  allow,   ///< continue the form of the nearest piece; the caller says so to the user
};

/// How far outside a range a level may lie and still count as its end: a billionth of a kelvin,
/// which is what converting a level between kelvin, degF and degC can move it by, and no
/// temperature that anybody states or measures.
inline constexpr double range_slack_in_kelvin = 1e-9;

/// Whether `temperature` lies in `range`, its ends included (with range_slack_in_kelvin). A
/// temperature that is not a number lies in no range. Exact.
[[nodiscard]] inline bool contains(const TemperatureRange& range, units::Temperature temperature) {
  return temperature.value() >= range.low.value() - range_slack_in_kelvin &&
         temperature.value() <= range.high.value() + range_slack_in_kelvin;
}

}  // namespace lashband::materials
