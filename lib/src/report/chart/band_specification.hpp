#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "colours.hpp"
#include "data_table.hpp"
#include "lashband/design/results.hpp"
#include "lashband/units/quantities.hpp"
#include "specification.hpp"

// Backlash with its bands, drawn from any table that has the columns carrier, condition,
// j_wt_nominal, j_wt_worst_low and j_wt_worst_high, perhaps temperature, history with time, and the
// percentiles. What
// stands side by side is told by the column carrier.
namespace lashband::report {

/// Backlash that is asked for; drawn as dashed lines.
struct RequiredBacklash {
  std::optional<units::Length> least{}, greatest{};
};

/// The limits of j_wt that a result was judged by.
[[nodiscard]] RequiredBacklash required_of(const design::BacklashResult& result,
                                           const std::string& mesh);

/// Bands over the soak sweep of so many points, one panel for each carrier.
[[nodiscard]] Specification soak_bands(const DataTable& table, const RequiredBacklash& required,
                                       std::size_t points, const Measures& measures,
                                       const Colours& colours);

/// Bands at the conditions and at the ends of histories, one line for each carrier.
[[nodiscard]] Specification condition_bands(const DataTable& table,
                                            const RequiredBacklash& required,
                                            const Measures& measures, const Colours& colours);

}  // namespace lashband::report
