#pragma once

#include <Eigen/Core>
#include <vector>

#include "torsion/spectrum_at.hpp"
#include "torsion/system.hpp"

/// Modes of a system whose stiffnesses grow with the frequency.
///
/// Mode r is where omega^2 = mu_r(omega), mu_r being the r-th eigenvalue with the stiffnesses at
/// omega. Every stiffness over omega^2 falls as omega grows, so that mu_r / omega^2 does: there is
/// one such omega a mode at most, and those of all modes are in the order of r. There is none for
/// a mode that branches alone hold and that is too sluggish to swing; it gets 0.
namespace lashband::torsion::kernel {

struct BranchMode {
  double omega = 0.0;
  double stiffness_at = 0.0;  ///< omega at which the stiffnesses are to be taken, above 0
  Eigen::VectorXd angles{};   ///< by inertia, sum J theta^2 = 1
};

/// All but the free motions, slowest first.
[[nodiscard]] std::vector<BranchMode> branch_modes(const System& system, const Frame& frame);

}  // namespace lashband::torsion::kernel
