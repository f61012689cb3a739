#include "torsion/mean_flow.hpp"

#include <Eigen/Cholesky>
#include <cmath>

#include "lashband/error.hpp"
#include "torsion/checks.hpp"
#include "torsion/coordinates.hpp"
#include "torsion/kinematics.hpp"

namespace lashband::torsion::kernel {
namespace {

using Index = Eigen::Index;
using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

// How well torques on a part that turns freely must balance, relative to their magnitudes.
constexpr double balance_slack = 1e-9;

// What an inertia of each free part takes up: the balancing one all that is left, others the
// rounding.
struct Balance {
  std::vector<double> torques{};  // with it
  double taken = 0.0;
};

void check_balanced(double sum, double magnitudes, std::size_t inertia) {
  if (!(std::fabs(sum) <= balance_slack * magnitudes)) {
    throw ComputationError("the part of inertia " + std::to_string(inertia) +
                           " turns freely, and the mean torques on it leave " + number_text(sum) +
                           " N m, referred to the fastest inertia of it, that nothing takes up");
  }
}

Balance balanced(const Parts& parts, const std::vector<double>& torques, std::size_t balancing) {
  Balance result{torques, 0.0};
  for (std::size_t part = 0; part < parts.held.size(); ++part) {
    if (parts.held[part]) {
      continue;
    }
    long double sum = 0.0L;
    long double magnitudes = 0.0L;
    // The fastest, through which the remainder is the least torque.
    std::size_t taking = torques.size();
    std::size_t first = torques.size();
    for (std::size_t i = 0; i < torques.size(); ++i) {
      if (parts.of[i] != part) {
        continue;
      }
      const long double term = wide(parts.ratio[i]) * wide(torques[i]);
      sum += term;
      magnitudes += std::fabs(term);
      first = first == torques.size() ? i : first;
      if (taking == torques.size() || std::fabs(parts.ratio[i]) > std::fabs(parts.ratio[taking])) {
        taking = i;
      }
    }
    if (parts.of[balancing] == part) {
      taking = balancing;
      result.taken = static_cast<double>(-sum / wide(parts.ratio[balancing]));
    } else {
      check_balanced(static_cast<double>(sum), static_cast<double>(magnitudes), first);
    }
    result.torques[taking] += static_cast<double>(-sum / wide(parts.ratio[taking]));
  }
  return result;
}

std::vector<bool> springs(const System& system) {
  std::vector<bool> result;
  result.reserve(system.elements.size());
  for (const Element& element : system.elements) {
    result.push_back(element.law.stiffness > 0.0);
  }
  return result;
}

// The torques that strain each coordinate. Each that is the elongation of an element is scaled by
// the root of its stiffness k, so that a tree gives the unit matrix, whatever its stiffnesses.
struct Solution {
  Vector coordinates{};
  Vector moments{};
};

Solution solved(const Coordinates& frame, const std::vector<double>& weight,
                const std::vector<double>& torques) {
  const auto m = static_cast<Index>(weight.size());
  const Index n = frame.angles.cols();
  const Vector k = Eigen::Map<const Vector>(weight.data(), m);
  const Vector root = k.cwiseSqrt();
  const Matrix strains = root.asDiagonal() * frame.elongations;
  // Columns that strain nothing are the turning of free parts: no torque is left for them.
  Vector scale(n);
  for (Index j = 0; j < n; ++j) {
    const double length = strains.col(j).norm();
    scale[j] = length > 0.0 ? 1.0 / length : 0.0;
  }
  const Matrix scaled = strains * scale.asDiagonal();
  Matrix stiffness = scaled.transpose() * scaled;
  for (Index j = 0; j < n; ++j) {
    if (scale[j] == 0.0) {
      stiffness(j, j) = 1.0;
    }
  }
  const Vector force = Eigen::Map<const Vector>(torques.data(), n);
  const Vector right = scale.asDiagonal() * (frame.angles.transpose() * force);
  const Eigen::LLT<Matrix> factors(stiffness);
  Vector y = factors.solve(right);
  y += factors.solve(right - stiffness * y);
  return {scale.asDiagonal() * y, root.asDiagonal() * (scaled * y)};
}

}  // namespace

MeanFlow mean_flow(const System& system, const std::vector<double>& torques,
                   std::size_t balancing) {
  check(system);
  const std::size_t n = system.inertias.size();
  check_list("mean torque", torques, n);
  require(balancing < n, "balancing inertia", "it must be one of the system",
          static_cast<double>(balancing));
  const Parts together = parts(system, springs(system));
  const Balance balance = balanced(together, torques, balancing);
  std::vector<double> weight;
  weight.reserve(system.elements.size());
  for (const Element& element : system.elements) {
    weight.push_back(element.law.stiffness);
  }
  const Coordinates frame = coordinates(system, weight, std::vector<double>(n, 0.0));
  const Solution solution = solved(frame, weight, balance.torques);
  if (!solution.moments.allFinite() || !solution.coordinates.allFinite()) {
    throw ComputationError("the mean torques are beyond all numbers");
  }
  Vector angles = frame.angles * solution.coordinates;
  // From each free part its turning is taken off, so that the balancing inertia, or the first of
  // another part, stands at 0.
  for (std::size_t part = 0; part < together.held.size(); ++part) {
    if (together.held[part]) {
      continue;
    }
    std::size_t still = n;
    for (std::size_t i = n; i-- > 0;) {
      still = together.of[i] == part ? i : still;
    }
    still = together.of[balancing] == part ? balancing : still;
    const double turned = angles[static_cast<Index>(still)] / together.ratio[still];
    for (std::size_t i = 0; i < n; ++i) {
      if (together.of[i] == part) {
        angles[static_cast<Index>(i)] -= turned * together.ratio[i];
      }
    }
    angles[static_cast<Index>(still)] = 0.0;
  }
  MeanFlow flow;
  flow.torques.assign(solution.moments.begin(), solution.moments.end());
  flow.angles.assign(angles.begin(), angles.end());
  flow.balance = balance.taken;
  return flow;
}

}  // namespace lashband::torsion::kernel
