#pragma once

#include <cstddef>
#include <vector>

#include "band/float_measure.hpp"
#include "band/gap_model.hpp"
#include "band/monte_carlo.hpp"
#include "design/torsion/mesh_loads.hpp"
#include "gap_models.hpp"
#include "lashband/design/results.hpp"

namespace lashband::design {

/// Percentiles shown: those of a normal at mean -+ 3 sigma.
inline constexpr double low_percentile = 0.00135;
inline constexpr double high_percentile = 0.99865;

/// A mesh at one state as the analyses of the band take it.
struct MeshModels {
  std::size_t mesh = 0;             ///< index into Design::meshes
  band::kernel::MeshModel model;    ///< states in the order of `usable`
  std::vector<std::size_t> usable;  ///< index into the usable states of the carrier
};

/// The limits that the requirements of a mesh put on its gaps.
[[nodiscard]] band::kernel::Limits limits_of(const MeshRequirements& require, double cos_beta_b);

/// Everything of one mesh at one state but percentiles and probabilities: geometry, worst case,
/// root sum square. Throws ComputationError where base circles overlap, also at an end of the worst
/// case.
[[nodiscard]] MeshState mesh_state(const Design& design, const GapModels& models,
                                   const MeshModels& mesh, std::size_t which,
                                   const UsableState& state, const State& named,
                                   const band::kernel::Draws& draws);

/// Sets the loaded gap of a mesh, and what it is made of, from its mean forces.
void set_loaded(MeshState& result, const Design& design, const GapModels& models,
                const MeshModels& mesh, std::size_t which, const UsableState& state,
                const State& named, const band::kernel::Draws& draws, const LoadedStance& loaded);

/// Percentiles and probabilities by the distribution; the draws are independent. Throws
/// ComputationError where it cannot be worked out. `floats` may serve any number of states.
void add_percentiles(MeshState& result, const MeshModels& mesh, std::size_t which,
                     const band::kernel::Draws& draws, const band::kernel::Limits& limits,
                     band::kernel::FloatMeasures& floats);

/// Of the percentiles those alone that the requirements of a mesh and its extremes are judged on:
/// the low ones of j_least and j_bind, the high ones of j_greatest. The others are not numbers. A
/// fifth of the time of `add_percentiles`.
void add_judged_percentiles(MeshState& result, const MeshModels& mesh, std::size_t which,
                            const band::kernel::Draws& draws, const MeshRequirements& require,
                            band::kernel::FloatMeasures& floats);

/// The same as sampled.
void add_sampled(MeshState& result, const MeshModels& mesh,
                 const band::kernel::SampledState& sampled, const band::kernel::Limits& limits);

/// The ends of the worst case of j_wt alone, for the budget.
struct WorstCaseEnds {
  double low;
  double high;
};
[[nodiscard]] WorstCaseEnds worst_case_ends(const Design& design, const MeshModels& mesh,
                                            std::size_t which, const band::kernel::Draws& draws);

/// Rings that can turn in their seats at this state, in the worst case.
[[nodiscard]] std::vector<LooseRing> loose_rings(const Design& design, const GapModels& models,
                                                 const Mesh& mesh, const UsableState& state,
                                                 const band::kernel::Draws& draws);

}  // namespace lashband::design
