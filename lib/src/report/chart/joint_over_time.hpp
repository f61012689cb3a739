#pragma once

#include "history_context.hpp"

namespace lashband::report {

/// Adds the charts of the joint's force and of the travel left, as the carrier in use has them, and
/// their table.
void add_joint(const HistoryContext& in, HistoryCharts& charts);

}  // namespace lashband::report
