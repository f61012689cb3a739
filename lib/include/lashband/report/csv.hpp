#pragma once

#include <string>

#include "lashband/design/frequencies.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/torsion.hpp"
#include "lashband/design/train.hpp"
#include "lashband/design/warmup.hpp"
#include "lashband/report/view.hpp"

/// Comma-separated values by RFC 4180: lines end in CR LF, the unit stands in the column head, a
/// field is blank where there is no value. Numbers have the fewest digits that read back exactly.
/// A state is named by its condition; a moment by its history and, in the next column, its time.
namespace lashband::report {

/// One row a mesh and state, where the train has loops with the loop through it that is nearest to
/// binding.
[[nodiscard]] std::string csv(const design::BacklashResult& result, const View& view);

/// One row a carrier and mesh, with loops as above.
[[nodiscard]] std::string csv(const design::CarriersResult& result, const View& view);

/// One row a mesh, state and contributor, with the state `envelope` for all of them.
[[nodiscard]] std::string csv(const design::BudgetResult& result, const View& view);

/// One row a history, mesh and moment, with the temperatures of zones, bodies and boundaries.
[[nodiscard]] std::string csv(const design::WarmupResult& result, const View& view);

/// The first column says what a row is about: a `shaft` at a condition, a `mesh`, a `loop` or a
/// pair's `lost_motion` at a state, or a mesh's `share` of it. Columns of the others are blank.
[[nodiscard]] std::string csv(const design::TrainResult& result, const View& view);

/// One row a line and speed; with a measured spectrum one row a peak and line that may explain it.
[[nodiscard]] std::string csv(const design::FrequenciesResult& result, const View& view);

/// One row a condition, speed and element: `condition` at the condition's own speed, `sweep` at
/// each speed of the sweep.
[[nodiscard]] std::string csv(const design::TorsionResult& result, const View& view);

}  // namespace lashband::report
