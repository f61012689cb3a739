#pragma once

#include <vector>

#include "lashband/design/requirements.hpp"
#include "lashband/design/results.hpp"

namespace lashband::design {

/// Marks the states with the lowest low end and the highest high end of j_wt on the mesh's basis,
/// and what temperature alone makes of the nominal j_wt.
void find_extremes(MeshResult& mesh);

/// Appends a row for each requirement of the mesh, and one for binding, which nobody has to ask
/// for.
void judge(const MeshResult& mesh, const MeshRequirements& require,
           const std::vector<State>& states, std::vector<RequirementRow>& rows);

}  // namespace lashband::design
