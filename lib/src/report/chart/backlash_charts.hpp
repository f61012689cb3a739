#pragma once

#include <cstddef>
#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "lashband/design/study.hpp"

namespace lashband::report {

/// Backlash of one mesh with its bands and what is required: over the soak sweep, and at the
/// conditions, carriers side by side. `table` is the mesh's `mesh_table`. What the file does not
/// have has no chart.
[[nodiscard]] std::vector<Chart> backlash_charts(const design::Study& study, std::size_t mesh,
                                                 const DataTable& table, const Measures& measures,
                                                 const Colours& colours);

}  // namespace lashband::report
