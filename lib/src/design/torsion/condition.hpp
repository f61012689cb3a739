#pragma once

#include <optional>
#include <string>
#include <vector>

#include "heat.hpp"
#include "lashband/design/torsion.hpp"
#include "lines.hpp"
#include "state.hpp"
#include "vibration.hpp"

namespace lashband::design {

/// What the analysis of one condition needs; it must outlive it.
struct TorsionJob {
  const Design& design;
  const TorsionLayout& layout;
  const TorsionLines& lines;
  const std::vector<std::size_t>& mesh_elements;
  const thermal::Reference& reference;
};

/// Everything of a condition but its sweep, at `speed` (rad/s of the reference).
[[nodiscard]] TorsionCondition torsion_condition(const TorsionJob& job, const TorsionState& state,
                                                 const std::vector<ElastomerHeat>& heat,
                                                 double speed);

/// The response at one speed of the sweep.
[[nodiscard]] SweepPoint sweep_point(const TorsionJob& job, const TorsionState& state,
                                     double speed);

}  // namespace lashband::design
