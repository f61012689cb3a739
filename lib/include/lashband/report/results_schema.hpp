#pragma once

#include <string_view>

namespace lashband::report {

/// The JSON Schema (2020-12) of what `json` writes.
[[nodiscard]] std::string_view results_schema();

}  // namespace lashband::report
