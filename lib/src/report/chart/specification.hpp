#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "colours.hpp"
#include "data_table.hpp"

// Pieces of Vega-Lite specifications that charts share. Lengths in them are in px of a drawing that
// is `drawing_width` wide: the width of a printed A4 page between its margins, so that 12 px are
// 9 pt there.
namespace lashband::report {

using Specification = nlohmann::ordered_json;

inline constexpr int drawing_width = 680;
inline constexpr int text_size = 12;
/// Names along an axis are cut beyond this; tables have them whole.
inline constexpr int label_width = 170;

/// Room for names along the vertical axis of a chart: an upper bound for common fonts.
[[nodiscard]] int width_of_names(const std::vector<std::string>& names, int limit = label_width);

/// Words with a colour each, for a legend of what is not told by a field.
class WordColours {
 public:
  void add(std::string_view word, const std::string& colour);
  /// Colour and legend entry of one of the words.
  [[nodiscard]] Specification of(std::string_view word) const;

 private:
  Specification words_ = Specification::array();
  Specification colours_ = Specification::array();
};

/// `a` with the entries of `b`.
[[nodiscard]] Specification merged(Specification a, const Specification& b);

/// What all charts of a page have in common; Vega-Lite's `config`.
[[nodiscard]] Specification chart_config(const Colours& colours);

/// Whether a table has a column of that name.
[[nodiscard]] bool has_column(const DataTable& table, std::string_view field);

/// The place of a column among the columns, and of its cell in each row; their number where there
/// is no such column.
[[nodiscard]] std::size_t place_of(const DataTable& table, std::string_view field);

/// The column of that name; it must be there.
[[nodiscard]] const Column& column(const DataTable& table, std::string_view field);

/// { "field": ..., "type": ..., "title": head and unit }.
[[nodiscard]] Specification field(const DataTable& table, std::string_view name);

/// The field as an axis that need not begin at zero, with this title.
[[nodiscard]] Specification value_axis(const DataTable& table, std::string_view name,
                                       const std::string& title);

/// The axis of the soak sweep.
[[nodiscard]] Specification soak_axis(const DataTable& table);

/// What hovering reads: the columns named that the table has, numbers with one digit more than the
/// table shows.
[[nodiscard]] Specification tooltip(const DataTable& table,
                                    const std::vector<std::string_view>& names);

/// Only rows with that value.
[[nodiscard]] Specification only(std::string_view name, std::string_view value);
/// Only rows that have a number there, or only those that have none.
[[nodiscard]] Specification with_number(std::string_view name);
[[nodiscard]] Specification without_number(std::string_view name);

/// Names of the conditions, without points of the soak and moments, in the order of the rows.
[[nodiscard]] std::vector<std::string> conditions_of(const DataTable& table);

/// Names of the histories that have rows, in their order; none where the table has no such column.
[[nodiscard]] std::vector<std::string> histories_of(const DataTable& table);

/// Of the moments of each history on each carrier only the first of the least `low` and the first
/// of the greatest `high`; every other row stays. Leaves fields `least_place` and
/// `greatest_place`, 1 at these moments. Nothing where the table has no histories.
[[nodiscard]] std::vector<Specification> ends_of_histories(const DataTable& table,
                                                           std::string_view low,
                                                           std::string_view high);

/// Distinct texts of a column in the order of the rows.
[[nodiscard]] std::vector<std::string> distinct(const DataTable& table, std::string_view name);

/// Whether any row has a number in `name`, among those with or without one in `temperature`.
[[nodiscard]] bool any_number(const DataTable& table, std::string_view name, bool soak);

}  // namespace lashband::report
