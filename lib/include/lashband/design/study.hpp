#pragma once

#include <optional>

#include "lashband/design/design.hpp"
#include "lashband/design/frequencies.hpp"
#include "lashband/design/layout.hpp"
#include "lashband/design/results.hpp"
#include "lashband/design/run.hpp"
#include "lashband/design/torsion.hpp"
#include "lashband/design/train.hpp"
#include "lashband/design/warmup.hpp"

namespace lashband::design {

/// Everything that a design allows, for a report: the design itself and every analysis of it.
struct Study {
  Design design{};
  Layout layout{};            ///< of the train in plan view
  CarriersResult carriers{};  ///< every carrier; that in use is the verdict
  BudgetResult budget{};      ///< of the carrier in use, over all states
  WarmupResult warmup{};      ///< of the carrier in use; empty without histories
  TrainResult train{};        ///< of the carrier in use
  FrequenciesResult frequencies{};
  /// Of the carrier in use; empty where the design has no torsion settings.
  std::optional<TorsionResult> torsion{};

  /// The carrier in use.
  [[nodiscard]] const BacklashResult& backlash() const {
    return carriers.rows[design.carrier_in_use].result;
  }
};

/// Runs every analysis. States that cannot be computed are failures of the results, as with each
/// analysis by itself.
[[nodiscard]] Study study(Design design, const RunOptions& options);

}  // namespace lashband::design
