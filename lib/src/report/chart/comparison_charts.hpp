#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "lashband/design/study.hpp"

namespace lashband::report {

/// One study of two, on its carrier in use, and what it is called.
struct Side {
  const design::Study& study;
  std::string name;
};

/// A mesh that both sides have, with its charts and the table that they are drawn from.
struct ComparedMesh {
  DataTable states{};
  std::vector<Chart> charts{};
};

/// The mesh at that place of the first side beside the mesh of the same id; empty where the second
/// has none, or where one of them has no state.
[[nodiscard]] std::optional<ComparedMesh> compared_mesh(const Side& first, const Side& second,
                                                        std::size_t mesh, const Measures& measures,
                                                        const Colours& colours);

}  // namespace lashband::report
