#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <vector>

#include "torsion/system.hpp"

/// Modes of a system whose elements have given stiffnesses.
///
/// omega^2 = |E theta|^2 / |M^1/2 theta|^2 with a row sqrt(k) (arm_1, arm_2) of E an element: the
/// omegas are singular values. They are found from E and never from its square K, so that a train
/// that swings at 10 rad/s keeps its digits beside a mesh that does at 1e7.
namespace lashband::torsion::kernel {

/// What holds for every stiffness.
struct Frame {
  std::vector<std::size_t> massive{};   ///< inertias above 0
  std::vector<std::size_t> massless{};  ///< inertias of 0
  Eigen::VectorXd root_inertia{};       ///< by place in `massive`
  Eigen::MatrixXd free{};               ///< by inertia: free motions, sum J theta^2 = 1 each
};

/// Throws ComputationError where an inertia of 0 is held by nothing.
[[nodiscard]] Frame frame_of(const System& system);

struct Spectrum {
  Eigen::VectorXd omega{};   ///< ascending, without free motions
  Eigen::MatrixXd angles{};  ///< by inertia and mode, sum J theta^2 = 1
};

/// `stiffness`: by element, above 0 for those that hold and 0 for the others.
[[nodiscard]] Spectrum spectrum_at(const System& system, const Frame& frame,
                                   const std::vector<double>& stiffness);

/// By element and column of `angles`.
[[nodiscard]] Eigen::MatrixXd strains(const System& system, const Eigen::MatrixXd& angles);

}  // namespace lashband::torsion::kernel
