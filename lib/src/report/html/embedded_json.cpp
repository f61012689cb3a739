#include "embedded_json.hpp"

namespace lashband::report {

std::string embedded_json(const nlohmann::ordered_json& json) {
  // ASCII only, so that no character in it depends on how the page is read.
  const std::string text =
      json.dump(-1, ' ', true, nlohmann::ordered_json::error_handler_t::replace);
  std::string safe;
  safe.reserve(text.size());
  for (const char c : text) {
    if (c == '<') {
      safe += "\\u003c";
    } else {
      safe += c;
    }
  }
  return safe;
}

}  // namespace lashband::report
