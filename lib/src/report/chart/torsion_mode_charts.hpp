#pragma once

#include <cstddef>
#include <optional>

#include "torsion_charts.hpp"

namespace lashband::report {

/// What each mode of a condition strains, and with `sensitivities` what moves its frequency most.
/// Empty where nothing can vibrate.
[[nodiscard]] std::optional<DrawnTable> mode_charts(const design::TorsionResult& result,
                                                    std::size_t condition, bool sensitivities,
                                                    const Colours& colours);

}  // namespace lashband::report
