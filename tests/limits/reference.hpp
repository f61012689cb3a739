#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

#include "file_text.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::test {

/// The blocks of tests/reference/limits.json with that topic. Throws where there is none, or one
/// without a source or a status.
[[nodiscard]] inline std::vector<nlohmann::json> reference_blocks(std::string_view topic) {
  const auto reference =
      nlohmann::json::parse(text_of(LASHBAND_SOURCE_DIR "/tests/reference/limits.json"));
  std::vector<nlohmann::json> blocks;
  for (const auto& block : reference.at("blocks")) {
    if (block.at("source").get<std::string>().empty() ||
        block.at("status").get<std::string>().empty()) {
      throw std::runtime_error("a block of limits.json lacks its source or status");
    }
    if (block.at("topic") == topic) {
      blocks.push_back(block);
    }
  }
  if (blocks.empty()) {
    throw std::runtime_error("limits.json has no block " + std::string(topic));
  }
  return blocks;
}

/// All rows of a topic.
[[nodiscard]] inline std::vector<nlohmann::json> reference_rows(std::string_view topic) {
  std::vector<nlohmann::json> rows;
  for (const auto& block : reference_blocks(topic)) {
    rows.insert(rows.end(), block.at("rows").begin(), block.at("rows").end());
  }
  return rows;
}

[[nodiscard]] inline units::Length mm(double value) {
  return units::from_si<units::Length>(1e-3 * value);
}
[[nodiscard]] inline double in_um(units::Length length) {
  return 1e6 * length.value();
}

/// Sizes of a range "over ... up to and including ...": just inside its lower end, and its upper.
[[nodiscard]] inline std::vector<units::Length> ends_of(const nlohmann::json& row) {
  constexpr double just_over_in_mm = 1e-6;
  return {mm(row.at("over").get<double>() + just_over_in_mm), mm(row.at("up_to"))};
}

/// Table values are whole and half micrometres; their SI values carry a rounding of 1e-16.
constexpr double table_rounding_in_um = 1e-9;

}  // namespace lashband::test
