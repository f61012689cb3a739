#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "torsion/system.hpp"

namespace lashband::torsion::kernel {

/// A mode without damping.
struct Mode {
  double omega = 0.0;             ///< rad/s; exactly 0 for a free motion
  std::vector<double> shape{};    ///< by inertia, scaled so that sum J theta^2 = 1; the greatest
                                  ///< |theta| positive
  std::vector<double> strain{};   ///< by element: its share of the strain energy, sum 1; empty for
                                  ///< a free motion
  std::vector<double> kinetic{};  ///< by inertia: share of the kinetic energy, sum 1
};

/// Every mode, slowest first, free motions leading. Stiffness of an element at a mode is the real
/// part of its dynamic stiffness at that mode's own frequency, found by iteration where branches
/// make it depend on frequency (relative change below 1e-12); loss factor and damping do not count.
/// Inertias of 0 are eliminated first; they have their angles in the shapes. There are as many
/// modes as inertias above 0. A mode that branches alone hold has an omega of 0, and a strain,
/// where their stiffness at low frequencies is less than its inertia: omega^2 J > k'(omega) at
/// every omega.
///
/// Accuracy: omega 1e-12, relative, however far the modes are apart; residual |K phi - omega^2 M
/// phi| below 1e-10 |K| |phi|; free motions exact. Up to 200 inertias.
/// Throws ComputationError where an inertia of 0 is held by nothing, or an iteration does not end.
[[nodiscard]] std::vector<Mode> modes(const System& system);

/// A mode with damping: theta e^(lambda t).
struct DampedMode {
  std::complex<double> lambda{};              ///< imaginary part >= 0
  double natural_omega = 0.0;                 ///< |lambda|
  double damping_ratio = 0.0;                 ///< -Re lambda / |lambda|
  std::vector<std::complex<double>> shape{};  ///< by inertia, greatest element 1
};

/// Every oscillating mode with damping, slowest |lambda| first; eigenvalues on the real axis (free
/// motions, creep of branches, overdamped pairs) are left out. Branches are internal states, exact;
/// a loss factor enters as k (1 + i eta), which holds for motion at one frequency. It moves real
/// eigenvalues off the axis as well: beside damping or branches as many modes are kept as swing
/// without loss factors, the least damped.
///
/// Accuracy: residual of (lambda^2 M + lambda C + K(lambda)) theta below 1e-9 |K| |theta|.
/// Throws as `modes`.
[[nodiscard]] std::vector<DampedMode> damped_modes(const System& system);

/// d omega / d p of a mode with omega > 0, for the stiffness of each element (k and its branches
/// scaled together, per relative change: d omega / d ln k) and each inertia (d omega / d ln J).
/// Analytic, exact but for the change of a branch's stiffness with the frequency, which is taken
/// into account to first order. Modes of equal omega have no derivative of their own: throws
/// ComputationError where another mode is nearer than 1e-7, relative, and DomainError for a mode
/// that is not in the list, of another system, or of omega 0. `modes`: of that system.
struct ModeSensitivity {
  std::vector<double> by_stiffness{};  ///< by element, rad/s
  std::vector<double> by_inertia{};    ///< by inertia, rad/s
};
[[nodiscard]] ModeSensitivity sensitivity(const System& system, const std::vector<Mode>& modes,
                                          std::size_t mode);

}  // namespace lashband::torsion::kernel
