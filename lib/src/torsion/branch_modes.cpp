#include "torsion/branch_modes.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <utility>

#include "lashband/error.hpp"
#include "torsion/kinematics.hpp"
#include "torsion/storage_stiffness.hpp"

namespace lashband::torsion::kernel {
namespace {

using Index = Eigen::Index;
using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;

constexpr double settled = 1e-13;     // relative change of omega
constexpr double told_apart = 1e-9;   // relative distance of modes found by the short way
constexpr int most_steps = 200;       // bisection alone needs about 60
constexpr int most_corrections = 40;  // of the short way, which then is none
constexpr double far_below = 1e-9;    // of relaxation rates: branches act as dampers there

std::vector<double> stiffnesses(const System& system, double omega) {
  std::vector<double> result;
  result.reserve(system.elements.size());
  for (const Element& element : system.elements) {
    result.push_back(storage_stiffness(element.law, omega));
  }
  return result;
}

// A spectrum with the stiffnesses of one frequency.
struct Frozen {
  double at = 0.0;
  Spectrum spectrum{};
  Matrix strains{};  // of elements with branches, by mode
};

class Search {
 public:
  Search(const System& system, const Frame& frame);
  [[nodiscard]] std::vector<BranchMode> found();

 private:
  [[nodiscard]] Frozen frozen(double omega) const;
  [[nodiscard]] Vector growth(double from, double to) const;
  [[nodiscard]] double own_omega(double squares, const Vector& strain, double at, double low,
                                 double high) const;
  [[nodiscard]] Index sluggish_at_most() const;
  [[nodiscard]] std::optional<BranchMode> nearby(Index mode) const;
  [[nodiscard]] BranchMode bracketed(Index mode);
  void number(std::vector<BranchMode>& modes, std::size_t first);

  const System& system_;
  const Frame& frame_;
  std::vector<std::size_t> with_branches_{};
  bool short_way_ = true;
  Vector most_{};       // omegas with all branches stiff
  double least_ = 0.0;  // below every mode that swings
  Frozen last_{};
};

Search::Search(const System& system, const Frame& frame) : system_(system), frame_(frame) {
  double slowest = 0.0;
  std::vector<double> sudden;
  for (std::size_t e = 0; e < system.elements.size(); ++e) {
    const Element& element = system.elements[e];
    sudden.push_back(sudden_stiffness(element.law));
    if (element.law.branches.empty()) {
      continue;
    }
    with_branches_.push_back(e);
    for (const MaxwellBranch& branch : element.law.branches) {
      slowest = std::max(slowest, branch.relaxation_time);
    }
    // The angle of an inertia of 0 follows the stiffnesses at the frequency itself.
    const auto massless = [&system](std::size_t i) { return !(system.inertias[i] > 0.0); };
    if (massless(element.first) || (element.second && massless(*element.second))) {
      short_way_ = false;
    }
  }
  most_ = spectrum_at(system, frame, sudden).omega;
  if (most_.size() > 0) {
    least_ = far_below * std::min(1.0 / slowest, most_[0]);
  }
}

Frozen Search::frozen(double omega) const {
  Frozen result{omega, spectrum_at(system_, frame_, stiffnesses(system_, omega)), {}};
  const Matrix all = strains(system_, result.spectrum.angles);
  const std::vector<Index> rows(with_branches_.begin(), with_branches_.end());
  result.strains = all(rows, Eigen::all);
  return result;
}

// Of the stiffness of elements with branches, from one frequency to another.
Vector Search::growth(double from, double to) const {
  Vector result(static_cast<Index>(with_branches_.size()));
  for (std::size_t i = 0; i < with_branches_.size(); ++i) {
    const Law& law = system_.elements[with_branches_[i]].law;
    result[static_cast<Index>(i)] = storage_stiffness(law, to) - storage_stiffness(law, from);
  }
  return result;
}

// The omega of a shape: omega^2 = squares + sum of the growth of k since `at` times strain^2. In
// logarithms the right side rises with a slope of 1 at most, that of omega^2 being 1: Newton's
// steps, halving the bracket where they leave it.
double Search::own_omega(double squares, const Vector& strain, double at, double low,
                         double high) const {
  double omega = std::clamp(std::sqrt(squares), low, high);
  for (int step = 0; step < most_steps; ++step) {
    const double energy = squares + growth(at, omega).dot(strain.cwiseAbs2());
    (energy > omega * omega ? low : high) = omega;
    double slope = 0.0;
    for (std::size_t i = 0; i < with_branches_.size(); ++i) {
      slope += storage_stiffness_growth(system_.elements[with_branches_[i]].law, omega) *
               std::norm(strain[static_cast<Index>(i)]);
    }
    double next = omega + (energy - omega * omega) / (2.0 * omega - slope / omega);
    if (!(next > low && next < high)) {
      next = std::sqrt(low) * std::sqrt(high);
    }
    if (std::fabs(next - omega) <= 4.0 * std::numeric_limits<double>::epsilon() * omega) {
      return next;
    }
    omega = next;
  }
  return omega;
}

// How many modes branches alone hold.
Index Search::sluggish_at_most() const {
  std::vector<bool> springs;
  springs.reserve(system_.elements.size());
  for (const Element& element : system_.elements) {
    springs.push_back(element.law.stiffness > 0.0);
  }
  const Parts together = parts(system_, springs);
  return std::count(together.held.begin(), together.held.end(), false) - frame_.free.cols();
}

// From the modes of a near frequency: with them as coordinates all but the growth of the branches
// is diagonal, and a few corrections of the shape settle it. Nothing where they do not.
std::optional<BranchMode> Search::nearby(Index mode) const {
  if (!short_way_ || last_.at == 0.0) {
    return std::nullopt;
  }
  const Vector mu = last_.spectrum.omega.cwiseAbs2();
  const double above_all = 2.0 * most_[most_.size() - 1];
  Vector shape = Vector::Unit(mu.size(), mode);
  double omega = last_.spectrum.omega[mode];
  double before = std::numeric_limits<double>::infinity();
  for (int step = 0; step < most_corrections; ++step) {
    const Vector strain = last_.strains * shape;
    const double length = shape.norm();
    const double next = own_omega(mu.dot(shape.cwiseAbs2()) / (length * length), strain / length,
                                  last_.at, least_, above_all);
    const Vector force = last_.strains.transpose() * growth(last_.at, next).cwiseProduct(strain);
    Vector corrected = -force.cwiseQuotient((mu.array() - next * next).matrix());
    corrected[mode] = 1.0;
    const double change = (corrected - shape).cwiseAbs().maxCoeff();
    if (!(change < before) || !(corrected.norm() < 1.2) || !(next > 2.0 * least_)) {
      return std::nullopt;
    }
    const bool still = std::fabs(next - omega) <= settled * next;
    shape = corrected;
    omega = next;
    before = change;
    if (still && change <= settled) {
      const Vector angles = last_.spectrum.angles * shape;
      return BranchMode{omega, omega, angles / shape.norm()};
    }
  }
  return std::nullopt;
}

// One spectrum a step. Whether its omega is above its frequency says on which side the mode lies.
BranchMode Search::bracketed(Index mode) {
  double low = least_;
  double high = most_[mode] * (1.0 + 1e-9);
  const double above_all = 2.0 * most_[most_.size() - 1];
  double omega = most_[mode];
  for (int step = 0; step < most_steps; ++step) {
    last_ = frozen(omega);
    const double mu = last_.spectrum.omega[mode];
    (mu > omega ? low : high) = omega;
    double next = own_omega(mu * mu, last_.strains.col(mode), omega, least_, above_all);
    const bool still = std::fabs(next - omega) <= settled * omega;
    if (still || high - low <= 4.0 * std::numeric_limits<double>::epsilon() * high) {
      return {next, next, last_.spectrum.angles.col(mode)};
    }
    if (!(next > low && next < high) || step % 16 == 15) {
      next = std::sqrt(low) * std::sqrt(high);
    }
    omega = next;
  }
  throw ComputationError("mode " + std::to_string(mode) +
                         " of the torsional system does not settle at a frequency");
}

std::vector<BranchMode> Search::found() {
  std::vector<BranchMode> result;
  const Index count = most_.size();
  const Index sluggish = std::min(count, sluggish_at_most());
  Index mode = 0;
  if (sluggish > 0) {
    const Frozen slow = frozen(least_);
    while (mode < sluggish && slow.spectrum.omega[mode] <= least_) {
      result.push_back({0.0, least_, slow.spectrum.angles.col(mode)});
      ++mode;
    }
  }
  const std::size_t first = result.size();
  for (; mode < count; ++mode) {
    std::optional<BranchMode> near = nearby(mode);
    result.push_back(near ? *std::move(near) : bracketed(mode));
  }
  number(result, first);
  return result;
}

// So many different modes as there are at all are all of them, and in their order. Any two that may
// be the same are sought again, each by its number, and so are those that they turn out to repeat.
void Search::number(std::vector<BranchMode>& modes, std::size_t first) {
  std::stable_sort(modes.begin() + static_cast<std::ptrdiff_t>(first), modes.end(),
                   [](const BranchMode& a, const BranchMode& b) { return a.omega < b.omega; });
  std::vector<bool> certain(modes.size(), false);
  const auto make_certain = [&](std::size_t i) {
    if (!certain[i]) {
      modes[i] = bracketed(static_cast<Index>(i));
      certain[i] = true;
    }
  };
  bool changed = true;
  while (changed) {
    changed = false;
    for (std::size_t i = first + 1; i < modes.size(); ++i) {
      const bool apart = modes[i].omega > modes[i - 1].omega * (1.0 + told_apart);
      if (!apart && !(certain[i] && certain[i - 1])) {
        make_certain(i - 1);
        make_certain(i);
        changed = true;
      }
    }
  }
}

}  // namespace

std::vector<BranchMode> branch_modes(const System& system, const Frame& frame) {
  return Search(system, frame).found();
}

}  // namespace lashband::torsion::kernel
