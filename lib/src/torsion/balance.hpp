#pragma once

#include <Eigen/Core>
#include <cmath>

namespace lashband::torsion::kernel {

/// Scales A to S^-1 A S with powers of 2 in the diagonal S, until row and column norms are alike
/// (Parlett and Reinsch, Numer. Math. 13, 1969). Returns S.
template <class Matrix>
[[nodiscard]] Eigen::VectorXd balance(Matrix& A) {
  constexpr int most_sweeps = 100;
  Eigen::VectorXd scale = Eigen::VectorXd::Ones(A.rows());
  for (int sweep = 0; sweep < most_sweeps; ++sweep) {
    bool changed = false;
    for (Eigen::Index i = 0; i < A.rows(); ++i) {
      const double own = std::abs(A(i, i));
      const double column = A.col(i).cwiseAbs().sum() - own;
      const double row = A.row(i).cwiseAbs().sum() - own;
      if (!(column > 0.0 && row > 0.0)) {
        continue;
      }
      const double factor = std::exp2(std::round(0.5 * std::log2(row / column)));
      if (column * factor + row / factor < 0.95 * (column + row)) {
        A.col(i) *= factor;
        A.row(i) /= factor;
        scale[i] *= factor;
        changed = true;
      }
    }
    if (!changed) {
      break;
    }
  }
  return scale;
}

}  // namespace lashband::torsion::kernel
