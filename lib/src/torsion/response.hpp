#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "torsion/system.hpp"

namespace lashband::torsion::kernel {

/// What shakes the system at one frequency, as amplitudes of Re(X e^(i omega t)).
struct Excitation {
  std::vector<std::complex<double>> torques{};        ///< by inertia, N m; empty: none
  std::vector<std::complex<double>> displacements{};  ///< by element, added to what it is strained
                                                      ///< by: M = k* (x - e), the transmission
                                                      ///< error of a mesh, m; empty: none
};

/// How the system moves under it.
struct Response {
  std::vector<std::complex<double>> angles{};   ///< by inertia, rad
  std::vector<std::complex<double>> torques{};  ///< by element: M
};

/// The steady answer at omega > 0, (-omega^2 M + sum of k*(omega) b b^T) theta = T + sum k* e b.
///
/// Accuracy 1e-10 relative in the norm of the angles where the condition of the system allows; by
/// LU with pivots and one step of refinement, in elongations instead of angles where an element is
/// stiffer than the inertias beside it, from its displacement on (derived in
/// docs/theory/torsion.md). So the torque of a stiff element keeps these digits too, however little
/// is left of k e. Throws ComputationError
/// ("resonance without damping") where the reciprocal condition number is below 1e-13, relative to
/// the sum of the magnitudes of all terms, after scaling each coordinate by the root of its
/// diagonal; and where neither inertia nor element answers a torque.
[[nodiscard]] Response response(const System& system, double omega, const Excitation& excitation);

/// Power over a cycle at one frequency, W.
struct PowerBalance {
  double in = 0.0;          ///< of the torques on inertias and of the displacements of elements
  double dissipated = 0.0;  ///< in the elements, 1/2 omega Im k* |x - e|^2
};
[[nodiscard]] PowerBalance power(const System& system, double omega, const Excitation& excitation,
                                 const Response& response);

/// d(response)/d ln k of one element (k, eta and branches scaled together; damping c not), or
/// d/d ln J of one inertia. Analytic: -D^-1 (dD theta - d(k* e b)).
[[nodiscard]] Response response_by_stiffness(const System& system, double omega,
                                             const Excitation& excitation, const Response& at,
                                             std::size_t element);
[[nodiscard]] Response response_by_inertia(const System& system, double omega,
                                           const Excitation& excitation, const Response& at,
                                           std::size_t inertia);

}  // namespace lashband::torsion::kernel
