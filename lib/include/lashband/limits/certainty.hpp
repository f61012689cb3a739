#pragma once

#include <string_view>

namespace lashband::limits {

/// How well a tabulated value of a standard is known. docs/limits.md has the table behind each.
enum class Certainty {
  seen,    ///< read in a printed table
  memory,  ///< recalled, not looked up: verify before it decides anything
};

/// What stands beside every value that nobody has looked up.
inline constexpr std::string_view from_memory_note = "from memory, verify";

/// The note for a value of that certainty; empty for one that was seen.
[[nodiscard]] constexpr std::string_view certainty_note(Certainty certainty) {
  return certainty == Certainty::seen ? std::string_view{} : from_memory_note;
}

}  // namespace lashband::limits
