#pragma once

#include <cstddef>
#include <optional>

#include "colours.hpp"
#include "lashband/design/study.hpp"
#include "torsion_charts.hpp"

namespace lashband::report {

/// Natural frequencies of one condition and the orders of what shakes the train, over its speed:
/// over the sweep, or from half to twice the speed of the condition. Empty where neither is given
/// or nothing can vibrate.
[[nodiscard]] std::optional<DrawnTable> interference_chart(const design::Design& design,
                                                           const design::TorsionResult& result,
                                                           std::size_t condition,
                                                           const Colours& colours);

}  // namespace lashband::report
