#pragma once

#include <string_view>

namespace lashband::io {

/// The JSON Schema (2020-12) of the input file. What it rejects, the reader rejects; what it cannot
/// judge (references, dimensions, ranges of quantities, sums) only the reader knows.
[[nodiscard]] std::string_view input_schema();

}  // namespace lashband::io
