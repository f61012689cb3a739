#include "io/pressure_trace_table.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>
#include <string_view>

#include "io/shown_text.hpp"
#include "io/table_number.hpp"
#include "io/table_text.hpp"
#include "lashband/nearest_name.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::io {
namespace {

using excitation::PressurePoint;

constexpr std::array<std::string_view, 2> column_names = {"crank_angle", "pressure"};
constexpr std::array<std::string_view, 2> places = {"first", "second"};

constexpr std::string_view right_columns =
    "needed are two columns, crank_angle and pressure, each with its unit, such as "
    "\"crank_angle [deg],pressure [bar]\"";

/// Refuses a table whose heads are not those of a trace.
void check_heads(const MeasuredTable& table, TableProblems& problems) {
  const std::size_t named = std::min(table.heads.size(), column_names.size());
  for (std::size_t i = 0; i < named; ++i) {
    const std::string& name = table.heads[i].name;
    if (edit_distance(name, column_names[i]) == 0) {  // in either case of letters
      continue;
    }
    const auto nearest = nearest_name(name, {std::string(column_names[i])});
    problems.refuse(table.head_line, table.head_columns[i],
                    "the " + std::string(places[i]) + " column is " + in_quotes(name) +
                        (nearest ? "; did you mean " + in_quotes(*nearest) + "?" : "") + "; " +
                        std::string(right_columns));
  }
  if (table.heads.size() != column_names.size()) {
    const bool too_few = table.heads.size() < column_names.size();
    problems.refuse(table.head_line, table.head_columns[too_few ? 0 : column_names.size()],
                    "the head names " + std::to_string(table.heads.size()) +
                        (too_few ? " column; " : " columns; ") + std::string(right_columns));
  }
}

}  // namespace

std::vector<PressurePoint> pressure_points(const MeasuredTable& table) {
  TableProblems problems(table.file);
  check_heads(table, problems);
  const std::vector<double> angles = column_in_si<units::Angle>(table, 0);
  const std::vector<double> pressures = column_in_si<units::Pressure>(table, 1);
  check_rising(table, 0);
  std::vector<PressurePoint> points;
  points.reserve(angles.size());
  for (std::size_t row = 0; row < angles.size(); ++row) {
    if (!(pressures[row] >= 0.0)) {
      problems.report(table.line_of(row), 1, [&] {
        return column_named(table.heads[1]) + ": read " + number_text(table.columns[1][row]) + ' ' +
               shown(table.heads[1].unit) +
               "; allowed is an absolute pressure of 0 or more; to one that was measured against "
               "the air, that of the air is added";
      });
    }
    points.push_back({.crank_angle = units::from_si<units::Angle>(angles[row]),
                      .pressure = units::from_si<units::Pressure>(pressures[row])});
  }
  problems.throw_if_any();
  return points;
}

excitation::PressureTrace pressure_trace(const MeasuredTable& table, int revolutions_per_cycle) {
  const std::vector<PressurePoint> points = pressure_points(table);
  if (const auto fault = excitation::trace_fault(revolutions_per_cycle, points)) {
    TableProblems problems(table.file);
    problems.refuse(fault->point ? table.line_of(*fault->point) : table.head_line, 1,
                    fault->message);
  }
  return {revolutions_per_cycle, points};
}

}  // namespace lashband::io
