#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "data_table.hpp"
#include "lashband/design/study.hpp"

namespace lashband::report {

/// One mesh on every carrier at every state: what most charts of the mesh are drawn from. `mesh` is
/// its place in the design.
[[nodiscard]] DataTable mesh_table(const design::Study& study, std::size_t mesh,
                                   const Measures& measures);

/// What every table of states begins with: who carries (`carrier_head` is its head), the state, and
/// with `soak` the temperature of its points.
[[nodiscard]] std::vector<Column> state_columns(const std::string& carrier_head, bool soak,
                                                const Measures& measures);
[[nodiscard]] std::vector<Cell> state_cells(const std::string& carrier, const design::State& state,
                                            bool soak, const Measures& measures);

}  // namespace lashband::report
