#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "lashband/units/quantity_kind.hpp"
#include "lashband/units/unit.hpp"

/// Tables of measured values as spreadsheets and loggers write them: one head line, then one line
/// of numbers a row. Columns and units are known here, and nothing of what they mean.
///
/// Form. Text in UTF-8, with or without byte order mark; line ends LF, CRLF or CR. Lines that begin
/// with # and blank lines may stand before the head, blank lines also at the end. The head line
/// tells the separator: the one of comma, semicolon and tab that stands in it. A field may stand in
/// quotation marks (RFC 4180); blanks around a field do not count. A head is `name [unit]` or
/// `name (unit)`, or a name alone.
///
/// Numbers. A file separated by commas has decimal points. One separated by semicolons or tabs has
/// decimal points or decimal commas, the same in the whole file. Thousands are not separated. Where
/// every number with a comma could as well be one of thousands ("20,125") and no number of the file
/// tells, that is an error. A point is always a decimal point. Each number is the double nearest to
/// what was written, whatever the locale.
namespace lashband::io {

/// The largest table that is read, 512 MiB, and the most rows and numbers: a year of four channels
/// every ten seconds fits, and the numbers take no more than 320 MB of memory.
inline constexpr std::size_t largest_table_in_bytes = std::size_t{512} << 20;
inline constexpr std::size_t most_table_rows = 5'000'000;
inline constexpr std::size_t most_table_numbers = 40'000'000;

/// The most columns of a table.
inline constexpr std::size_t most_table_columns = 1000;

/// The longest line of a table, 256 KiB; it is also what is held of the text at one time.
inline constexpr std::size_t longest_table_line_in_bytes = std::size_t{256} << 10;

/// So many problems of a table are listed; the rest are counted.
inline constexpr std::size_t most_table_problems = 20;

/// What stands over a column. The unit is as written and may be empty.
struct ColumnHead {
  std::string name;
  std::string unit;
};

/// A table as it was read: at least one column and one row, each column as long as the others,
/// every number finite, no name twice.
struct MeasuredTable {
  std::string file;  ///< the name that stands in messages
  std::vector<ColumnHead> heads;
  std::size_t head_line = 1;
  std::vector<std::size_t> head_columns;  ///< where each head begins: characters, from 1
  std::vector<std::vector<double>> columns;
  std::size_t first_line = 2;  ///< the line of the first row

  [[nodiscard]] std::size_t rows() const { return columns.empty() ? 0 : columns.front().size(); }
  /// The line of a row, from 1. Rows stand on consecutive lines: a gap between them is an error.
  [[nodiscard]] std::size_t line_of(std::size_t row) const { return first_line + row; }
};

/// What messages about the head show as right: of the table that is asked for.
struct HeadExample {
  std::string_view lines = "\"time [s],gears [degC]\"";  ///< whole head lines, in quotation marks
  std::string_view head = "gears [degC]";                ///< one head
};

/// Is handed each part of a file's bytes once, in their order.
using ByteListener = std::function<void(std::string_view)>;

/// Reads a table. The text is read in parts of longest_table_line_in_bytes, so that memory holds
/// the numbers and one part. `shown_name` stands in messages; `on_bytes` hears every byte of the
/// file, for its digest; `example` must outlive the call. Throws InputErrors with the line and
/// column of each problem, and where the file is missing, no plain file, unreadable, or larger than
/// the bounds above.
[[nodiscard]] MeasuredTable read_measured_table(const std::filesystem::path& file,
                                                const std::string& shown_name,
                                                const ByteListener& on_bytes = {},
                                                const HeadExample& example = {});

namespace detail {

using MeasuresKind = bool (*)(const units::UnitExpression&);

[[nodiscard]] std::vector<double> column_in_si(const MeasuredTable& table, std::size_t column,
                                               const units::QuantityKind& wanted,
                                               MeasuresKind measures);

}  // namespace detail

/// The values of a column as quantities of type `Q`: each number is what `.value()` of the quantity
/// is, in SI units and for a temperature level in degC. Within one unit in the last place of the
/// number read (for levels in K and degF, of the greater of number and shift). The units "-" and
/// "1" are no unit, which only a ratio does without. Throws InputErrors where the unit is missing,
/// unknown or of another dimension, and where a value is beyond the range of numbers or below
/// absolute zero.
template <class Q>
[[nodiscard]] std::vector<double> column_in_si(const MeasuredTable& table, std::size_t column) {
  return detail::column_in_si(table, column, units::quantity_kind<Q>, &units::detail::measures<Q>);
}

/// Checks that each value of the column is above the one before, as times are. Throws InputErrors
/// with the line of each row that breaks the rule.
void check_rising(const MeasuredTable& table, std::size_t column);

}  // namespace lashband::io
