#include "torsion/modes.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "lashband/error.hpp"
#include "torsion/branch_modes.hpp"
#include "torsion/checks.hpp"
#include "torsion/spectrum_at.hpp"
#include "torsion/storage_stiffness.hpp"

namespace lashband::torsion::kernel {
namespace {

using Vector = Eigen::VectorXd;

// Nearer than this, relative, modes have no derivative of their own.
constexpr double equal_omegas = 1e-7;

void divide_by_sum(std::vector<double>& shares) {
  double sum = 0.0;
  for (const double share : shares) {
    sum += share;
  }
  for (double& share : shares) {
    share /= sum;
  }
}

// `stiffness_at`: where the stiffnesses are taken; a free motion strains nothing.
Mode mode_of(const System& system, double omega, const Vector& angles, bool free,
             double stiffness_at) {
  Mode mode;
  mode.omega = omega;
  mode.shape.assign(angles.begin(), angles.end());
  const auto greatest =
      std::max_element(mode.shape.begin(), mode.shape.end(),
                       [](double a, double b) { return std::fabs(a) < std::fabs(b); });
  if (*greatest < 0.0) {
    for (double& angle : mode.shape) {
      angle = -angle;
    }
  }
  mode.kinetic.reserve(mode.shape.size());
  for (std::size_t i = 0; i < mode.shape.size(); ++i) {
    mode.kinetic.push_back(system.inertias[i] * mode.shape[i] * mode.shape[i]);
  }
  divide_by_sum(mode.kinetic);
  if (free) {
    return mode;
  }
  const std::vector<double> strain = elongations(system, mode.shape);
  mode.strain.reserve(strain.size());
  for (std::size_t e = 0; e < strain.size(); ++e) {
    mode.strain.push_back(storage_stiffness(system.elements[e].law, stiffness_at) * strain[e] *
                          strain[e]);
  }
  divide_by_sum(mode.strain);
  return mode;
}

}  // namespace

std::vector<Mode> modes(const System& system) {
  check(system);
  const Frame frame = frame_of(system);
  std::vector<Mode> result;
  result.reserve(frame.massive.size());
  for (Eigen::Index i = 0; i < frame.free.cols(); ++i) {
    result.push_back(mode_of(system, 0.0, frame.free.col(i), true, 0.0));
  }
  const bool branches =
      std::any_of(system.elements.begin(), system.elements.end(),
                  [](const Element& element) { return !element.law.branches.empty(); });
  if (branches) {
    for (const BranchMode& mode : branch_modes(system, frame)) {
      result.push_back(mode_of(system, mode.omega, mode.angles, false, mode.stiffness_at));
    }
    return result;
  }
  std::vector<double> stiffness;
  stiffness.reserve(system.elements.size());
  for (const Element& element : system.elements) {
    stiffness.push_back(element.law.stiffness);
  }
  const Spectrum spectrum = spectrum_at(system, frame, stiffness);
  for (Eigen::Index i = 0; i < spectrum.omega.size(); ++i) {
    result.push_back(mode_of(system, spectrum.omega[i], spectrum.angles.col(i), false, 0.0));
  }
  return result;
}

ModeSensitivity sensitivity(const System& system, const std::vector<Mode>& modes,
                            std::size_t mode) {
  check(system);
  require(mode < modes.size(), "mode", "it must be one of the list", static_cast<double>(mode));
  const Mode& at = modes[mode];
  require(at.omega > 0.0, "mode", "its omega must be above 0 rad/s", at.omega, " rad/s");
  check_list("strain of the mode", at.strain, system.elements.size());
  check_list("kinetic share of the mode", at.kinetic, system.inertias.size());
  for (std::size_t i = 0; i < modes.size(); ++i) {
    if (i != mode && std::fabs(modes[i].omega - at.omega) <= equal_omegas * at.omega) {
      throw ComputationError("mode " + std::to_string(mode) + " at " + number_text(at.omega) +
                             " rad/s has mode " + std::to_string(i) +
                             " beside it, and no derivative of its own");
    }
  }
  // 2 omega^2 d omega / omega = sum dk x^2 - omega^2 sum dJ theta^2, of which dk has the part that
  // d omega itself brings about.
  double follows = 0.0;
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Law& law = system.elements[e].law;
    if (!law.branches.empty()) {
      follows +=
          at.strain[e] * storage_stiffness_growth(law, at.omega) / storage_stiffness(law, at.omega);
    }
  }
  const double factor = at.omega / (2.0 - follows);
  ModeSensitivity result;
  result.by_stiffness.reserve(at.strain.size());
  for (const double share : at.strain) {
    result.by_stiffness.push_back(factor * share);
  }
  result.by_inertia.reserve(at.kinetic.size());
  for (const double share : at.kinetic) {
    result.by_inertia.push_back(-factor * share);
  }
  return result;
}

}  // namespace lashband::torsion::kernel
