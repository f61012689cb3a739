#pragma once

#include <cstddef>
#include <vector>

#include "band/gap_model.hpp"
#include "band/root_sum_square.hpp"
#include "band/worst_case.hpp"

// A weighted sum over meshes of one built unit at one state, as lost motion adds up along a train:
//
//   X = sum over the meshes of (per_gap j + per_float F) + other
//   j  the gap with the shafts in the middle of their float
//        gap(a -+ run_out) + cycle |p_b2 e_2 - p_b1 e_1|     least: -, cycle_least; greatest: +
//   F  the float of all seats of its two shafts, each with its weight, diametral
//
// Meshes share draws: the thickness, run-out and helix of a gear in two meshes, the float of its
// shaft, the place of its bore, elongations.
namespace lashband::band::kernel {

struct SummedMesh {
  const MeshModel* mesh = nullptr;
  const StateModel* state = nullptr;
  double per_gap = 0.0;    ///< 0 or more
  double per_float = 0.0;  ///< 0 or more
};

/// What it points to must outlive it.
struct GapSum {
  std::vector<SummedMesh> meshes;
  LinearForm other;  ///< axial floats
};

/// Over the revolutions of one unit: run-outs and mesh cycle at their least, or at their greatest.
enum class Over { least, greatest };

/// How the run-outs stand, the shafts in the middle of their float.
[[nodiscard]] constexpr Stance stance_of(Over over) {
  return {0.0, over == Over::least ? -1.0 : 1.0};
}
[[nodiscard]] inline const StrainModel& carrier_of(const StateModel& state, Over over) {
  return over == Over::least ? state.carrier_least : state.carrier_greatest;
}
[[nodiscard]] inline double cycle_of(const StateModel& state, Over over) {
  return over == Over::least ? state.cycle_least : state.cycle_greatest;
}

/// The draws of elongation that anything of the sum depends on, rising.
[[nodiscard]] std::vector<std::size_t> elongation_draws(const GapSum& sum, const Draws& draws);

/// The gap of one mesh as it stands in the sum, before |M|: `misalignment` is |M|.
[[nodiscard]] double centred_gap(const MeshModel& mesh, const StateModel& state, Over over,
                                 const double* y, double misalignment);

/// The float of all seats of a mesh, diametral.
[[nodiscard]] double float_of(const StateModel& state, const double* y);

/// X of the unit with the draws `y`, exact.
[[nodiscard]] double sum_at(const GapSum& sum, Over over, const double* y);

/// The lowest or the highest X over all units within their bands: every draw at the end that its
/// first-order effect on the sum asks for, elongations at both ends (as many as
/// `most_tried_together`), places of bores at the edge of their zone, |M| of each mesh at its end.
[[nodiscard]] double worst_case(const GapSum& sum, const Draws& draws, Over over, End end);

/// Root sum square of X as of a gap (root_sum_square.hpp): a shared draw counts once, with the sum
/// of what it does; |M| of each mesh by the sizes of its terms.
[[nodiscard]] LinearSpread linear_spread(const GapSum& sum, const Draws& draws, Over over);

}  // namespace lashband::band::kernel
