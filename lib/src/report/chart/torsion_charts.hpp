#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "chart.hpp"
#include "colours.hpp"
#include "data_table.hpp"
#include "lashband/design/study.hpp"
#include "lashband/report/view.hpp"

namespace lashband::report {

/// A table and what is drawn from it.
struct DrawnTable {
  DataTable table{};
  std::vector<Chart> charts{};
};

/// What is drawn of the torsional model.
struct TorsionCharts {
  std::vector<std::size_t> conditions{};  ///< those drawn, in TorsionResult::conditions
  std::size_t conditions_left_out = 0;
  /// Of each condition drawn; its natural frequencies against the orders of excitation, where it
  /// has them.
  std::vector<std::optional<DrawnTable>> speeds{};
  /// Of each condition drawn; what its modes strain.
  std::vector<std::optional<DrawnTable>> modes{};
  std::vector<DrawnTable> meshes{};  ///< over the sweep
  std::size_t meshes_left_out = 0;
  std::optional<DrawnTable> torques{};  ///< over the sweep
  std::size_t torques_left_out = 0;
  std::optional<DrawnTable> elastomers{};

  /// All tables with their charts, in the order of the report.
  [[nodiscard]] std::vector<const DrawnTable*> all() const;
};

/// Nothing where the study has no torsional model.
[[nodiscard]] TorsionCharts torsion_charts(const design::Study& study, const View& view,
                                           const Colours& colours);

}  // namespace lashband::report
