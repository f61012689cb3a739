#include "torsion/state_space.hpp"

#include <Eigen/LU>
#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "lashband/error.hpp"
#include "torsion/balance.hpp"
#include "torsion/eigenpairs.hpp"
#include "torsion/kinematics.hpp"
#include "torsion/storage_stiffness.hpp"

namespace lashband::torsion::kernel {
namespace {

using Complex = StateSpace::Complex;
using Index = Eigen::Index;
using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;
using ComplexMatrix = Eigen::MatrixXcd;
using ComplexVector = Eigen::VectorXcd;

std::vector<bool> damped_elements(const System& system, bool held_too) {
  std::vector<bool> result = holding(system);
  for (std::size_t e = 0; e < result.size(); ++e) {
    result[e] = (held_too && result[e]) || system.elements[e].law.damping > 0.0;
  }
  return result;
}

Matrix columns(const std::vector<std::vector<double>>& vectors, std::size_t rows) {
  Matrix result(static_cast<Index>(rows), static_cast<Index>(vectors.size()));
  for (std::size_t i = 0; i < vectors.size(); ++i) {
    result.col(static_cast<Index>(i)) =
        Eigen::Map<const Vector>(vectors[i].data(), static_cast<Index>(rows));
  }
  return result;
}

// The complement of the columns of A, which are independent, as orthonormal columns.
Matrix complement(const Matrix& A) {
  if (A.cols() == 0) {
    return Matrix::Identity(A.rows(), A.rows());
  }
  const Eigen::HouseholderQR<Matrix> factors(A);
  const Matrix Q = factors.householderQ();
  return Q.rightCols(A.rows() - A.cols());
}

template <class Real>
auto complex(const Real& values) {
  return values.template cast<Complex>().eval();
}

ComplexMatrix rows_times(const ComplexVector& factors, const ComplexMatrix& rows) {
  return factors.asDiagonal() * rows;
}

// X of A X = B.
ComplexMatrix solution(const ComplexMatrix& A, const ComplexMatrix& B) {
  return Eigen::PartialPivLU<ComplexMatrix>(A).solve(B);
}

}  // namespace

// s' = matrix s, and the angles a = follow s.
struct StateSpace::Equations {
  ComplexMatrix matrix{};
  ComplexMatrix follow{};
};

StateSpace::StateSpace(const System& system, const Frame& frame) : system_(system) {
  const auto m = static_cast<Index>(system.elements.size());
  damping_.resize(m);
  sudden_.resize(m);
  loss_.resize(m);
  for (Index e = 0; e < m; ++e) {
    const Law& law = system.elements[static_cast<std::size_t>(e)].law;
    damping_[e] = law.damping;
    sudden_[e] = sudden_stiffness(law);
    loss_[e] = law.loss_factor * law.stiffness;
  }
  take_moving(frame);
  take_massless(frame);
  take_branches();
  strain_.resize(m, moving_.cols() + damped_.cols() + following_.cols());
  strain_ << strain_v_, strain_d_, strain_a_;
}

void StateSpace::take_moving(const Frame& frame) {
  const Spectrum spectrum =
      spectrum_at(system_, frame, std::vector<double>(sudden_.begin(), sudden_.end()));
  omega_ = spectrum.omega;
  free_count_ = frame.free.cols();
  // Free motions that strain no damper either keep to themselves and are left out.
  const std::vector<Index> massive(frame.massive.begin(), frame.massive.end());
  const Matrix unbraked =
      columns(turnings(parts(system_, damped_elements(system_, true))), system_.inertias.size());
  const Matrix weighted = frame.root_inertia.asDiagonal() * frame.free(massive, Eigen::all);
  const Matrix shares =
      weighted.transpose() * (frame.root_inertia.asDiagonal() * unbraked(massive, Eigen::all));
  const Matrix braked = frame.free * complement(shares);
  moving_.resize(spectrum.angles.rows(), omega_.size() + braked.cols());
  moving_ << spectrum.angles, braked;
  strain_v_ = strains(system_, moving_);
  const std::vector<bool> holds = holding(system_);
  for (std::size_t e = 0; e < holds.size(); ++e) {
    if (holds[e] && braked.cols() > 0) {
      strain_v_.row(static_cast<Index>(e)).tail(braked.cols()).setZero();
    }
  }
}

void StateSpace::take_massless(const Frame& frame) {
  const System loose = with_others_fixed(system_, frame.massless);
  const Matrix follows =
      columns(turnings(parts(loose, damped_elements(loose, false))), frame.massless.size());
  const auto n = static_cast<Index>(system_.inertias.size());
  const std::vector<Index> massless(frame.massless.begin(), frame.massless.end());
  const Matrix held = complement(follows);
  following_ = Matrix::Zero(n, follows.cols());
  following_(massless, Eigen::all) = follows;
  damped_ = Matrix::Zero(n, held.cols());
  damped_(massless, Eigen::all) = held;
  strain_d_ = strains(system_, damped_);
  strain_a_ = strains(system_, following_);
  for (Index e = 0; e < damping_.size(); ++e) {
    if (damping_[e] > 0.0 && following_.cols() > 0) {
      strain_a_.row(e).setZero();
    }
  }
}

void StateSpace::take_branches() {
  std::vector<double> roots;
  std::vector<double> times;
  for (std::size_t e = 0; e < system_.elements.size(); ++e) {
    for (const MaxwellBranch& branch : system_.elements[e].law.branches) {
      branch_element_.push_back(static_cast<Index>(e));
      roots.push_back(std::sqrt(branch.stiffness));
      times.push_back(branch.relaxation_time);
    }
  }
  branch_root_ = Eigen::Map<const Vector>(roots.data(), static_cast<Index>(roots.size()));
  branch_time_ = Eigen::Map<const Vector>(times.data(), static_cast<Index>(times.size()));
}

Index StateSpace::size() const {
  return omega_.size() + moving_.cols() + damped_.cols() + branch_root_.size();
}

// Eigenvalues that are exactly 0: motions that branches alone hold, which come to rest anywhere.
Index StateSpace::creeping() const {
  std::vector<bool> springs;
  springs.reserve(system_.elements.size());
  for (const Element& element : system_.elements) {
    springs.push_back(element.law.stiffness > 0.0);
  }
  const Parts together = parts(system_, springs);
  return std::count(together.held.begin(), together.held.end(), false) - free_count_;
}

StateSpace::Equations StateSpace::equations(bool lossless) const {
  const Index modes = omega_.size();
  const Index v = modes;
  const Index d = v + moving_.cols();
  const Index z = d + damped_.cols();
  const Index states = size();
  ComplexVector k = complex(sudden_);
  if (!lossless) {
    k.imag() = loss_;
  }
  // Elongations and torques (without those of dampers) of the elements, as rows over the states.
  ComplexMatrix strain = ComplexMatrix::Zero(k.size(), states);
  for (Index r = 0; r < modes; ++r) {
    strain.col(r).real() = strain_v_.col(r) / omega_[r];
  }
  strain.middleCols(d, damped_.cols()).real() = strain_d_;
  ComplexMatrix torque = rows_times(k, strain);
  for (Index j = 0; j < branch_root_.size(); ++j) {
    torque(branch_element_[static_cast<std::size_t>(j)], z + j) -= branch_root_[j];
  }
  Equations result;
  result.follow = ComplexMatrix::Zero(following_.cols(), states);
  if (following_.cols() > 0) {
    // What no damper holds is in balance at every moment.
    Vector scale(following_.cols());
    Matrix scaled = strain_a_;
    for (Index j = 0; j < scale.size(); ++j) {
      scale[j] = 1.0 / strain_a_.col(j).cwiseProduct(sudden_.cwiseSqrt()).norm();
      scaled.col(j) *= scale[j];
    }
    const ComplexMatrix a = complex(scaled);
    const ComplexMatrix across = a.transpose();
    const ComplexMatrix held = across * rows_times(k, a);
    const ComplexMatrix left = across * torque;
    const ComplexMatrix moves = -solution(held, left);
    const ComplexMatrix followed = a * moves;
    strain += followed;
    torque += rows_times(k, followed);
    result.follow = rows_times(complex(scale), moves);
  }
  // Elongation speeds that the velocities bring about, and the drift of d that balances them.
  const ComplexVector c = complex(damping_);
  ComplexMatrix speed = ComplexMatrix::Zero(k.size(), states);
  speed.middleCols(v, moving_.cols()).real() = strain_v_;
  torque += rows_times(c, speed);
  result.matrix = ComplexMatrix::Zero(states, states);
  if (damped_.cols() > 0) {
    const ComplexMatrix drifts = complex(strain_d_);
    const ComplexMatrix across = drifts.transpose();
    const ComplexMatrix held = across * rows_times(c, drifts);
    const ComplexMatrix pushed = across * torque;
    const ComplexMatrix drift = -solution(held, pushed);
    result.matrix.middleRows(d, damped_.cols()) = drift;
    const ComplexMatrix drifting = drifts * drift;
    torque += rows_times(c, drifting);
  }
  for (Index r = 0; r < modes; ++r) {
    result.matrix(r, v + r) = omega_[r];
  }
  const ComplexMatrix across = complex(strain_v_).transpose();
  const ComplexMatrix pushed = across * torque;
  result.matrix.middleRows(v, moving_.cols()) = -pushed;
  for (Index j = 0; j < branch_root_.size(); ++j) {
    const Index element = branch_element_[static_cast<std::size_t>(j)];
    for (Index state = 0; state < states; ++state) {
      result.matrix(z + j, state) = (branch_root_[j] / branch_time_[j]) * strain(element, state);
    }
    result.matrix(z + j, z + j) -= 1.0 / branch_time_[j];
  }
  return result;
}

std::vector<StateSpace::Pair> StateSpace::pairs(bool lossless) const {
  if (size() == 0) {
    return {};
  }
  Equations system = equations(lossless);
  if (!system.matrix.allFinite()) {
    throw ComputationError("the equations of the damped torsional system are beyond all numbers");
  }
  const Vector scale = balance(system.matrix);
  const bool real = lossless || (loss_.array() == 0.0).all();
  const Eigenpairs found =
      real ? eigenpairs_of(Matrix(system.matrix.real())) : eigenpairs_of(system.matrix);
  std::vector<Index> order(static_cast<std::size_t>(size()));
  std::iota(order.begin(), order.end(), Index{0});
  std::stable_sort(order.begin(), order.end(), [&found](Index a, Index b) {
    return std::abs(found.lambdas[a]) < std::abs(found.lambdas[b]);
  });
  order.erase(order.begin(), order.begin() + std::min(creeping(), size()));
  const Index modes = omega_.size();
  const Index moving = moving_.cols();
  std::vector<Pair> result;
  for (const Index i : order) {
    const Complex lambda = found.lambdas[i];
    if (!(lambda.imag() > 0.0)) {
      continue;
    }
    ComplexVector state = found.vectors.col(i);
    state.array() *= scale.array();
    Pair pair;
    pair.lambda = lambda;
    pair.coordinates.resize(moving + damped_.cols() + following_.cols());
    pair.coordinates.head(modes) = state.head(modes).cwiseQuotient(complex(omega_));
    pair.coordinates.segment(modes, moving - modes) =
        state.segment(2 * modes, moving - modes) / lambda;
    pair.coordinates.segment(moving, damped_.cols()) =
        state.segment(modes + moving, damped_.cols());
    pair.coordinates.tail(following_.cols()) = system.follow * state;
    result.push_back(std::move(pair));
  }
  return result;
}

}  // namespace lashband::torsion::kernel
