#pragma once

#include <Eigen/Core>
#include <complex>
#include <vector>

#include "torsion/spectrum_at.hpp"
#include "torsion/system.hpp"

/// A system with damping and branches as s' = A s.
///
/// States, each scaled so that its square is an energy: omega_r q_r and q_r' of the modes q under
/// sudden load, q' alone of free motions (their angle has no effect), the angles d of inertias of 0
/// that dampers hold, and sqrt(k_j) z_j of the dashpots of branches. Angles a of inertias of 0
/// that no damper holds follow the others at once.
namespace lashband::torsion::kernel {

class StateSpace {
 public:
  using Complex = std::complex<double>;

  StateSpace(const System& system, const Frame& frame);

  struct Pair {
    Complex lambda{};
    Eigen::VectorXcd coordinates{};  ///< of `angles`
  };
  /// All with Im lambda > 0, unrefined. Without loss factors (`lossless`) the matrix is real and so
  /// is its count of what swings.
  [[nodiscard]] std::vector<Pair> pairs(bool lossless) const;

  /// Brings lambda to the root of the quotient t^T T(lambda) t that is next to it, t being the
  /// coordinates: an error of t is squared. Where modes are far apart t is refined too.
  [[nodiscard]] Pair refined(Pair pair) const;
  [[nodiscard]] Eigen::VectorXcd angles(const Pair& pair) const;

 private:
  using Matrix = Eigen::MatrixXd;
  using Vector = Eigen::VectorXd;
  using ComplexMatrix = Eigen::MatrixXcd;
  using ComplexVector = Eigen::VectorXcd;
  using Index = Eigen::Index;

  void take_moving(const Frame& frame);
  void take_massless(const Frame& frame);
  void take_branches();
  [[nodiscard]] Index size() const;
  [[nodiscard]] Index creeping() const;
  [[nodiscard]] Complex stiffness(Index element, Complex lambda) const;
  [[nodiscard]] Complex stiffness_slope(Index element, Complex lambda) const;
  [[nodiscard]] Complex quotient_root(const Pair& pair) const;
  [[nodiscard]] Eigen::VectorXcd turned_in(const Pair& pair) const;
  struct Equations;
  [[nodiscard]] Equations equations(bool lossless) const;

  const System& system_;
  Vector omega_{};      // of modes under sudden load
  Vector damping_{};    // c by element
  Vector sudden_{};     // k + sum of k_j by element
  Vector loss_{};       // eta k by element
  Matrix moving_{};     // angles by inertia: modes, then free motions that dampers brake
  Matrix damped_{};     // angles d
  Matrix following_{};  // angles a
  Matrix strain_v_{};   // elongations of each of the three
  Matrix strain_d_{};
  Matrix strain_a_{};
  Matrix strain_{};  // of all
  std::vector<Index> branch_element_{};
  Vector branch_root_{};  // sqrt(k_j)
  Vector branch_time_{};
  Index free_count_ = 0;  // of the whole system
};

}  // namespace lashband::torsion::kernel
