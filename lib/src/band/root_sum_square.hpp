#pragma once

#include <vector>

#include "band/gap_model.hpp"

// Root sum square about the mean of every contributor, with first-order sensitivities: the
// designer's stack-up by quadratic addition. Exact for normal contributors and a linear gap; what
// it leaves out (the curve of the involute, the kink of the float, the mean of |M|) is what sets it
// apart from the distribution.
namespace lashband::band::kernel {

/// The gap at the means and its standard deviation.
struct LinearSpread {
  double mean = 0.0;
  double sigma = 0.0;
  /// Sensitivity times standard deviation of each draw.
  std::vector<double> parts;
};

/// Of the gap with the shafts at `stance`, in `measure`; the mesh cycle's part is added by `cycle`
/// times the base pitch mismatch. Signed misalignments count each by its size, as in the quadratic
/// addition of the standards; run-outs as in a hunting pair. Correlations count.
[[nodiscard]] LinearSpread linear_spread(const MeshModel& mesh, const StateModel& state,
                                         const StrainModel& carrier, const Draws& draws,
                                         Stance stance, double cycle, GapMeasure measure);

}  // namespace lashband::band::kernel
