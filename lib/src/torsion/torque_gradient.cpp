#include "torsion/torque_gradient.hpp"

namespace lashband::torsion::kernel {
namespace {

using std::complex;

// The angles that the arms of an element, taken as torques, make.
Response answer_to_arms(const System& system, double omega, const Element& element) {
  Excitation arms;
  arms.torques.assign(system.inertias.size(), 0.0);
  arms.torques[element.first] = element.arm_1;
  if (element.second) {
    arms.torques[*element.second] += element.arm_2;
  }
  return response(system, omega, arms);
}

// d k* / d ln k.
complex<double> elastic_part(const Law& law, double omega) {
  Law undamped = law;
  undamped.damping = 0.0;
  return dynamic_stiffness(undamped, omega);
}

}  // namespace

TorqueGradient torque_gradient(const System& system, double omega, const Excitation& excitation,
                               const Response& at, std::size_t element) {
  const Response u = answer_to_arms(system, omega, system.elements[element]);
  const std::vector<complex<double>> x = elongations(system, at.angles);
  const std::vector<complex<double>> arms_seen = elongations(system, u.angles);
  const complex<double> own = dynamic_stiffness(system.elements[element].law, omega);
  TorqueGradient gradient;
  gradient.by_stiffness.reserve(system.elements.size());
  for (std::size_t j = 0; j < system.elements.size(); ++j) {
    const complex<double> given =
        excitation.displacements.empty() ? complex<double>() : excitation.displacements[j];
    const complex<double> strained = elastic_part(system.elements[j].law, omega) * (x[j] - given);
    gradient.by_stiffness.push_back((j == element ? strained : 0.0) -
                                    own * arms_seen[j] * strained);
  }
  gradient.by_inertia.reserve(system.inertias.size());
  for (std::size_t i = 0; i < system.inertias.size(); ++i) {
    gradient.by_inertia.push_back(own * omega * omega * system.inertias[i] * u.angles[i] *
                                  at.angles[i]);
  }
  return gradient;
}

ElementSeen element_seen(const System& system, double omega, const Response& at,
                         std::size_t element) {
  const Response u = answer_to_arms(system, omega, system.elements[element]);
  return {elongations(system, at.angles)[element],
          dynamic_stiffness(system.elements[element].law, omega),
          elongations(system, u.angles)[element]};
}

}  // namespace lashband::torsion::kernel
