#pragma once

#include <array>
#include <cstddef>
#include <sstream>
#include <string>
#include <string_view>

#include "lashband/error.hpp"
#include "lashband/units/quantities.hpp"

/// Looking up tables whose rows are ranges of a size, "over ... up to and including ...".
namespace lashband::limits::kernel {

/// 80 mm given in metres must not miss the row that ends at 80 mm by a rounding.
inline constexpr double limit_slack = 1e-12;

[[nodiscard]] inline bool up_to(units::Length size, double limit_in_mm) {
  return 1e3 * size.value() <= limit_in_mm * (1.0 + limit_slack);
}

/// The number as messages show it.
[[nodiscard]] inline std::string number(double value) {
  std::ostringstream text;
  text.precision(10);
  text << value;
  return text.str();
}

/// The row of `size` in a table that starts above `start_in_mm` and whose rows end at
/// `ends_in_mm`. Throws DomainError, with `what` as its subject, outside the table.
template <std::size_t rows>
[[nodiscard]] std::size_t row_of(units::Length size, double start_in_mm,
                                 const std::array<double, rows>& ends_in_mm,
                                 std::string_view what) {
  if (!up_to(size, start_in_mm)) {
    for (std::size_t row = 0; row < rows; ++row) {
      if (up_to(size, ends_in_mm[row])) {
        return row;
      }
    }
  }
  throw DomainError(std::string(what) + " must be above " + number(start_in_mm) +
                    " mm and at most " + number(ends_in_mm.back()) + " mm, not " +
                    number(1e3 * size.value()) + " mm");
}

[[nodiscard]] inline units::Length micrometres(double value) {
  return units::from_si<units::Length>(1e-6 * value);
}

}  // namespace lashband::limits::kernel
