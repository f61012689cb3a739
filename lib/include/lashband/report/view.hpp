#pragma once

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
};

}  // namespace lashband::report
