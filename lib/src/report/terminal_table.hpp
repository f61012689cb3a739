#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

// Text for a terminal 80 columns wide.
namespace lashband::report {

inline constexpr std::size_t terminal_width = 80;

/// `text` with control characters made visible, so that a hostile id cannot steer a terminal: every
/// byte below 0x20, DEL, and the C1 controls, line separators and bidirectional marks become "�".
[[nodiscard]] std::string printable(std::string_view text);

/// Number of columns of UTF-8 text, one for each code point.
[[nodiscard]] std::size_t columns_of(std::string_view text);

/// Exactly `width` columns: padded at the right, or cut with "…".
[[nodiscard]] std::string left(std::string_view text, std::size_t width);

/// At least `width` columns, padded at the left; numbers are never cut.
[[nodiscard]] std::string right(std::string_view text, std::size_t width);

/// Paragraph broken between words at the terminal's width; lines after the first are indented.
[[nodiscard]] std::string wrapped(std::string_view text, std::size_t indent);

}  // namespace lashband::report
