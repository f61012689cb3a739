#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <optional>
#include <vector>

#include "torsion/system.hpp"

/// Coordinates in which nothing cancels: instead of the angles on both sides of a stiff element its
/// elongation and the angle of the heavier side. In the angles themselves a mesh of 1e9 N/m hides
/// the inertias that it joins at low frequencies, and its force is lost in a difference.
namespace lashband::torsion::kernel {

struct Coordinates {
  Eigen::MatrixXd angles;       ///< by inertia and coordinate: theta = angles y
  Eigen::MatrixXd elongations;  ///< by element and coordinate; the unit row of one that is its own
                                ///< coordinate
  std::vector<std::optional<Eigen::Index>> own{};  ///< by element: the coordinate that it is
};

/// `weight`: magnitude of the stiffness by element, 0 of one that does not hold. `inertia`: of the
/// same unit, omega^2 J. From the stiffest on, elements become coordinates if they are stiffer than
/// the lighter of the sides that they join is heavy. With all inertias 0 every element that holds
/// does so unless it closes a loop: the stiffest spanning tree.
[[nodiscard]] Coordinates coordinates(const System& system, const std::vector<double>& weight,
                                      const std::vector<double>& inertia);

}  // namespace lashband::torsion::kernel
