#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "io/measured_table.hpp"

/// The numbers of a table (measured_table.hpp), and the words for what is none.
namespace lashband::io {

/// "column gears"
[[nodiscard]] std::string column_named(const ColumnHead& head);

/// "column gears: read \"…\""
[[nodiscard]] std::string read_in(const ColumnHead& head, std::string_view text);

/// Column, what was read and what is needed, for a text that is no number in any form.
[[nodiscard]] std::string no_number(std::string_view text, const ColumnHead& head);

/// The number with a decimal point that the whole text is, if it is one and finite.
[[nodiscard]] std::optional<double> finite_number(std::string_view text);

/// The text with points for its commas.
[[nodiscard]] std::string with_decimal_point(std::string_view text);

/// Whether the comma of a number can only be a decimal sign; or, for a number without comma,
/// whether its whole part is so long that thousands, if they were separated, would be so in it.
[[nodiscard]] bool proves_decimal_comma(std::string_view text);

}  // namespace lashband::io
