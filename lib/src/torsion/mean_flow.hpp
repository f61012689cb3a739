#pragma once

#include <cstddef>
#include <vector>

#include "torsion/system.hpp"

namespace lashband::torsion::kernel {

/// The mean torque that each element carries.
struct MeanFlow {
  std::vector<double> torques{};  ///< by element: N m of shafts, N of meshes
  std::vector<double> angles{};   ///< wind-up by inertia, 0 at the balancing one; of a part tied
                                  ///< to the case against the case, of another free part against
                                  ///< its first inertia
  double balance = 0.0;           ///< torque that the balancing inertia takes up, N m
};

/// Statics under the outer torques, one an inertia, with the inertia `balancing` taking up what is
/// left, so that nothing accelerates. In closed loops the stiffness k of the elements decides who
/// carries what; in trees it does not. Branches and dampers carry nothing for ever.
///
/// Accuracy 1e-12 of the greatest torque for stiffness ratios up to 1e8. A system tied to the case
/// is balanced by the case; `balance` is 0 then. Throws ComputationError where more than one part
/// can turn freely and the torques on it do not balance by themselves (1e-9, relative): the message
/// holds the index of one inertia of that part.
[[nodiscard]] MeanFlow mean_flow(const System& system, const std::vector<double>& torques,
                                 std::size_t balancing);

}  // namespace lashband::torsion::kernel
