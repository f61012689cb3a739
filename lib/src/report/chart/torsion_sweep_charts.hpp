#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "torsion_charts.hpp"

namespace lashband::report {

/// Rattle index and dynamic force of one mesh over the sweep, the conditions side by side. `mesh`
/// is its place in TorsionResult::meshes. Empty without a sweep.
[[nodiscard]] std::optional<DrawnTable> mesh_sweep_charts(
    const design::Design& design, const design::TorsionResult& result, std::size_t mesh,
    const std::vector<std::size_t>& conditions, const Measures& measures, const Colours& colours);

/// Dynamic torques of the shafts, elastomers and dampers over the sweep: of the `most` elements
/// where they are greatest, `left_out` others.
struct TorqueSweep {
  std::optional<DrawnTable> drawn{};
  std::size_t left_out = 0;
};
[[nodiscard]] TorqueSweep torque_sweep_chart(const design::TorsionResult& result,
                                             const std::vector<std::size_t>& conditions,
                                             std::size_t most, const Measures& measures,
                                             const Colours& colours);

}  // namespace lashband::report
