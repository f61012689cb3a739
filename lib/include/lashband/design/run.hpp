#pragma once

#include <cstddef>

#include "lashband/design/design.hpp"
#include "lashband/design/results.hpp"
#include "lashband/materials/temperature_range.hpp"

/// The only place that joins analyses.
namespace lashband::design {

struct RunOptions {
  /// What to do outside a material's temperature range; a warning says where it was allowed.
  materials::Extrapolation extrapolation = materials::Extrapolation::refuse;
};

/// Backlash of every mesh at every state with the carrier at `carrier` (an index into
/// Design::carriers), its worst case, and the verdict on every requirement. States that cannot be
/// computed are listed as failures; the others are there.
[[nodiscard]] BacklashResult backlash(const Design& design, std::size_t carrier,
                                      const RunOptions& options);

/// The same for every carrier of the design.
[[nodiscard]] CarriersResult carriers(const Design& design, const RunOptions& options);

}  // namespace lashband::design
