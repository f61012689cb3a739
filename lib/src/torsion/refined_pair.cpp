#include <Eigen/LU>
#include <cmath>

#include "torsion/state_space.hpp"

namespace lashband::torsion::kernel {

using Complex = StateSpace::Complex;

Complex StateSpace::stiffness(Index element, Complex lambda) const {
  const Law& law = system_.elements[static_cast<std::size_t>(element)].law;
  Complex sum = Complex{law.stiffness, loss_[element]} + lambda * law.damping;
  for (const MaxwellBranch& branch : law.branches) {
    const Complex x = lambda * branch.relaxation_time;
    sum += branch.stiffness * (x / (1.0 + x));
  }
  return sum;
}

// Its derivative by lambda.
Complex StateSpace::stiffness_slope(Index element, Complex lambda) const {
  const Law& law = system_.elements[static_cast<std::size_t>(element)].law;
  Complex sum = law.damping;
  for (const MaxwellBranch& branch : law.branches) {
    const Complex below = 1.0 + lambda * branch.relaxation_time;
    sum += branch.stiffness * (branch.relaxation_time / (below * below));
  }
  return sum;
}

// A root of the quotient t^T T(lambda) t, without conjugates: T is symmetric, not Hermitian.
Complex StateSpace::quotient_root(const Pair& pair) const {
  constexpr int steps = 4;
  const ComplexVector strain = strain_ * pair.coordinates;
  const Complex inertia = pair.coordinates.head(moving_.cols()).array().square().sum();
  Complex lambda = pair.lambda;
  for (int step = 0; step < steps; ++step) {
    Complex value = lambda * lambda * inertia;
    Complex slope = 2.0 * lambda * inertia;
    for (Index e = 0; e < strain.size(); ++e) {
      value += stiffness(e, lambda) * strain[e] * strain[e];
      slope += stiffness_slope(e, lambda) * strain[e] * strain[e];
    }
    lambda -= value / slope;
  }
  // A mode beside another of the same lambda may have a slope of 0: what the solver found stands.
  constexpr double trusted = 1e-4;
  return std::abs(lambda - pair.lambda) <= trusted * std::abs(pair.lambda) ? lambda : pair.lambda;
}

// A step of inverse iteration, T(lambda) t' = T'(lambda) t, each coordinate scaled.
Eigen::VectorXcd StateSpace::turned_in(const Pair& pair) const {
  const Index n = strain_.cols();
  const Index m = strain_.rows();
  const Index moving = moving_.cols();
  const double square = std::norm(pair.lambda);
  const ComplexVector strained = strain_ * pair.coordinates;
  Vector real(m);
  Vector imaginary(m);
  Vector magnitude(m);
  ComplexVector bent(m);
  for (Index e = 0; e < m; ++e) {
    const Complex k = stiffness(e, pair.lambda);
    real[e] = k.real();
    imaginary[e] = k.imag();
    magnitude[e] = std::abs(k);
    bent[e] = stiffness_slope(e, pair.lambda) * strained[e];
  }
  Vector scale = strain_.cwiseAbs2().transpose() * magnitude;
  scale.head(moving).array() += square;
  scale = scale.cwiseSqrt().cwiseInverse().eval();
  const Matrix scaled = strain_ * scale.asDiagonal();
  const Matrix across = scaled.transpose();
  const Matrix by_real = real.asDiagonal() * scaled;
  const Matrix by_imaginary = imaginary.asDiagonal() * scaled;
  ComplexMatrix T(n, n);
  T.real() = across * by_real;
  T.imag() = across * by_imaginary;
  ComplexVector right = across * bent;
  for (Index i = 0; i < moving; ++i) {
    T(i, i) += pair.lambda * pair.lambda * (scale[i] * scale[i]);
    right[i] += 2.0 * pair.lambda * (scale[i] * pair.coordinates[i]);
  }
  ComplexVector turned = Eigen::PartialPivLU<ComplexMatrix>(T).solve(right);
  turned.array() *= scale.array();
  const double length = turned.norm();
  // An exact lambda makes T singular to the last digit.
  return std::isfinite(length) && length > 0.0 ? ComplexVector(turned / length) : pair.coordinates;
}

StateSpace::Pair StateSpace::refined(Pair pair) const {
  // The solver's errors are a rounding of the fastest mode.
  constexpr double far_apart = 1e3;
  pair.lambda = quotient_root(pair);
  if (omega_.size() > 0 && omega_[omega_.size() - 1] > far_apart * omega_[0]) {
    pair.coordinates = turned_in(pair);
    pair.lambda = quotient_root(pair);
  }
  return pair;
}

Eigen::VectorXcd StateSpace::angles(const Pair& pair) const {
  const auto& t = pair.coordinates;
  return moving_.cast<Complex>() * t.head(moving_.cols()) +
         damped_.cast<Complex>() * t.segment(moving_.cols(), damped_.cols()) +
         following_.cast<Complex>() * t.tail(following_.cols());
}

}  // namespace lashband::torsion::kernel
