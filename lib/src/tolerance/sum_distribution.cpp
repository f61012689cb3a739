#include "tolerance/sum_distribution.hpp"

#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <limits>
#include <numbers>
#include <sstream>
#include <string>
#include <utility>

#include "lashband/error.hpp"
#include "tolerance/part_distribution.hpp"

namespace lashband::tolerance::kernel {
namespace {

constexpr double weight_tolerance = 1e-9;
constexpr double least_probability = 1e-12;
constexpr double infinity = std::numeric_limits<double>::infinity();

std::string text(double value) {
  std::ostringstream out;
  out << value;
  return out.str();
}

Moments moments_of(const std::vector<PartDistribution>& parts) {
  Moments result;
  double weight = 0.0;
  for (const PartDistribution& part : parts) {
    weight += part.weight();
    result.mean += part.weight() * part.mean();
  }
  result.mean /= weight;
  double variance = 0.0;
  for (const PartDistribution& part : parts) {
    const double off = part.mean() - result.mean;
    variance += part.weight() / weight * (off * off + part.sigma() * part.sigma());
  }
  result.sigma = std::sqrt(variance);
  return result;
}

std::vector<PartDistribution> distributions_of(std::span<const Part> parts, Resolution resolution) {
  std::vector<PartDistribution> result;
  result.reserve(parts.size());
  for (const Part& part : parts) {
    result.emplace_back(part, resolution);
  }
  return result;
}

PartProbability sum_at(std::vector<PartDistribution>& parts, double x) {
  PartProbability sum;
  for (PartDistribution& part : parts) {
    const PartProbability one = part.probability(x);
    sum.below += one.below;
    sum.above += one.above;
    sum.density += one.density;
  }
  return sum;
}

/// A value of x between two others at which the sought probability lies between theirs.
class Bracket {
 public:
  /// The whole support; at its lower end a step may lie.
  explicit Bracket(const Support& range)
      : low_(std::nextafter(range.low, -infinity)), high_(range.high) {}

  /// `off` rises with x and is 0 at the place sought.
  void narrow(double x, double off) {
    if (off < 0.0) {
      low_ = x;
    } else {
      high_ = x;
    }
  }
  [[nodiscard]] bool holds(double x) const { return x > low_ && x < high_; }
  [[nodiscard]] bool closed() const { return std::isfinite(low_) && std::isfinite(high_); }
  [[nodiscard]] double width() const { return high_ - low_; }
  [[nodiscard]] double low() const { return low_; }
  [[nodiscard]] double high() const { return high_; }

 private:
  double low_;
  double high_;
};

}  // namespace

Distribution::Distribution(Distribution&&) noexcept = default;
Distribution& Distribution::operator=(Distribution&&) noexcept = default;
Distribution::~Distribution() = default;

Distribution::Distribution(std::vector<PartDistribution> parts) : parts_(std::move(parts)) {
  double weight = 0.0;
  for (const PartDistribution& part : parts_) {
    weight += part.weight();
  }
  if (!(std::abs(weight - 1.0) <= weight_tolerance)) {
    throw DomainError("the weights of all branches add up to " + text(weight) + ", but must to 1");
  }
}

Distribution::Distribution(std::span<const Part> parts, Resolution resolution)
    : Distribution(distributions_of(parts, resolution)) {}

Distribution Distribution::with_branches(std::vector<std::vector<Branch>> branches) const {
  if (branches.size() != parts_.size()) {
    throw DomainError("there are " + std::to_string(parts_.size()) + " parts, but branches for " +
                      std::to_string(branches.size()));
  }
  std::vector<PartDistribution> parts;
  parts.reserve(parts_.size());
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    parts.emplace_back(parts_[i], std::move(branches[i]));
  }
  return Distribution(std::move(parts));
}

Probability Distribution::probability(double x) {
  if (std::isnan(x)) {
    throw DomainError("the value whose probability is asked for is not a number");
  }
  const Support range = support();
  if (x < range.low) {
    return {0.0, 1.0};
  }
  if (x >= range.high) {
    return {1.0, 0.0};
  }
  Probability result;
  for (PartDistribution& part : parts_) {
    const PartProbability one = part.probability(x);
    result.below += one.below;
    result.above += one.above;
  }
  return result;
}

double Distribution::quantile(double p) {
  if (!(p >= least_probability && 1.0 - p >= least_probability * (1.0 - 1e-3))) {
    throw DomainError("the probability of a quantile is " + text(p) +
                      ", but must lie within 1e-12 to 1 - 1e-12");
  }
  const bool lower = p <= 0.5;
  const double sought = lower ? p : 1.0 - p;
  const Moments spread = moments();
  const Support range = support();
  double smallest = spread.sigma;
  for (const PartDistribution& part : parts_) {
    smallest = std::min(smallest, part.sigma());
  }
  // Newton's rule on the logarithm of the smaller probability, which is close to a parabola.
  double x = spread.mean - std::numbers::sqrt2 * boost::math::erfc_inv(2.0 * p) * spread.sigma;
  if (!(x > range.low && x < range.high)) {
    x = 0.5 * (spread.mean + (x < spread.mean ? range.low : range.high));
  }
  Bracket bracket(range);
  const double fine = 1e-12 * spread.sigma;
  const double newton_end = 1e-7 * smallest;  // the next step would be 1e-14 of it
  double reach = spread.sigma;
  double off_at_low = -infinity;
  double off_at_high = infinity;
  constexpr int most_steps = 400;
  for (int i = 0; i < most_steps; ++i) {
    const PartProbability sum = sum_at(parts_, x);
    const double found = lower ? sum.below : sum.above;
    const double off = (lower ? 1.0 : -1.0) * std::log(found / sought);
    if (off == 0.0) {
      return x;
    }
    bracket.narrow(x, off);
    (off < 0.0 ? off_at_low : off_at_high) = off;
    const double tolerance = 0.5 * fine + 1e-15 * std::abs(x);
    if (bracket.closed() && bracket.width() <= tolerance) {
      return bracket.high();
    }
    const double step = -off * found / sum.density;
    double next = x + step;
    if (std::isfinite(next) && bracket.holds(next) && std::abs(step) < 4.0 * reach &&
        (i < 20 || i % 2 == 0)) {
      if (std::abs(step) <= newton_end) {
        return next;
      }
    } else if (!bracket.closed()) {
      // Away from a first guess that lies in no bracket, ever faster.
      next = std::clamp(x + (off < 0.0 ? reach : -reach), range.low, range.high);
      if (next == x) {
        return x;
      }
      reach *= 2.0;
    } else {
      const double secant =
          (bracket.low() * off_at_high - bracket.high() * off_at_low) / (off_at_high - off_at_low);
      next = i % 3 != 0 && std::isfinite(secant) && bracket.holds(secant)
                 ? secant
                 : bracket.low() + 0.5 * bracket.width();
      if (!bracket.holds(next)) {
        return bracket.high();
      }
    }
    x = next;
  }
  throw ComputationError("the quantile of " + text(p) + " was not found");
}

double Distribution::step_to_quantile(double p, double x) {
  const PartProbability sum = sum_at(parts_, x);
  const bool lower = p <= 0.5;
  const double found = lower ? sum.below : sum.above;
  const double sought = lower ? p : 1.0 - p;
  return (lower ? -1.0 : 1.0) * std::log(found / sought) * found / sum.density;
}

Moments Distribution::moments() const {
  return moments_of(parts_);
}

Support Distribution::support() const {
  Support result{infinity, -infinity};
  for (const PartDistribution& part : parts_) {
    result.low = std::min(result.low, part.support().low);
    result.high = std::max(result.high, part.support().high);
  }
  return result;
}

Probability probability(std::span<const Part> parts, double x) {
  return Distribution(parts).probability(x);
}

double quantile(std::span<const Part> parts, double p) {
  return Distribution(parts).quantile(p);
}

Moments moments(std::span<const Part> parts) {
  return Distribution(parts).moments();
}

Support support(std::span<const Part> parts) {
  return Distribution(parts).support();
}

}  // namespace lashband::tolerance::kernel
