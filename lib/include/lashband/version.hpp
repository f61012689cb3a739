#pragma once

#include <string_view>

namespace lashband {

/// The version of the library, "0.1.0" (semantic versioning).
[[nodiscard]] std::string_view version();

}  // namespace lashband
