#pragma once

#include <Eigen/Core>

namespace lashband::torsion::kernel {

/// Eigenvalues in no order, and a vector for each.
struct Eigenpairs {
  Eigen::VectorXcd lambdas{};
  Eigen::MatrixXcd vectors{};
};

/// Of a real matrix: real eigenvalues are exactly real and the others in pairs. Throws
/// ComputationError where the iteration does not end.
[[nodiscard]] Eigenpairs eigenpairs_of(const Eigen::MatrixXd& A);
[[nodiscard]] Eigenpairs eigenpairs_of(const Eigen::MatrixXcd& A);

}  // namespace lashband::torsion::kernel
