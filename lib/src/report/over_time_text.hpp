#pragma once

#include <string>

#include "lashband/design/warmup.hpp"
#include "lashband/report/view.hpp"

// What a history means, in words.
namespace lashband::report {

/// Where the history comes from, how long it is and how often it is repeated: "thermal network,
/// 2 h 20 min 30 s, 3 cycles until one is like the last".
[[nodiscard]] std::string history_words(const design::HistoryResult& history);

/// When the requirement is violated and from when on it holds: "holds throughout", "violated from
/// 2 min 10 s to 14 min 3 s". Of many times the first three are told.
[[nodiscard]] std::string violation_words(const design::RequirementOverTime& requirement,
                                          const design::HistoryResult& history);

/// Every requirement of the history below the basis that it is judged on, with when it is violated.
[[nodiscard]] std::string requirements_over_time(const design::HistoryResult& history,
                                                 const View& view);

/// The account of the heat; nothing for a record.
[[nodiscard]] std::string heat_lines(const design::HistoryResult& history);

}  // namespace lashband::report
