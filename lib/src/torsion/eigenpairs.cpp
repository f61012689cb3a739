#include "torsion/eigenpairs.hpp"

#include <Eigen/Eigenvalues>

#include "lashband/error.hpp"

namespace lashband::torsion::kernel {
namespace {

template <class Solver>
Eigenpairs pairs_by(const Solver& solver) {
  if (solver.info() != Eigen::Success) {
    throw ComputationError("the damped modes of the torsional system do not converge");
  }
  return {solver.eigenvalues(), solver.eigenvectors()};
}

}  // namespace

Eigenpairs eigenpairs_of(const Eigen::MatrixXd& A) {
  return pairs_by(Eigen::EigenSolver<Eigen::MatrixXd>(A));
}

Eigenpairs eigenpairs_of(const Eigen::MatrixXcd& A) {
  return pairs_by(Eigen::ComplexEigenSolver<Eigen::MatrixXcd>(A));
}

}  // namespace lashband::torsion::kernel
