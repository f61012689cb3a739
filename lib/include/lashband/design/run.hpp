#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/design/results.hpp"
#include "lashband/materials/temperature_range.hpp"

/// The only place that joins analyses.
namespace lashband::design {

struct RunOptions {
  /// What to do outside a material's temperature range; a warning says where it was allowed.
  materials::Extrapolation extrapolation = materials::Extrapolation::refuse;
  std::uint64_t seed = 1;
  /// Units to sample for what is joint over the states; none asked for: only where contributors are
  /// correlated, and then `samples_by_default`.
  std::optional<std::uint64_t> samples{};
  unsigned threads = 1;
  /// Told now and then how much of a sampling is done; returns false to stop.
  std::function<bool(double)> progress{};
};

inline constexpr std::uint64_t samples_by_default = std::uint64_t{1} << 20U;

/// Backlash of every mesh at every state with the carrier at `carrier` (an index into
/// Design::carriers), its worst case, root sum square, percentiles, and the verdict on every
/// requirement. States that cannot be computed are listed as failures; the others are there.
[[nodiscard]] BacklashResult backlash(const Design& design, std::size_t carrier,
                                      const RunOptions& options);

/// The same for every carrier of the design.
[[nodiscard]] CarriersResult carriers(const Design& design, const RunOptions& options);

/// What a budget is asked for: the envelope over all states alone takes a small part of the time.
enum class BudgetExtent { every_state, envelope };

/// What the spread of every mesh is made of, over all states and, unless the envelope alone is
/// asked for, at each of them (of the moments of a history at its least and its greatest). The
/// numbers of the envelope are the same either way.
[[nodiscard]] BudgetResult budget(const Design& design, std::size_t carrier,
                                  const RunOptions& options,
                                  BudgetExtent extent = BudgetExtent::every_state);

/// The same from a run of the design that is at hand: `backlash` must come from this design with
/// these options. Throws DomainError where the design has no such carrier or not as many meshes.
[[nodiscard]] BudgetResult budget(const Design& design, BacklashResult backlash,
                                  const RunOptions& options,
                                  BudgetExtent extent = BudgetExtent::every_state);

/// The contributors of a design by id, in a fixed order: what correlations and budgets name.
[[nodiscard]] std::vector<std::string> contributor_ids(const Design& design);

}  // namespace lashband::design
