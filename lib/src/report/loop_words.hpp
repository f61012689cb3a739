#pragma once

#include "lashband/train/closure.hpp"

// Words of loops in JSON and CSV.
namespace lashband::report {

/// "places", "assembly", "unknown".
[[nodiscard]] const char* closed_word(train::ClosedBy by);

}  // namespace lashband::report
