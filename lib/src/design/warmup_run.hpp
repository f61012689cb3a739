#pragma once

#include <cstddef>

#include "courses.hpp"
#include "lashband/design/run.hpp"
#include "lashband/design/warmup.hpp"

namespace lashband::design {

/// `warmup` with the histories of the design worked out already, by these options.
[[nodiscard]] WarmupResult warmup(const Design& design, std::size_t carrier,
                                  const RunOptions& options, const Courses& courses);

}  // namespace lashband::design
