#pragma once

#include <cmath>
#include <sstream>

#include "lashband/error.hpp"

namespace lashband::torsion::kernel {

/// Throws DomainError, "<rule>, not <value><unit>", unless the rule holds.
inline void require(bool holds, const char* rule, double value, const char* unit) {
  if (!holds) {
    std::ostringstream message;
    message.precision(10);
    message << rule << ", not " << value << unit;
    throw DomainError(message.str());
  }
}

/// Throws as `require` unless the value is finite and above 0.
inline void require_positive(const char* rule, double value, const char* unit) {
  require(value > 0.0 && std::isfinite(value), rule, value, unit);
}

/// Throws as `require` unless the value is finite and 0 or more.
inline void require_not_negative(const char* rule, double value, const char* unit) {
  require(value >= 0.0 && std::isfinite(value), rule, value, unit);
}

}  // namespace lashband::torsion::kernel
