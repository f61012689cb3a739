#pragma once

#include <optional>
#include <vector>

#include "lashband/design/requirements.hpp"
#include "lashband/design/results.hpp"

namespace lashband::design {

/// The least backlash that a mesh must keep, the running gap added.
struct AskedLeast {
  std::optional<units::Length> backlash;         ///< j_wt
  std::optional<units::Length> normal_backlash;  ///< j_bn
};
[[nodiscard]] AskedLeast asked_least(const MeshRequirements& require);

/// The ends of a band on a basis; where a basis was not worked out (nothing varies), those of the
/// worst case.
[[nodiscard]] units::Length low_end(const ResultBand<units::Length>& band, Basis basis);
[[nodiscard]] units::Length high_end(const ResultBand<units::Length>& band, Basis basis);

/// Marks the states with the lowest low end and the highest high end of j_wt on the mesh's basis,
/// and what temperature alone makes of the nominal j_wt.
void find_extremes(MeshResult& mesh);

/// Appends a row for each requirement of the mesh, and one for binding, which nobody has to ask
/// for.
void judge(const MeshResult& mesh, const MeshRequirements& require,
           const std::vector<State>& states, std::vector<RequirementRow>& rows);

}  // namespace lashband::design
