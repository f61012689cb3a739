#pragma once

#include "courses.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"

namespace lashband::design {

/// `carriers` with the histories of the design worked out already, by these options.
[[nodiscard]] CarriersResult carriers(const Design& design, const RunOptions& options,
                                      const Courses& courses);

}  // namespace lashband::design
