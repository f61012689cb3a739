#pragma once

#include <vector>

#include "carrier_run.hpp"
#include "lashband/design/results.hpp"
#include "mesh_states.hpp"

namespace lashband::design {

/// The loops of a design's train at every state of a run. `meshes` are the models of the run's
/// meshes, `results` what was found of them, both in the order of the design. A state at which a
/// mesh of a loop could not be worked out is left out.
[[nodiscard]] std::vector<LoopResult> loops_at(const Design& design, const CarrierRun& run,
                                               const std::vector<MeshModels>& meshes,
                                               const std::vector<MeshResult>& results);

/// The margins that decide whether a loop is tight and whether it binds, on a basis; where a basis
/// was not worked out, those of the worst case.
[[nodiscard]] units::Length margin_on(const LoopState& state, Basis basis);
[[nodiscard]] units::Length taken_up_on(const LoopState& state, Basis basis);

/// Appends the row `no_loop_binding` of a loop.
void judge_loop(const LoopResult& loop, const std::vector<State>& states,
                std::vector<RequirementRow>& rows);

}  // namespace lashband::design
