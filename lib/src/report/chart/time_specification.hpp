#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "colours.hpp"
#include "data_table.hpp"
#include "specification.hpp"

// Pieces of charts over the time of a history.
namespace lashband::report {

/// What the axes of a panel reach over, in the units shown.
struct AxisReach {
  double low = 0.0;
  double high = 0.0;

  /// With so many parts of itself added below and above; a reach of nothing gets some.
  [[nodiscard]] AxisReach widened(double below, double above) const;
  [[nodiscard]] AxisReach with(double value) const;
};

/// The reach of the numbers of a column; nothing from 0 to 0 where it has none.
[[nodiscard]] AxisReach reach_of(const DataTable& table, std::string_view name);

/// A stored value as it is shown.
[[nodiscard]] double shown_value(const Column& column, double value);

/// The axis of time from one end of the history to the other.
[[nodiscard]] Specification time_axis(const DataTable& table, const AxisReach& reach);

/// The field as an axis over just that reach.
[[nodiscard]] Specification reach_axis(const DataTable& table, std::string_view name,
                                       const std::string& title, const AxisReach& reach);

/// A layer that shows nothing but a point and its numbers at the row nearest to the pointer.
[[nodiscard]] Specification nearest_row(const DataTable& table, const Specification& x,
                                        const Specification& y, std::string_view y_name,
                                        const std::vector<std::string_view>& read,
                                        const Colours& colours);

/// A line through all rows.
[[nodiscard]] Specification drawn_line(const Specification& x, const Specification& y,
                                       const std::string& colour);

}  // namespace lashband::report
