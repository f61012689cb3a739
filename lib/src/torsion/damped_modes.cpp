#include <algorithm>
#include <cmath>
#include <utility>

#include "torsion/checks.hpp"
#include "torsion/modes.hpp"
#include "torsion/spectrum_at.hpp"
#include "torsion/state_space.hpp"

namespace lashband::torsion::kernel {
namespace {

using Complex = std::complex<double>;

bool any_element(const System& system, bool (*has)(const Law&)) {
  return std::any_of(system.elements.begin(), system.elements.end(),
                     [has](const Element& element) { return has(element.law); });
}

bool loses(const Law& law) {
  return law.loss_factor > 0.0 && law.stiffness > 0.0;
}

bool relaxes(const Law& law) {
  return law.damping > 0.0 || !law.branches.empty();
}

DampedMode mode_of(const Complex& lambda, const Eigen::VectorXcd& angles) {
  DampedMode mode;
  mode.lambda = lambda;
  mode.natural_omega = std::abs(lambda);
  mode.damping_ratio = -lambda.real() / mode.natural_omega;
  Eigen::Index greatest = 0;
  angles.cwiseAbs().maxCoeff(&greatest);
  const Eigen::VectorXcd shape = angles / angles[greatest];
  mode.shape.assign(shape.begin(), shape.end());
  mode.shape[static_cast<std::size_t>(greatest)] = 1.0;
  return mode;
}

std::vector<DampedMode> undamped(const System& system) {
  std::vector<DampedMode> result;
  for (const Mode& mode : modes(system)) {
    if (mode.omega > 0.0) {
      const auto size = static_cast<Eigen::Index>(mode.shape.size());
      result.push_back(
          mode_of({0.0, mode.omega},
                  Eigen::Map<const Eigen::VectorXd>(mode.shape.data(), size).cast<Complex>()));
    }
  }
  return result;
}

}  // namespace

std::vector<DampedMode> damped_modes(const System& system) {
  check(system);
  const bool losses = any_element(system, loses);
  const bool relaxation = any_element(system, relaxes);
  if (!losses && !relaxation) {
    return undamped(system);
  }
  const Frame frame = frame_of(system);
  const StateSpace space(system, frame);
  std::vector<StateSpace::Pair> pairs = space.pairs(false);
  if (losses && relaxation) {
    // A loss factor brings eigenvalues off the real axis that creep and do not swing: of those
    // that do there are as many as without it, and they are the least damped.
    const std::size_t swinging = space.pairs(true).size();
    std::stable_sort(pairs.begin(), pairs.end(), [](const auto& a, const auto& b) {
      return -a.lambda.real() / std::abs(a.lambda) < -b.lambda.real() / std::abs(b.lambda);
    });
    pairs.resize(std::min(swinging, pairs.size()));
  }
  std::vector<DampedMode> result;
  result.reserve(pairs.size());
  for (const StateSpace::Pair& pair : pairs) {
    const StateSpace::Pair refined = space.refined(pair);
    result.push_back(mode_of(refined.lambda, space.angles(refined)));
  }
  std::stable_sort(result.begin(), result.end(), [](const DampedMode& a, const DampedMode& b) {
    return a.natural_omega < b.natural_omega;
  });
  return result;
}

}  // namespace lashband::torsion::kernel
