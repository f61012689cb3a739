#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

#include "file_text.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::test {

/// The one row of tests/reference/bearing.json with that topic. Throws where there is none, or none
/// with a source and a status.
[[nodiscard]] inline nlohmann::json reference_row(std::string_view topic) {
  const auto reference =
      nlohmann::json::parse(text_of(LASHBAND_SOURCE_DIR "/tests/reference/bearing.json"));
  for (const auto& block : reference.at("blocks")) {
    if (block.at("topic") == topic && !block.at("source").get<std::string>().empty() &&
        !block.at("status").get<std::string>().empty()) {
      return block.at("rows").at(0);
    }
  }
  throw std::runtime_error("bearing.json has no block " + std::string(topic));
}

[[nodiscard]] inline units::Length mm(double value) {
  return units::from_si<units::Length>(1e-3 * value);
}
[[nodiscard]] inline units::Length um(double value) {
  return units::from_si<units::Length>(1e-6 * value);
}
[[nodiscard]] inline double in_um(units::Length length) {
  return 1e6 * length.value();
}

/// Sums of a few lengths below 0.2 m: each carries a rounding of 1e-17 m.
constexpr double rounding_in_um = 1e-9;

}  // namespace lashband::test
