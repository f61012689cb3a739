#include "torsion/torque_gradient.hpp"

#include "torsion/checks.hpp"

namespace lashband::torsion::kernel {
namespace {

using Complex = std::complex<double>;

void check_element(const System& system, std::size_t element) {
  check(system);
  require(element < system.elements.size(), "element", "it must be one of the system",
          static_cast<double>(element));
}

// The part of k* that d/d ln k scales.
Complex elastic_part(const Law& law, double omega) {
  Law undamped = law;
  undamped.damping = 0.0;
  return dynamic_stiffness(undamped, omega);
}

// d ln k* / d ln k times what the element is strained by, from its torque: the angles would lose it
// in a difference.
Complex scaled_strain(const Law& law, double omega, Complex torque) {
  const Complex whole = dynamic_stiffness(law, omega);
  return whole == Complex{} ? Complex{} : elastic_part(law, omega) / whole * (torque / whole);
}

}  // namespace

TorqueGradient torque_gradient(const System& system, double omega, const Response& at,
                               std::size_t element) {
  check_element(system, element);
  check_list("angle of the response", at.angles, system.inertias.size());
  check_list("torque of the response", at.torques, system.elements.size());
  // By the element's own displacement of 1: k* D^-1 b, and in its own torque what is left of
  // 1 - k* b^T D^-1 b.
  Excitation own;
  own.displacements.assign(system.elements.size(), 0.0);
  own.displacements[element] = 1.0;
  const Response seen = response(system, omega, own);
  TorqueGradient gradient;
  gradient.by_stiffness.reserve(system.elements.size());
  for (std::size_t j = 0; j < system.elements.size(); ++j) {
    gradient.by_stiffness.push_back(-seen.torques[j] *
                                    scaled_strain(system.elements[j].law, omega, at.torques[j]));
  }
  gradient.by_inertia.reserve(system.inertias.size());
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    gradient.by_inertia.push_back(omega * omega * system.inertias[i] * seen.angles[i] *
                                  at.angles[i]);
  }
  return gradient;
}

ElementSeen element_seen(const System& system, double omega, const Response& at,
                         std::size_t element) {
  check_element(system, element);
  check_list("angle of the response", at.angles, system.inertias.size());
  check_list("torque of the response", at.torques, system.elements.size());
  const Element& one = system.elements[element];
  Excitation arms;
  arms.torques.assign(system.inertias.size(), 0.0);
  arms.torques[one.first] = one.arm_1;
  if (one.second) {
    arms.torques[*one.second] = one.arm_2;
  }
  const Response unit = response(system, omega, arms);
  const Complex stiffness = dynamic_stiffness(one.law, omega);
  if (stiffness == Complex{}) {
    return {elongations(system, at.angles)[element], stiffness,
            elongations(system, unit.angles)[element]};
  }
  return {at.torques[element] / stiffness, stiffness, unit.torques[element] / stiffness};
}

}  // namespace lashband::torsion::kernel
