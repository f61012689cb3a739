#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/decode.hpp"

namespace lashband::io {

/// Which of several keys that exclude each other an object has.
struct KeyChoice {
  std::vector<std::string> present;
  std::vector<std::string> all;
};

/// Makes all of the keys known.
[[nodiscard]] KeyChoice choice_of(ObjectReader& object,
                                  std::initializer_list<std::string_view> keys);

/// The one key that is there; reports none or several.
[[nodiscard]] std::optional<std::string> exactly_one(const Field& place, const KeyChoice& choice);

/// Reports several; whether there is one or none.
bool at_most_one(const Field& place, const KeyChoice& choice);

}  // namespace lashband::io
