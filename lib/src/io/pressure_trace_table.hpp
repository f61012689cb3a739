#pragma once

#include <vector>

#include "io/measured_table.hpp"
#include "lashband/excitation/pressure_trace.hpp"

/// Cylinder pressures in a table of measured values (measured_table.hpp). The first column is
/// `crank_angle` with a unit of angle, the second `pressure` with one of pressure, absolute; the
/// names in small or capital letters. There is no third.
namespace lashband::io {

/// The points of the table, angles rising and no pressure below 0. Throws InputErrors with line and
/// column of what is wrong.
[[nodiscard]] std::vector<excitation::PressurePoint> pressure_points(const MeasuredTable& table);

/// The points as a trace. Throws InputErrors as `pressure_points`, and with the line of the point
/// where excitation::trace_fault finds one; DomainError for a cycle other than 1 or 2 revolutions.
[[nodiscard]] excitation::PressureTrace pressure_trace(const MeasuredTable& table,
                                                       int revolutions_per_cycle);

}  // namespace lashband::io
