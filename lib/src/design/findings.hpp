#pragma once

#include <vector>

#include "lashband/design/results.hpp"

namespace lashband::design {

/// What a designer should know of a finished run: undercut, interference, contact lost, tips that
/// touch roots, joints that press or slip, bounds instead of values; then the reader's notes. One
/// row for each kind and subject, with the worst state and how many states there are like it.
[[nodiscard]] std::vector<Warning> findings(const Design& design, const thermal::Carrier& carrier,
                                            const BacklashResult& result);

}  // namespace lashband::design
