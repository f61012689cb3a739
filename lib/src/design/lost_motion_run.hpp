#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "carrier_run.hpp"
#include "lashband/design/train.hpp"
#include "mesh_states.hpp"

namespace lashband::design {

/// Units sampled for lost motion through loops where nothing else is asked for.
inline constexpr std::uint64_t lost_motion_samples_by_default = std::uint64_t{1} << 14U;

/// What lost motion needs of a run: `meshes` the models of the run's meshes, `results` what was
/// found of them, both in the order of the design.
struct LostMotionInput {
  const Design& design;
  const CarrierRun& run;
  const train::Train& train;
  const std::vector<MeshModels>& meshes;
  const std::vector<MeshResult>& results;
};

struct LostMotions {
  std::vector<LostMotion> pairs{};
  std::optional<Sampling> sampling{};
  std::vector<Failure> failures{};
  std::vector<Warning> warnings{};
};

/// Lost motion of every pair at every state of the run. Percentiles: open ways by the distribution
/// of their sum, ways through loops by sampling, all pairs of the same units; at the moments of a
/// history only for pairs that are judged on them. Throws DomainError where no way joins a pair.
[[nodiscard]] LostMotions lost_motions(const LostMotionInput& input,
                                       const std::vector<LostMotionPair>& asked,
                                       const RunOptions& options);

}  // namespace lashband::design
