#pragma once

#include <optional>
#include <string>

#include "lashband/report/view.hpp"
#include "lashband/units/format.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"
#include "terminal_table.hpp"

namespace lashband::report {

/// Numbers of tables in the units of the view; the heads name the unit.
class Numbers {
 public:
  explicit Numbers(UnitSystem units) : inch_(units == UnitSystem::inch) {}

  /// Distances of the drawing.
  [[nodiscard]] std::string distance(units::Length x) const {
    return inch_ ? units::format_fixed(x, "in", 5) : units::format_fixed(x, "mm", 4);
  }
  [[nodiscard]] const char* distance_unit() const { return inch_ ? "in" : "mm"; }
  [[nodiscard]] std::string clearance(units::Length x) const {
    return inch_ ? units::format_fixed(x, "in", 4) : units::format_fixed(x, "mm", 3);
  }
  [[nodiscard]] std::string gap(units::Length x) const {
    return inch_ ? units::format_fixed(x, "thou", 2) : units::format_fixed(x, "um", 1);
  }
  [[nodiscard]] std::string gap(const std::optional<units::Length>& x) const {
    return x ? gap(*x) : std::string("-");
  }
  /// A gap for the narrow columns of bands: a great one is written without decimals.
  [[nodiscard]] std::string narrow_gap(units::Length x) const {
    std::string text = gap(x);
    if (columns_of(text) <= 6) {
      return text;
    }
    return inch_ ? units::format_fixed(x, "thou", 0) : units::format_fixed(x, "um", 0);
  }
  [[nodiscard]] std::string narrow_gap(const std::optional<units::Length>& x) const {
    return x ? narrow_gap(*x) : std::string("-");
  }
  [[nodiscard]] std::string gap_with_unit(units::Length x) const {
    return gap(x) + " " + gap_unit();
  }
  [[nodiscard]] const char* gap_unit() const { return inch_ ? "thou" : "µm"; }
  /// The number behind `gap`, for a plot.
  [[nodiscard]] double gap_number(units::Length x) const {
    return inch_ ? units::value_in(x, "thou") : units::value_in(x, "um");
  }
  [[nodiscard]] std::string level(units::Temperature x) const {
    return inch_ ? units::format_fixed(x, "degF", 1) : units::format_fixed(x, "degC", 1);
  }
  [[nodiscard]] double level_number(units::Temperature x) const {
    return inch_ ? units::value_in(x, "degF") : units::value_in(x, "degC");
  }
  [[nodiscard]] const char* level_unit() const { return inch_ ? "degF" : "degC"; }
  [[nodiscard]] std::string force(units::Force f) const {
    return inch_ ? units::format_fixed(f, "lbf", 1) : units::format_fixed(f, "N", 0);
  }
  [[nodiscard]] const char* force_unit() const { return inch_ ? "lbf" : "N"; }

 private:
  bool inch_;
};

}  // namespace lashband::report
