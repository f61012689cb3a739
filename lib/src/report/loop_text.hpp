#pragma once

#include <string>

#include "lashband/design/results.hpp"
#include "lashband/report/view.hpp"

// Closed loops of a train in words and tables.
namespace lashband::report {

/// "loop A-B, B-C, C-A"; of a long loop its first meshes and how many more there are.
[[nodiscard]] std::string loop_title(const design::LoopResult& loop);

/// The loop with its shafts and meshes in turn: "crank A - A-B - crank B - B-A - crank A".
[[nodiscard]] std::string loop_way(const design::LoopResult& loop);

/// How the loop closes and whether it can be assembled, as one sentence without a full stop.
[[nodiscard]] std::string loop_closure(const design::LoopResult& loop);

/// One paragraph a loop that the view shows: its least margins. Nothing where there is no loop.
[[nodiscard]] std::string loop_lines(const design::BacklashResult& result, const View& view);

/// Every loop that the view shows, state by state.
[[nodiscard]] std::string loop_tables(const design::BacklashResult& result, const View& view);

/// The least margins of each loop on every carrier, side by side.
[[nodiscard]] std::string loop_comparison(const design::CarriersResult& result, const View& view);

}  // namespace lashband::report
