#pragma once

#include <string>

#include "lashband/materials/temperature_range.hpp"
#include "lashband/units/temperature.hpp"

/// Numbers in the messages of this module.
namespace lashband::materials {

/// The shortest text that reads back as `number`.
[[nodiscard]] std::string text(double number);

/// "-60 degC"
[[nodiscard]] std::string text(units::Temperature temperature);

/// "-60 degC to 250 degC"
[[nodiscard]] std::string text(const TemperatureRange& range);

/// "material 'C45': "
[[nodiscard]] std::string about(const std::string& material);

/// Throws DomainError unless both ends are finite, not below absolute zero, and low < high. `what`
/// opens the message: "material 'C45': range".
void check_range(const std::string& what, const TemperatureRange& range);

/// Throws MaterialError unless `temperature` is a level that exists: finite and not below absolute
/// zero. `what` opens the message: "material 'C45': elongation".
void check_level(const std::string& what, units::Temperature temperature);

}  // namespace lashband::materials
