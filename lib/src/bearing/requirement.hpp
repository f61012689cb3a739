#pragma once

#include <sstream>
#include <string>

#include "lashband/error.hpp"

namespace lashband::bearing::kernel {

/// Throws DomainError, "<rule>, not <value><unit>", unless the rule holds.
inline void require(bool holds, const char* rule, double value, const char* unit) {
  if (!holds) {
    std::ostringstream message;
    message.precision(10);
    message << rule << ", not " << value << unit;
    throw DomainError(message.str());
  }
}

}  // namespace lashband::bearing::kernel
