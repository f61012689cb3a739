#pragma once

#include <complex>
#include <cstddef>
#include <optional>
#include <vector>

// A train as inertias joined by elements, in SI units. Angles are those of the shafts themselves,
// against the uniform turning of each:
//
//   J_i theta_i'' = - sum over the elements of arm_i M + T_i
//   M = law(x),  x = arm_1 theta_first + arm_2 theta_second      the elongation of an element
//
// A piece of shaft has the arms 1 and -1 and M is its torque; a mesh has the base radii, both with
// one sign for an external pair, and M is the force on the base tangent; what holds a shaft against
// the case has one arm alone.
namespace lashband::torsion::kernel {

/// A spring that relaxes: stiffness i omega tau / (1 + i omega tau) of k.
struct MaxwellBranch {
  double stiffness = 0.0;        ///< > 0
  double relaxation_time = 0.0;  ///< tau, s, > 0
};

/// How an element answers an elongation.
struct Law {
  double stiffness = 0.0;    ///< k, that of slow loading, 0 or more
  double damping = 0.0;      ///< c, 0 or more
  double loss_factor = 0.0;  ///< eta of k, 0 or more: k (1 + i eta) at omega > 0
  std::vector<MaxwellBranch> branches{};
};

/// k (1 + i eta) + i omega c + sum of k_j i omega tau_j / (1 + i omega tau_j), omega > 0. Exact.
[[nodiscard]] std::complex<double> dynamic_stiffness(const Law& law, double omega);

/// Arms are other than 0, and `second` is not `first`.
struct Element {
  std::size_t first = 0;
  double arm_1 = 1.0;
  std::optional<std::size_t> second{};  ///< empty: the case
  double arm_2 = -1.0;
  Law law{};
};

struct System {
  std::vector<double> inertias{};  ///< J_i, 0 or more
  std::vector<Element> elements{};
};

/// x of each element for the angles `theta`, one an inertia.
[[nodiscard]] std::vector<double> elongations(const System& system,
                                              const std::vector<double>& theta);
[[nodiscard]] std::vector<std::complex<double>> elongations(
    const System& system, const std::vector<std::complex<double>>& theta);

/// The ways in which the system can turn without straining any element that has a stiffness at all
/// (k, eta or a branch; damping alone does not hold): one vector a way, orthonormal in the angles.
/// A train free to turn has one, a train tied to the case none; each element of zero stiffness that
/// divides the train adds one.
///
/// Found from the arms alone (a kinematic tree), not from a threshold on eigenvalues: exact to the
/// rounding of products of arms. Closed loops are taken as consistent where their arms agree within
/// 1e-9, relative. Throws DomainError for an index, arm or value outside its range.
[[nodiscard]] std::vector<std::vector<double>> free_motions(const System& system);

}  // namespace lashband::torsion::kernel
