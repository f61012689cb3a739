#pragma once

#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "lashband/design/study.hpp"

namespace lashband::report {

/// What the spread of one mesh is made of over all states, greatest share first.
[[nodiscard]] DataTable budget_table(const design::Budget& budget, std::size_t mesh,
                                     const Measures& measures);

/// The contributors that matter, with what halving each gains. `table` is their `budget_table`.
[[nodiscard]] std::vector<Chart> budget_charts(const design::Budget& budget, std::size_t mesh,
                                               const DataTable& table, const Measures& measures,
                                               const Colours& colours);

}  // namespace lashband::report
