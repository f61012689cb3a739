#pragma once

#include <nlohmann/json.hpp>
#include <string>

namespace lashband::report {

/// JSON that may stand inside a script element: no text in it can end the element or begin a
/// comment, since every < is written as an escape.
[[nodiscard]] std::string embedded_json(const nlohmann::ordered_json& json);

}  // namespace lashband::report
