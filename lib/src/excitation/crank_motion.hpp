#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "lashband/excitation/crank_mechanism.hpp"

namespace lashband::excitation::kernel {

/// Piston distance and its derivatives by theta, in units of the lengths.
struct CrankMotion {
  double x = 0.0;
  double first = 0.0;
  double second = 0.0;
};
[[nodiscard]] CrankMotion crank_motion(double r, double l, double e, double theta);

/// The motion at `points` equal steps of a revolution, from theta = 0, for r = 1.
[[nodiscard]] std::vector<CrankMotion> motion_over_a_turn(const CrankMechanism& mechanism,
                                                          std::size_t points);

/// The order of theta above which the harmonics of the motion are below rounding: they fall as
/// e^(-k sigma), cosh sigma = (l - |e|) / r. Throws ComputationError above 4096.
[[nodiscard]] std::size_t highest_order(const CrankMechanism& mechanism);

/// Points of a revolution that make the error of harmonics up to `order` one of rounding: what is
/// aliased into them is above highest_order.
[[nodiscard]] std::size_t points_for(const CrankMechanism& mechanism, std::size_t order);

}  // namespace lashband::excitation::kernel
