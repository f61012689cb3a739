#include "materials/text.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "lashband/error.hpp"

namespace lashband::materials {

std::string text(double number) {
  // The longest shortest text of a double, "-2.2250738585072014e-308", has 24 characters.
  std::array<char, 32> buffer{};
  const auto result = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number);
  return std::string(buffer.data(), result.ptr);
}

std::string text(units::Temperature temperature) {
  return text(temperature.value()) + " degC";
}

std::string text(const TemperatureRange& range) {
  return text(range.low) + " to " + text(range.high);
}

std::string about(const std::string& material) {
  return "material '" + material + "': ";
}

namespace {

bool exists(units::Temperature temperature) {
  return std::isfinite(temperature.value()) &&
         temperature.value() >= units::absolute_zero_in_celsius;
}

}  // namespace

void check_range(const std::string& what, const TemperatureRange& range) {
  if (!exists(range.low) || !exists(range.high) || !(range.low.value() < range.high.value())) {
    throw DomainError(what + " is " + text(range) +
                      ", but must run from a lower to a higher temperature, both finite and not "
                      "below -273.15 degC");
  }
}

void check_level(const std::string& what, units::Temperature temperature) {
  if (!exists(temperature)) {
    throw MaterialError(what + " is asked for at " + text(temperature) +
                        ", which is no temperature: it must be finite and not below -273.15 degC");
  }
}

}  // namespace lashband::materials
