#pragma once

#include <optional>
#include <string>

namespace lashband::report {

/// The units of tables and CSV. JSON always has its own fixed units.
enum class UnitSystem { metric, inch };

/// What of a result is shown and how. It never changes what is judged.
struct View {
  std::optional<std::string> mesh;       ///< this mesh only
  std::optional<std::string> condition;  ///< this condition only, or "soak" for the whole sweep
  UnitSystem units = UnitSystem::metric;
  bool color = false;  ///< ANSI colours in tables
};

}  // namespace lashband::report
