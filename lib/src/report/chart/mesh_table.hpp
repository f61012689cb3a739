#pragma once

#include <cstddef>
#include <optional>

#include "data_table.hpp"
#include "lashband/design/study.hpp"

namespace lashband::report {

/// One mesh on every carrier at every state: what most charts of the mesh are drawn from. `mesh` is
/// its place in the design.
[[nodiscard]] DataTable mesh_table(const design::Study& study, std::size_t mesh,
                                   const Measures& measures);

/// The temperature of all zones at a point of the soak; empty for a condition.
[[nodiscard]] std::optional<units::Temperature> soak_level(const design::State& state);

}  // namespace lashband::report
