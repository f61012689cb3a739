#pragma once

#include "lashband/design/torsion.hpp"
#include "layout.hpp"

namespace lashband::design {

/// Judges what the settings require, over the conditions with a speed of their own or that was
/// asked for.
void judge_torsion(const Design& design, TorsionResult& result);

/// What a designer should know of a condition: teeth that part, elastomers beyond their limits.
void add_torsion_findings(const Design& design, const TorsionLayout& layout,
                          const TorsionCondition& condition, TorsionResult& result);

/// What was not considered: shafts and gears without inertia, shafts left out.
void add_torsion_gaps(const Design& design, const TorsionLayout& layout, TorsionResult& result);

}  // namespace lashband::design
