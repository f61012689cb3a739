#pragma once

#include "lashband/units/quantities.hpp"

namespace lashband::excitation {

/// How the amplitude of an excitation goes with the speed n of its shaft.
enum class SpeedScaling {
  constant,      ///< 1: gas torque, to a first approximation
  proportional,  ///< n / n_0
  squared        ///< (n / n_0)^2: inertia torque, unbalance
};

/// What an amplitude that is known at the speed n_0 is multiplied by at the speed n.
///
/// Both are speeds without a sense of rotation; n = 0 is allowed. Exact but for rounding. Throws
/// DomainError unless n is finite and 0 or more, and, where the scaling is not constant, n_0 is
/// finite and above 0 and the factor is finite.
[[nodiscard]] double speed_factor(SpeedScaling scaling, units::AngularVelocity n,
                                  units::AngularVelocity n_0);

}  // namespace lashband::excitation
