#pragma once

#include <vector>

#include "band/gap_model.hpp"

// The ends of the worst case of a mesh at one state.
//
// The gap goes one way with every contributor at fixed elongations, whatever the others do, so its
// ends lie where each is at an end of its band; elongations may act either way, so both ends of
// each are tried. Run-outs are added up as in a hunting pair, whatever their phase.
namespace lashband::band::kernel {

/// The most draws of elongation whose ends are all tried together.
inline constexpr std::size_t most_tried_together = 8;

/// One end: the unit that stands there.
struct Corner {
  std::vector<double> y;
  double misalignment = 0.0;  ///< |M|
  GapAt gap{};
};

/// The lowest or the highest gap with the shafts at `stance` over all units within the bands.
enum class End { low, high };

/// One end for every choice of the elongations' ends, of up to `most_tried_together` of them;
/// beyond, the one end that is left when changing any elongation helps no more. The end of the
/// worst case is among them; which it is depends on the mesh cycle too.
[[nodiscard]] std::vector<Corner> corners(const MeshModel& mesh, const StateModel& state,
                                          const StrainModel& carrier, const Draws& draws,
                                          Stance stance, End end);

/// The end among them by the gap alone, where there is no mesh cycle.
[[nodiscard]] Corner corner(const MeshModel& mesh, const StateModel& state,
                            const StrainModel& carrier, const Draws& draws, Stance stance, End end);

/// The least and the greatest of a linear form over the bands (discs as discs).
struct Range {
  double low;
  double high;
};
[[nodiscard]] Range range_of(const LinearForm& form, const Draws& draws);

/// The draws that the elongations at this state depend on: growths, carrier, seats, tilt.
[[nodiscard]] std::vector<std::size_t> elongation_draws(const StateModel& state,
                                                        const Draws& draws);

}  // namespace lashband::band::kernel
