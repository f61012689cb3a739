#include "torsion/response.hpp"

#include <Eigen/LU>
#include <cmath>

#include "lashband/error.hpp"
#include "torsion/checks.hpp"
#include "torsion/coordinates.hpp"

namespace lashband::torsion::kernel {
namespace {

using Index = Eigen::Index;
using Complex = std::complex<double>;
using ComplexVector = Eigen::VectorXcd;
using ComplexMatrix = Eigen::MatrixXcd;

// Below this nothing is left of the dynamic stiffness but rounding.
constexpr double least_reciprocal_condition = 1e-13;

void check_excitation(const System& system, const Excitation& excitation) {
  if (!excitation.torques.empty()) {
    check_list("torque", excitation.torques, system.inertias.size());
  }
  if (!excitation.displacements.empty()) {
    check_list("displacement", excitation.displacements, system.elements.size());
  }
}

void check_response(const System& system, const Response& response) {
  check_list("angle of the response", response.angles, system.inertias.size());
  check_list("torque of the response", response.torques, system.elements.size());
}

ComplexVector zeros(std::size_t count) {
  return ComplexVector::Zero(static_cast<Index>(count));
}

// D y = right side, in coordinates in which nothing cancels, each scaled.
class DynamicStiffness {
 public:
  DynamicStiffness(const System& system, double omega);

  /// What `torques` on inertias and `displacements` of elements bring about.
  [[nodiscard]] Response answer(const ComplexVector& torques,
                                const ComplexVector& displacements) const;

  [[nodiscard]] Complex stiffness(std::size_t element) const {
    return stiffness_[static_cast<Index>(element)];
  }

 private:
  [[nodiscard]] static std::vector<double> weights(const System& system, double omega);
  [[nodiscard]] static std::vector<double> inertias(const System& system, double omega);
  void check_condition(const Eigen::MatrixXd& parts) const;

  double omega_;
  Coordinates coordinates_;
  Eigen::VectorXd mass_;  // omega^2 J
  ComplexVector stiffness_;
  Eigen::VectorXd scale_;
  ComplexMatrix matrix_;
  Eigen::PartialPivLU<ComplexMatrix> factors_;
};

std::vector<double> DynamicStiffness::weights(const System& system, double omega) {
  std::vector<double> result;
  result.reserve(system.elements.size());
  for (const Element& element : system.elements) {
    result.push_back(std::abs(dynamic_stiffness(element.law, omega)));
  }
  return result;
}

std::vector<double> DynamicStiffness::inertias(const System& system, double omega) {
  std::vector<double> result;
  result.reserve(system.inertias.size());
  for (const double inertia : system.inertias) {
    result.push_back(omega * omega * inertia);
  }
  return result;
}

DynamicStiffness::DynamicStiffness(const System& system, double omega)
    : omega_(omega),
      coordinates_(coordinates(system, weights(system, omega), inertias(system, omega))),
      stiffness_(static_cast<Index>(system.elements.size())) {
  const Index n = coordinates_.angles.cols();
  const std::vector<double> mass = inertias(system, omega);
  mass_ = Eigen::Map<const Eigen::VectorXd>(mass.data(), n);
  const Eigen::MatrixXd inertia =
      coordinates_.angles.transpose() * mass_.asDiagonal() * coordinates_.angles;
  matrix_ = -inertia.cast<Complex>();
  // The same with all parts positive: what there would be if nothing cancelled.
  Eigen::MatrixXd parts = inertia.cwiseAbs();
  for (Index e = 0; e < stiffness_.size(); ++e) {
    stiffness_[e] = dynamic_stiffness(system.elements[static_cast<std::size_t>(e)].law, omega);
    const double magnitude = std::abs(stiffness_[e]);
    const Eigen::RowVectorXd row = coordinates_.elongations.row(e);
    for (Index i = 0; i < n; ++i) {
      if (row[i] == 0.0) {
        continue;
      }
      for (Index j = 0; j < n; ++j) {
        const double product = row[i] * row[j];
        if (product != 0.0) {
          matrix_(i, j) += stiffness_[e] * product;
          parts(i, j) += magnitude * std::fabs(product);
        }
      }
    }
  }
  for (Index i = 0; i < n; ++i) {
    if (!(parts(i, i) > 0.0)) {
      throw ComputationError(numbered("inertia", static_cast<std::size_t>(i)) +
                             ": nothing holds it and it has no inertia, so that a torque has no "
                             "answer");
    }
  }
  scale_ = parts.diagonal().cwiseSqrt().cwiseInverse();
  matrix_ = (scale_.asDiagonal() * matrix_ * scale_.asDiagonal()).eval();
  if (!matrix_.allFinite()) {
    throw ComputationError("the dynamic stiffness at " + number_text(omega) +
                           " rad/s is beyond all numbers");
  }
  factors_.compute(matrix_);
  check_condition(scale_.asDiagonal() * parts * scale_.asDiagonal());
}

void DynamicStiffness::check_condition(const Eigen::MatrixXd& parts) const {
  // rcond() is relative to the matrix, which is itself near 0 for one inertia in resonance.
  const double norm = matrix_.cwiseAbs().colwise().sum().maxCoeff();
  const double norm_of_parts = parts.colwise().sum().maxCoeff();
  const bool zero_pivot = (factors_.matrixLU().diagonal().array() == Complex{}).any();
  const double reciprocal = zero_pivot ? 0.0 : factors_.rcond() * norm / norm_of_parts;
  if (!(reciprocal >= least_reciprocal_condition)) {
    throw ComputationError("resonance without damping at " + number_text(omega_) +
                           " rad/s: the reciprocal condition of the dynamic stiffness is " +
                           number_text(reciprocal) + ", and must be 1e-13 or more");
  }
}

// An element that is a coordinate starts at its displacement, unstrained, and what is solved for is
// its strain: in k x - k e nothing would be left of the torque of a stiff mesh at low frequencies.
Response DynamicStiffness::answer(const ComplexVector& torques,
                                  const ComplexVector& displacements) const {
  ComplexVector start = ComplexVector::Zero(mass_.size());
  for (std::size_t e = 0; e < coordinates_.own.size(); ++e) {
    if (coordinates_.own[e]) {
      start[*coordinates_.own[e]] = displacements[static_cast<Index>(e)];
    }
  }
  const ComplexVector turned = coordinates_.angles * start;
  // What is left of the displacements beyond that; of the coordinates 0, exactly.
  const ComplexVector beyond = displacements - coordinates_.elongations * start;
  const ComplexVector right =
      scale_.asDiagonal() *
      (coordinates_.angles.transpose() * (torques + mass_.cwiseProduct(turned)) +
       coordinates_.elongations.transpose() * stiffness_.cwiseProduct(beyond));
  ComplexVector y = factors_.solve(right);
  const ComplexVector left = right - matrix_ * y;
  y += factors_.solve(left);
  y = (scale_.asDiagonal() * y).eval();
  const ComplexVector angles = turned + coordinates_.angles * y;
  const ComplexVector moments = stiffness_.cwiseProduct(coordinates_.elongations * y - beyond);
  if (!angles.allFinite() || !moments.allFinite()) {
    throw ComputationError("the response at " + number_text(omega_) +
                           " rad/s is beyond all numbers");
  }
  return {{angles.begin(), angles.end()}, {moments.begin(), moments.end()}};
}

Complex displacement(const Excitation& excitation, std::size_t element) {
  return excitation.displacements.empty() ? Complex{} : excitation.displacements[element];
}

// x - e, from the torque: the angles would lose it in a difference.
Complex strained_by(const Response& response, std::size_t element, Complex stiffness) {
  return stiffness == Complex{} ? Complex{} : response.torques[element] / stiffness;
}

}  // namespace

Response response(const System& system, double omega, const Excitation& excitation) {
  check(system);
  check_omega(omega);
  check_excitation(system, excitation);
  const DynamicStiffness stiffness(system, omega);
  ComplexVector torques = zeros(system.inertias.size());
  for (std::size_t i = 0; i < excitation.torques.size(); ++i) {
    torques[static_cast<Index>(i)] = excitation.torques[i];
  }
  ComplexVector displacements = zeros(system.elements.size());
  for (std::size_t e = 0; e < excitation.displacements.size(); ++e) {
    displacements[static_cast<Index>(e)] = excitation.displacements[e];
  }
  return stiffness.answer(torques, displacements);
}

PowerBalance power(const System& system, double omega, const Excitation& excitation,
                   const Response& response) {
  check(system);
  check_omega(omega);
  check_excitation(system, excitation);
  check_response(system, response);
  // Of torque and speed i omega times an angle: half the real part of torque conj(speed).
  const auto flow = [omega](const Complex& torque, const Complex& angle) {
    return 0.5 * omega * (torque * std::conj(angle)).imag();
  };
  PowerBalance balance;
  for (std::size_t i = 0; i < excitation.torques.size(); ++i) {
    balance.in += flow(excitation.torques[i], response.angles[i]);
  }
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Complex stiffness = dynamic_stiffness(system.elements[e].law, omega);
    balance.in -= flow(response.torques[e], displacement(excitation, e));
    balance.dissipated +=
        0.5 * omega * stiffness.imag() * std::norm(strained_by(response, e, stiffness));
  }
  return balance;
}

Response response_by_stiffness(const System& system, double omega, const Excitation& excitation,
                               const Response& at, std::size_t element) {
  check(system);
  check_omega(omega);
  check_excitation(system, excitation);
  check_response(system, at);
  require(element < system.elements.size(), "element", "it must be one of the system",
          static_cast<double>(element));
  const DynamicStiffness stiffness(system, omega);
  const Complex whole = stiffness.stiffness(element);
  const Complex change = whole - Complex{0.0, omega * system.elements[element].law.damping};
  ComplexVector displacements = zeros(system.elements.size());
  if (whole != Complex{}) {
    // A torque within the element that it adds by itself, as the displacement that would.
    displacements[static_cast<Index>(element)] = -change / whole * strained_by(at, element, whole);
  }
  return stiffness.answer(zeros(system.inertias.size()), displacements);
}

Response response_by_inertia(const System& system, double omega, const Excitation& excitation,
                             const Response& at, std::size_t inertia) {
  check(system);
  check_omega(omega);
  check_excitation(system, excitation);
  check_response(system, at);
  require(inertia < system.inertias.size(), "inertia", "it must be one of the system",
          static_cast<double>(inertia));
  const DynamicStiffness stiffness(system, omega);
  ComplexVector torques = zeros(system.inertias.size());
  torques[static_cast<Index>(inertia)] =
      omega * omega * system.inertias[inertia] * at.angles[inertia];
  return stiffness.answer(torques, zeros(system.elements.size()));
}

}  // namespace lashband::torsion::kernel
