#pragma once

#include <cmath>
#include <sstream>
#include <string>

#include "lashband/error.hpp"

// Checks of arguments, with the message that DomainError promises: value, rule and unit.
namespace lashband::checks {

/// "<rule>, not <value><unit>", ten digits: enough to find the number in the input.
[[nodiscard]] inline std::string broken_rule(const char* rule, double value, const char* unit) {
  std::ostringstream message;
  message.precision(10);
  message << rule << ", not " << value << unit;
  return message.str();
}

/// Throws DomainError, "<rule>, not <value><unit>", unless the rule holds.
inline void require(bool holds, const char* rule, double value, const char* unit) {
  if (!holds) {
    throw DomainError(broken_rule(rule, value, unit));
  }
}

/// Throws as `require` unless the value is finite.
inline void require_finite(const char* rule, double value, const char* unit) {
  require(std::isfinite(value), rule, value, unit);
}

/// Throws as `require` unless the value is finite and above 0.
inline void require_positive(const char* rule, double value, const char* unit) {
  require(value > 0.0 && std::isfinite(value), rule, value, unit);
}

/// Throws as `require` unless the value is finite and 0 or more.
inline void require_not_negative(const char* rule, double value, const char* unit) {
  require(value >= 0.0 && std::isfinite(value), rule, value, unit);
}

}  // namespace lashband::checks
