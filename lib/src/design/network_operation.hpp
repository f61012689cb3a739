#pragma once

#include "lashband/design/design.hpp"
#include "lashband/heat/transient.hpp"

namespace lashband::design {

/// What the network of a design goes through in one of its histories, every heat source worked out.
/// Tooth losses are those of the pair at the reference temperature, tolerances at their mid.
/// The design must outlive the operation. Throws DomainError where the history lacks what a source
/// needs, or where the teeth have no loss factor.
[[nodiscard]] heat::Operation network_operation(const Design& design, const NetworkRun& run);

}  // namespace lashband::design
