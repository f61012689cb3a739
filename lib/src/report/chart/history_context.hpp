#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "data_table.hpp"
#include "lashband/design/study.hpp"
#include "lashband/report/view.hpp"
#include "time_specification.hpp"

// What the charts over the time of one history share.
namespace lashband::report {

/// What is drawn of one history, and the tables that it is drawn from.
struct HistoryCharts {
  std::size_t history = 0;  ///< its place in the results
  std::size_t number = 1;   ///< its place in the file, from 1
  std::vector<DataTable> tables{};
  std::vector<Chart> charts{};
};

inline constexpr int plot_height = 240;
inline constexpr int low_plot_height = 150;
/// Axis numbers and title at the left, and a margin at the right.
inline constexpr int axis_width = 96;

/// What all charts of one history are made with.
struct HistoryContext {
  const design::Study& study;
  const design::HistoryResult& history;
  const View& view;
  const Colours& colours;
  std::string number;  ///< of the history in the file
  std::string name;    ///< as a title has it
  TimeScale scale;
  Measures measures;
  std::vector<double> times;  ///< of its moments, in s

  /// " at 2.35 min"
  [[nodiscard]] std::string at(units::Time time) const;
  [[nodiscard]] std::string at(std::size_t state) const;
  [[nodiscard]] AxisReach times_shown() const;
  /// How many of the moments a line is drawn through, in a sentence; nothing where all are.
  [[nodiscard]] std::string thinned_to(std::size_t least, std::size_t most) const;
};

/// A table of moments; the caller adds the columns beside time.
[[nodiscard]] DataTable table_over_time(const HistoryContext& in, const std::string& id,
                                        const std::string& title, const std::string& file);

/// The line of a column, with a band behind it where `low` and `high` name one. The caller adds id
/// and title.
[[nodiscard]] Chart line_chart(const HistoryContext& in, const DataTable& table,
                               std::string_view name, const std::string& what,
                               std::string_view low = {}, std::string_view high = {});

}  // namespace lashband::report
