#pragma once

#include <cstddef>

#include "history_context.hpp"

namespace lashband::report {

/// Adds the charts of backlash and centre distance of the mesh at that place, and their table.
/// Nothing where no moment could be computed.
void add_mesh(const HistoryContext& in, std::size_t mesh, HistoryCharts& charts);

}  // namespace lashband::report
