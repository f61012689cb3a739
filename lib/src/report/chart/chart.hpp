#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "data_table.hpp"

namespace lashband::report {

/// A chart as data: a Vega-Lite specification, drawn from one table.
struct Chart {
  std::string id{};               ///< "soak-1": unique in a page, and the name for --chart
  std::string title{};            ///< what it shows
  std::string reading{};          ///< what to see in it, true for these numbers
  std::string table{};            ///< id of the table that it is drawn from
  nlohmann::ordered_json spec{};  ///< without data
};

/// A name of the user's in a sentence or as a label: no control characters, and shortened where it
/// would fill the page; tables have it whole.
[[nodiscard]] std::string named(std::string_view name);

}  // namespace lashband::report
