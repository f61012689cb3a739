#pragma once

#include <cstddef>

#include "data_table.hpp"
#include "lashband/design/study.hpp"

namespace lashband::report {

/// One mesh on every carrier at every state, of histories at the moments of
/// `keep_ends_of_histories`: what most charts of the mesh are drawn from. `mesh` is its place in
/// the design.
[[nodiscard]] DataTable mesh_table(const design::Study& study, std::size_t mesh,
                                   const Measures& measures);

}  // namespace lashband::report
