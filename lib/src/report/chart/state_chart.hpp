#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "colours.hpp"
#include "data_table.hpp"
#include "specification.hpp"

// Anything with bands over the states of one carrier: over the soak sweep above, at the conditions
// and single moments of histories below. Drawn from any table that has the column condition and
// perhaps temperature.
namespace lashband::report {

/// One thing that is drawn of every state.
struct StateMark {
  enum class Kind {
    wide_band,    ///< from `low` to `high`
    narrow_band,  ///< within it
    two_ends,     ///< dotted at `low` and `high`
    line,         ///< at `low`
  };
  Kind kind = Kind::line;
  std::string word{};  ///< in the legend
  std::string colour{};
  std::string_view low{}, high{};  ///< columns
};

/// One panel over the soak, and one at the conditions below it.
struct StatePanel {
  std::string title{};  ///< empty where there is one alone
  std::vector<StateMark> marks{};
};

struct StateChart {
  std::vector<StatePanel> panels{};  ///< side by side; the same axes
  std::string axis{};                ///< title of the values, with their unit
  /// A dashed line, in the unit shown.
  std::optional<double> limit{};
  std::string limit_word{};
  std::vector<std::string_view> read{};  ///< columns that hovering reads
};

[[nodiscard]] Specification state_chart(const DataTable& table, const StateChart& chart,
                                        const Colours& colours);

}  // namespace lashband::report
