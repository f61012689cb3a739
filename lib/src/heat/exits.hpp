#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "heat/flows.hpp"

/// Where a watched temperature leaves the piece between two levels.
namespace lashband::heat::kernel {

/// A watch leaves its piece twice this far beyond the level, and it counts as there within this, so
/// that a temperature that rests at a level does not go back and forth: in kelvin.
inline constexpr double exit_width = 1e-9;

[[nodiscard]] double upper_exit(const Watch& watch);
[[nodiscard]] double lower_exit(const Watch& watch);
/// The piece that holds at a level.
[[nodiscard]] std::size_t piece_at(const Watch& watch, double level);
/// The watched temperature, `since` the beginning of the interval.
[[nodiscard]] double watched(const Watch& watch, const Interval& interval, double since,
                             const Vector& T);

/// A linear system x' = v, v' = A v + bend; `growth` bounds exp(A t) in the greatest norm.
struct LinearSystem {
  const Matrix& A;
  const Vector& bend;
  double growth;
};

/// The first time, up to `length`, at which a watch comes within exit_width of an exit. `T` are the
/// temperatures at the beginning, `since` the beginning of the interval; `motion_at` gives x and v
/// at times that rise.
///
/// None is missed: |x''| at a time and ever after is at most growth |A v + bend| in the greatest
/// norm, which bounds how soon a level can be reached; that far time moves on, and again.
[[nodiscard]] std::optional<double> first_exit(const std::vector<Watch>& watches,
                                               const Interval& interval, double since,
                                               const Vector& T, double length,
                                               const LinearSystem& system,
                                               const std::function<Motion(double)>& motion_at);

}  // namespace lashband::heat::kernel
