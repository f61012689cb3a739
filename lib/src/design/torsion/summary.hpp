#pragma once

#include "lashband/design/torsion.hpp"

namespace lashband::design {

/// The worst of a torsional analysis, over its conditions with a speed.
[[nodiscard]] TorsionSummary torsion_summary(const Design& design, const TorsionResult& torsion);

}  // namespace lashband::design
