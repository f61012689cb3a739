#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "lashband/design/design.hpp"
#include "lashband/design/results.hpp"
#include "lashband/thermal/solid.hpp"
#include "lashband/train/train.hpp"

namespace lashband::design {

/// How the mean forces of a condition hold a mesh apart. Shares and openings are along the line of
/// centres, positive where the gap opens.
struct LoadedStance {
  double force = 0.0;    ///< F_bt, N; above 0: gear 1 drives
  double share_1 = 0.0;  ///< of half the float of shaft 1 at the gear
  double share_2 = 0.0;
  double deflection = 0.0;  ///< of the teeth on the base tangent, m
  // Of elastomer rings, m: their radial stiffness is known between two bounds.
  double ring_least = 0.0;
  double ring_greatest = 0.0;
};

/// By mesh; empty for a mesh that the torsional model leaves out. Shafts stand where all forces of
/// their teeth together push them; the direction of a shaft with several meshes follows from the
/// places of the shafts, and is along each mesh's own line of action where those are not given.
/// `results` gives the contact ratios and pressure angles at `state`, which is that of the
/// condition.
/// Empty altogether where the design has no torsional model or the condition no speed. Throws as
/// the torsional model does.
[[nodiscard]] std::vector<std::optional<LoadedStance>> loaded_stances(
    const Design& design, std::size_t condition, std::size_t state, const BacklashResult& results,
    const thermal::Reference& reference);

}  // namespace lashband::design
