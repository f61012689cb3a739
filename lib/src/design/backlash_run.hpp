#pragma once

#include <cstddef>
#include <vector>

#include "courses.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"

namespace lashband::design {

/// `backlash` at a list of states, whatever they are of.
[[nodiscard]] BacklashResult backlash_at(const Design& design, std::size_t carrier,
                                         const RunOptions& options, std::vector<State> states);

/// `backlash` with the histories of the design worked out already, by these options.
[[nodiscard]] BacklashResult backlash(const Design& design, std::size_t carrier,
                                      const RunOptions& options, const Courses& courses);

}  // namespace lashband::design
