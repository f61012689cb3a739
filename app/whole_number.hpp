#pragma once

#include <cstdint>
#include <string>

namespace lashband::app {

/// Whole numbers that an option takes.
struct WholeNumbers {
  std::uint64_t least = 0;
  std::uint64_t greatest = 0;
};

/// The whole number that `text` writes, in digits ("1000000") or with a power of ten ("1e6",
/// "2.5e6"). Throws UsageError, which begins with `option`, for anything else and for a number that
/// is not `allowed`.
[[nodiscard]] std::uint64_t whole_number(const std::string& text, const WholeNumbers& allowed,
                                         const std::string& option);

}  // namespace lashband::app
