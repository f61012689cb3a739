#pragma once

#include "torsion/system.hpp"

/// The real part of a dynamic stiffness, without the loss factor and the damping.
namespace lashband::torsion::kernel {

/// k + sum of k_j w^2 / (1 + w^2), w = omega tau_j; omega 0 or more.
[[nodiscard]] inline double storage_stiffness(const Law& law, double omega) {
  double sum = law.stiffness;
  for (const MaxwellBranch& branch : law.branches) {
    const double w = omega * branch.relaxation_time;
    sum += w < 1.0 ? branch.stiffness * (w * w / (1.0 + w * w))
                   : branch.stiffness / (1.0 + (1.0 / w) * (1.0 / w));
  }
  return sum;
}

/// omega times its derivative: sum of k_j 2 w^2 / (1 + w^2)^2. Never more than twice the stiffness.
[[nodiscard]] inline double storage_stiffness_growth(const Law& law, double omega) {
  double sum = 0.0;
  for (const MaxwellBranch& branch : law.branches) {
    const double w = omega * branch.relaxation_time;
    const double v = w < 1.0 ? w : 1.0 / w;  // the same for both
    sum += branch.stiffness * (2.0 * v * v / ((1.0 + v * v) * (1.0 + v * v)));
  }
  return sum;
}

/// Under a sudden load: k and every branch.
[[nodiscard]] inline double sudden_stiffness(const Law& law) {
  double sum = law.stiffness;
  for (const MaxwellBranch& branch : law.branches) {
    sum += branch.stiffness;
  }
  return sum;
}

}  // namespace lashband::torsion::kernel
