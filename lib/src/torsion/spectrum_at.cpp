#include "torsion/spectrum_at.hpp"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "lashband/error.hpp"
#include "torsion/checks.hpp"
#include "torsion/kinematics.hpp"

namespace lashband::torsion::kernel {
namespace {

using Index = Eigen::Index;
using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;

// Rows from the greatest to the least: a Householder reduction with pivoted columns then keeps the
// digits of small rows beside great ones (Cox and Higham, SIAM J. Matrix Anal. Appl. 19, 1998).
Matrix greatest_rows_first(const Matrix& rows, const Vector& sizes) {
  std::vector<Index> order(static_cast<std::size_t>(rows.rows()));
  std::iota(order.begin(), order.end(), Index{0});
  std::stable_sort(order.begin(), order.end(),
                   [&sizes](Index a, Index b) { return sizes[a] > sizes[b]; });
  return rows(order, Eigen::all);
}

// Turns columns i and j of A until they are orthogonal; whether they were not.
bool orthogonalise(Matrix& A, Vector& squares, Index i, Index j, double tolerance) {
  const double product = A.col(i).dot(A.col(j));
  if (!(std::fabs(product) > tolerance * std::sqrt(squares[i]) * std::sqrt(squares[j]))) {
    return false;
  }
  const double zeta = (squares[j] - squares[i]) / (2.0 * product);
  const double tangent = std::copysign(1.0, zeta) / (std::fabs(zeta) + std::hypot(1.0, zeta));
  const double cosine = 1.0 / std::hypot(1.0, tangent);
  const double sine = cosine * tangent;
  const Vector first = A.col(i);
  A.col(i) = cosine * first - sine * A.col(j);
  A.col(j) = sine * first + cosine * A.col(j);
  squares[i] = A.col(i).squaredNorm();
  squares[j] = A.col(j).squaredNorm();
  return true;
}

// One-sided Jacobi: the columns of A become left singular vectors times singular values.
void make_orthogonal(Matrix& A) {
  constexpr int most_sweeps = 60;  // five to ten are usual
  const double tolerance =
      std::numeric_limits<double>::epsilon() * std::sqrt(static_cast<double>(A.rows()));
  for (int sweep = 0; sweep < most_sweeps; ++sweep) {
    Vector squares = A.colwise().squaredNorm();
    bool turned = false;
    for (Index i = 0; i + 1 < A.cols(); ++i) {
      for (Index j = i + 1; j < A.cols(); ++j) {
        turned = orthogonalise(A, squares, i, j, tolerance) || turned;
      }
    }
    if (!turned) {
      return;
    }
  }
  throw ComputationError("the modes of the torsional system do not converge");
}

// E = rows of elements; inertias of 0 stand at the angles that strain the elements least.
class Condensed {
 public:
  Condensed(const Frame& frame, const Matrix& rows) {
    const auto n0 = static_cast<Index>(frame.massless.size());
    const Matrix massive = rows(Eigen::all, places(frame.massive));
    if (n0 == 0) {
      rows_ = massive;
      return;
    }
    const Matrix massless = rows(Eigen::all, places(frame.massless));
    const Vector sizes = massless.rowwise().lpNorm<Eigen::Infinity>();
    const Index touching = (sizes.array() > 0.0).count();
    const Matrix sorted = greatest_rows_first(massless, sizes);
    Matrix beside = greatest_rows_first(massive, sizes);
    factors_.compute(sorted.topRows(touching));
    beside.topRows(touching).applyOnTheLeft(factors_.householderQ().adjoint());
    follows_ = beside.topRows(n0);
    rows_ = beside.bottomRows(beside.rows() - n0);
  }

  [[nodiscard]] const Matrix& rows() const { return rows_; }
  [[nodiscard]] Matrix massless_angles(const Matrix& massive) const {
    const Index n0 = follows_.rows();
    const Matrix right = -follows_ * massive;
    return factors_.colsPermutation() *
           factors_.matrixR().topLeftCorner(n0, n0).triangularView<Eigen::Upper>().solve(right);
  }

 private:
  static std::vector<Index> places(const std::vector<std::size_t>& inertias) {
    return {inertias.begin(), inertias.end()};
  }

  Matrix rows_{};
  Matrix follows_{};
  Eigen::ColPivHouseholderQR<Matrix> factors_{};
};

Matrix element_rows(const System& system, const std::vector<double>& stiffness) {
  const auto held =
      std::count_if(stiffness.begin(), stiffness.end(), [](double k) { return k > 0.0; });
  Matrix rows = Matrix::Zero(held, static_cast<Index>(system.inertias.size()));
  Index row = 0;
  for (std::size_t e = 0; e < stiffness.size(); ++e) {
    if (!(stiffness[e] > 0.0)) {
      continue;
    }
    const Element& element = system.elements[e];
    const double root = std::sqrt(stiffness[e]);
    rows(row, static_cast<Index>(element.first)) = root * element.arm_1;
    if (element.second) {
      rows(row, static_cast<Index>(*element.second)) = root * element.arm_2;
    }
    ++row;
  }
  return rows;
}

// Singular values and right singular vectors of B, of the rank that the kinematics say: what the
// free motions take is not sought among small numbers but left out. Vectors are turned against
// `free`, so that no rounding of the free motions is in them.
void take_modes(const Matrix& B, const Matrix& free, Vector& omega, Matrix& vectors) {
  const Index rank = B.cols() - free.cols();
  const Matrix sorted = greatest_rows_first(B, B.rowwise().lpNorm<Eigen::Infinity>());
  const Eigen::ColPivHouseholderQR<Matrix> factors(sorted);
  Matrix R = Matrix::Zero(rank, B.cols());
  R.triangularView<Eigen::Upper>() = factors.matrixR().topRows(rank);
  Matrix columns = factors.colsPermutation() * R.transpose();
  make_orthogonal(columns);
  const Vector lengths = columns.colwise().norm();
  std::vector<Index> order(static_cast<std::size_t>(rank));
  std::iota(order.begin(), order.end(), Index{0});
  std::stable_sort(order.begin(), order.end(),
                   [&lengths](Index a, Index b) { return lengths[a] < lengths[b]; });
  omega = lengths(order);
  vectors = columns(Eigen::all, order);
  if (!omega.allFinite() || (rank > 0 && !(omega[0] > 0.0))) {
    throw ComputationError("the modes of the torsional system are beyond all numbers");
  }
  vectors = (vectors * omega.cwiseInverse().asDiagonal()).eval();
  vectors -= free * (free.transpose() * vectors).eval();
  vectors.colwise().normalize();
}

void check_held(const System& system, const std::vector<std::size_t>& massless) {
  const System loose = with_others_fixed(system, massless);
  const Parts together = parts(loose, holding(loose));
  for (std::size_t i = 0; i < massless.size(); ++i) {
    if (!together.held[together.of[i]]) {
      throw ComputationError(numbered("inertia", massless[i]) +
                             ": it is 0 kg m2, and no stiffness holds it");
    }
  }
}

}  // namespace

Frame frame_of(const System& system) {
  Frame frame;
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    (system.inertias[i] > 0.0 ? frame.massive : frame.massless).push_back(i);
  }
  check_held(system, frame.massless);
  frame.root_inertia.resize(static_cast<Index>(frame.massive.size()));
  for (std::size_t i = 0; i < frame.massive.size(); ++i) {
    frame.root_inertia[static_cast<Index>(i)] = std::sqrt(system.inertias[frame.massive[i]]);
  }
  const std::vector<std::vector<double>> free = turnings(parts(system, holding(system)));
  frame.free.resize(static_cast<Index>(system.inertias.size()), static_cast<Index>(free.size()));
  for (std::size_t column = 0; column < free.size(); ++column) {
    double energy = 0.0;
    for (std::size_t i = 0; i < system.inertias.size(); ++i) {
      energy += system.inertias[i] * free[column][i] * free[column][i];
    }
    const auto at = static_cast<Index>(column);
    frame.free.col(at) =
        Eigen::Map<const Vector>(free[column].data(), frame.free.rows()) / std::sqrt(energy);
  }
  return frame;
}

Spectrum spectrum_at(const System& system, const Frame& frame,
                     const std::vector<double>& stiffness) {
  if (static_cast<Index>(frame.massive.size()) == frame.free.cols()) {
    return {Vector{}, Matrix(static_cast<Index>(system.inertias.size()), 0)};
  }
  const Condensed condensed(frame, element_rows(system, stiffness));
  const Vector inverse = frame.root_inertia.cwiseInverse();
  const std::vector<Index> massive(frame.massive.begin(), frame.massive.end());
  const std::vector<Index> massless(frame.massless.begin(), frame.massless.end());
  const Matrix free = frame.root_inertia.asDiagonal() * frame.free(massive, Eigen::all);
  Spectrum result;
  Matrix vectors;
  take_modes(condensed.rows() * inverse.asDiagonal(), free, result.omega, vectors);
  const Matrix angles = inverse.asDiagonal() * vectors;
  result.angles.resize(static_cast<Index>(system.inertias.size()), result.omega.size());
  result.angles(massive, Eigen::all) = angles;
  if (!massless.empty()) {
    result.angles(massless, Eigen::all) = condensed.massless_angles(angles);
  }
  return result;
}

Matrix strains(const System& system, const Matrix& angles) {
  Matrix result(static_cast<Index>(system.elements.size()), angles.cols());
  if (angles.cols() == 0) {
    return result;  // a row of nothing has no place in memory
  }
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Element& element = system.elements[e];
    const auto row = static_cast<Index>(e);
    result.row(row) = element.arm_1 * angles.row(static_cast<Index>(element.first));
    if (element.second) {
      result.row(row) += element.arm_2 * angles.row(static_cast<Index>(*element.second));
    }
  }
  return result;
}

}  // namespace lashband::torsion::kernel
