#pragma once

#include <cstddef>
#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "lashband/design/study.hpp"

namespace lashband::report {

/// Joint force and clearance left of every carrier that has them, at every state. No columns but
/// carrier and state where no carrier has any.
[[nodiscard]] DataTable joint_table(const design::Study& study, const Measures& measures);

/// Centre distance, tip clearance and contact ratio of one mesh, by carrier. `table` is the mesh's
/// `mesh_table`.
[[nodiscard]] std::vector<Chart> centre_charts(const design::Study& study, std::size_t mesh,
                                               const DataTable& table, const Colours& colours);
[[nodiscard]] std::vector<Chart> tooth_charts(const design::Study& study, std::size_t mesh,
                                              const DataTable& table, const Colours& colours);

/// Joint force, and the clearance left in the joint. `table` is the `joint_table`.
[[nodiscard]] std::vector<Chart> joint_charts(const design::Study& study, const DataTable& table,
                                              const Colours& colours);

}  // namespace lashband::report
