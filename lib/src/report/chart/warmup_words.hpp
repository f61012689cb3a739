#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "data_table.hpp"
#include "lashband/design/warmup.hpp"
#include "lashband/report/view.hpp"

// Histories in words.
namespace lashband::report {

/// The scale of a history's times.
[[nodiscard]] TimeScale time_scale_of(const design::HistoryResult& history);

/// "from 0.00 to 2.30 min, from 5.00 to 6.00 min and 3 more times"; the greatest count told.
[[nodiscard]] std::string spans_text(const std::vector<design::TimeSpan>& spans,
                                     const TimeScale& scale, std::size_t most);

/// "least backlash of at least 30.0 µm, judged on worst case: violated from 0.00 to 2.30 min, at
/// worst 1.4 µm at 0.00 min; holds from 2.30 min on".
[[nodiscard]] std::string requirement_over_time(const design::RequirementOverTime& requirement,
                                                const design::HistoryResult& history,
                                                const View& view);

}  // namespace lashband::report
