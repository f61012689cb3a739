#pragma once

#include <string>
#include <string_view>
#include <vector>

/// Suggestions for a unit that is not in the table.
namespace lashband::units::detail {

/// What the writer of an unknown unit may have meant, the likeliest first; empty where nothing is
/// near. Each is a unit expression: "mm" for "mM", "N m" for "Nm", "degC" for "°C".
[[nodiscard]] std::vector<std::string> nearest_units(std::string_view unknown);

}  // namespace lashband::units::detail
