#pragma once

#include <cstddef>
#include <initializer_list>
#include <string>
#include <string_view>

#include "lashband/error.hpp"

namespace lashband::train::kernel {

/// Throws DomainError with the parts put together, unless the rule holds.
inline void require(bool holds, std::initializer_list<std::string_view> parts) {
  if (!holds) {
    std::string text;
    for (const std::string_view part : parts) {
      text += part;
    }
    throw DomainError(text);
  }
}

/// Throws DomainError, "<what>: there must be <expected>, not <found>", unless they are the same.
inline void require_count(std::string_view what, std::size_t found, std::size_t expected) {
  require(found == expected,
          {what, ": there must be ", std::to_string(expected), ", not ", std::to_string(found)});
}

}  // namespace lashband::train::kernel
