#pragma once

#include <sstream>
#include <string>

#include "lashband/error.hpp"

namespace lashband::heat::kernel {

/// Ten digits: enough to find the number in the input, without the noise of binary fractions.
[[nodiscard]] inline std::string number_text(double value) {
  std::ostringstream text;
  text.precision(10);
  text << value;
  return text.str();
}

/// "body 'case'"
[[nodiscard]] inline std::string named(const char* what, const std::string& id) {
  std::string text = what;
  text += " '";
  text += id;
  text += '\'';
  return text;
}

/// Throws DomainError, "<what>: <rule>, not <value><unit>", unless the rule holds.
inline void require(bool holds, const std::string& what, const char* rule, double value,
                    const char* unit) {
  if (!holds) {
    std::string text = what;
    text += ": ";
    text += rule;
    text += ", not ";
    text += number_text(value);
    text += unit;
    throw DomainError(text);
  }
}

/// Throws DomainError, "<what>: <rule>", unless the rule holds.
inline void require(bool holds, const std::string& what, const char* rule) {
  if (!holds) {
    std::string text = what;
    text += ": ";
    text += rule;
    throw DomainError(text);
  }
}

}  // namespace lashband::heat::kernel
