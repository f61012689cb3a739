#pragma once

#include <cmath>
#include <optional>
#include <string>

namespace lashband::report {

/// The units of tables and CSV. JSON always has its own fixed units.
enum class UnitSystem { metric, inch };

/// What of a result is shown and how. It never changes what is judged.
struct View {
  std::optional<std::string> mesh;  ///< this mesh only
  /// This condition only; "soak" for the whole sweep, a history's id for all its moments.
  std::optional<std::string> condition;
  UnitSystem units = UnitSystem::metric;
  bool color = false;  ///< ANSI colours in tables
  bool ascii = false;  ///< plots in a terminal of ASCII characters alone
  /// Of a torsional model: the crossings of excitations of this order of the reference alone.
  std::optional<double> order{};
};

/// Whether crossings of an excitation of this order are shown: those within 0.1 % of the one asked
/// for, since orders of gears have many decimals.
[[nodiscard]] inline bool shows_order(const View& view, double order) {
  constexpr double within = 1e-3;
  return !view.order || std::abs(order / *view.order - 1.0) <= within;
}

}  // namespace lashband::report
