#include "torsion/system.hpp"

#include <cmath>

#include "torsion/checks.hpp"
#include "torsion/kinematics.hpp"

namespace lashband::torsion::kernel {
namespace {

// i w / (1 + i w), without overflow of w^2.
std::complex<double> relaxation(double w) {
  if (w < 1.0) {
    const double below = 1.0 + w * w;
    return {w * w / below, w / below};
  }
  const double q = 1.0 / w;
  const double below = 1.0 + q * q;
  return {1.0 / below, q / below};
}

template <class Number>
std::vector<Number> strained(const System& system, const std::vector<Number>& theta) {
  check(system);
  check_list("angle", theta, system.inertias.size());
  std::vector<Number> result;
  result.reserve(system.elements.size());
  for (const Element& element : system.elements) {
    Number x = element.arm_1 * theta[element.first];
    if (element.second) {
      x += element.arm_2 * theta[*element.second];
    }
    result.push_back(x);
  }
  return result;
}

}  // namespace

std::complex<double> dynamic_stiffness(const Law& law, double omega) {
  check(law, "law");
  check_omega(omega);
  std::complex<double> sum{law.stiffness, law.stiffness * law.loss_factor + omega * law.damping};
  for (const MaxwellBranch& branch : law.branches) {
    sum += branch.stiffness * relaxation(omega * branch.relaxation_time);
  }
  return sum;
}

std::vector<double> elongations(const System& system, const std::vector<double>& theta) {
  return strained(system, theta);
}

std::vector<std::complex<double>> elongations(const System& system,
                                              const std::vector<std::complex<double>>& theta) {
  return strained(system, theta);
}

std::vector<std::vector<double>> free_motions(const System& system) {
  check(system);
  std::vector<std::vector<double>> result = turnings(parts(system, holding(system)));
  for (std::vector<double>& turning : result) {
    double squares = 0.0;
    for (const double ratio : turning) {
      squares += ratio * ratio;
    }
    const double length = std::sqrt(squares);
    for (double& ratio : turning) {
      ratio /= length;
    }
  }
  return result;
}

}  // namespace lashband::torsion::kernel
