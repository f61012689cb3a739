#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "torsion/response.hpp"
#include "torsion/system.hpp"

namespace lashband::torsion::kernel {

/// How the torque of one element changes with everything else.
struct TorqueGradient {
  std::vector<std::complex<double>>
      by_stiffness{};                              ///< d M / d ln k by element, damping c as it is
  std::vector<std::complex<double>> by_inertia{};  ///< d M / d ln J by inertia
};

/// The gradient of the torque of `element` at omega, from a response `at`, whose torques hold
/// all that it needs of the excitation. One solution for a displacement of the element itself does
/// for all of them, since D is symmetric (derived in docs/theory/torsion.md). Exact but for the
/// accuracy of `response`; throws as it.
[[nodiscard]] TorqueGradient torque_gradient(const System& system, double omega, const Response& at,
                                             std::size_t element);

/// What one element would do with another stiffness, all else as it is.
struct ElementSeen {
  std::complex<double> elongation{};  ///< x of the response
  std::complex<double> stiffness{};   ///< k* that the response was found with
  std::complex<double> receptance{};  ///< elongation by a pair of unit torques on its ends

  /// x with the stiffness k: x / (1 + (k - k*) receptance), exact (Sherman and Morrison).
  [[nodiscard]] std::complex<double> elongation_with(std::complex<double> k) const {
    return elongation / (1.0 + (k - stiffness) * receptance);
  }
};

/// Of an element that no displacement acts on. Throws as `response`.
[[nodiscard]] ElementSeen element_seen(const System& system, double omega, const Response& at,
                                       std::size_t element);

}  // namespace lashband::torsion::kernel
