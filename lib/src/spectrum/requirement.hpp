#pragma once

#include <cstddef>
#include <sstream>
#include <string>

#include "lashband/error.hpp"

namespace lashband::spectrum::kernel {

/// Throws DomainError, "<what>: <rule>, not <value><unit>", unless the rule holds.
inline void require(bool holds, const std::string& what, const char* rule, double value,
                    const char* unit) {
  if (!holds) {
    std::ostringstream message;
    message.precision(10);
    message << what << ": " << rule << ", not " << value << unit;
    throw DomainError(message.str());
  }
}

/// "mesh 'first'"
[[nodiscard]] inline std::string named(const char* what, const std::string& id) {
  std::string text = what;
  text += " '";
  text += id;
  text += '\'';
  return text;
}

}  // namespace lashband::spectrum::kernel
