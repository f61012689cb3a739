#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace lashband {

/// How many letters must be inserted, left out or replaced to turn `from` into `to` (Levenshtein
/// distance). Letters of A-Z and a-z count as equal in either case. Exact.
[[nodiscard]] std::size_t edit_distance(std::string_view from, std::string_view to);

/// The candidate that `written` most likely stands for: the one of least edit distance, the first
/// of several, if that is at most a third of the longer text (rounded up). Empty where none is that
/// near.
[[nodiscard]] std::optional<std::string> nearest_name(std::string_view written,
                                                      const std::vector<std::string>& candidates);

}  // namespace lashband
