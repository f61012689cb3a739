#pragma once

#include <array>
#include <span>
#include <vector>

#include "lashband/tolerance/shape.hpp"

// The distribution of a sum of independent terms, one group of which passes through a curve:
//
//   X = shift + plain_scale * A + q[0] D + q[1] D^2 + q[2] D^3 + q[3] D^4
//   A = sum of the plain terms      D = sum of the curved terms
//
// without sampling. Kernel: plain numbers, all lengths in one unit (SI). Derived in
// docs/theory/distribution.md.
namespace lashband::tolerance::kernel {

/// A term `reach * y` of a sum, y distributed as `shape` says; y = 0 is the mid of its band.
struct Term {
  double reach = 0.0;  ///< half the band, with sign
  const Shape* shape = nullptr;
};

/// Any other term, as places and weights: E f(term) = sum of weight * f(place) for every f that is
/// smooth on the scale of the whole sum. Weights add up to 1; single ones may be negative where
/// they are moments matched, not probabilities. `low` and `high` are the ends of its support.
struct Measure {
  std::vector<double> place;
  std::vector<double> weight;
  double low = 0.0;
  double high = 0.0;
};

/// One value of everything that the terms are conditional on (the elongations of the materials).
struct Branch {
  double weight = 1.0;  ///< quadrature weight; those of all branches of all parts add up to 1
  double shift = 0.0;
  double plain_scale = 1.0;
  std::array<double, 4> q{};  ///< of D, D^2, D^3, D^4; q[0] > 0
};

/// Terms and the branches that share them. Branches of one part differ little: their plain_scale by
/// a relative 1e-3 at most, and q likewise.
struct Part {
  std::vector<Term> plain;
  std::vector<Measure> plain_measures;
  std::vector<Term> curved;
  std::vector<Measure> curved_measures;
  std::vector<Branch> branches;
};

/// Both sides, each in relative accuracy.
struct Probability {
  double below = 0.0;  ///< P(X <= x)
  double above = 0.0;  ///< P(X > x)
};

struct Moments {
  double mean = 0.0;
  double sigma = 0.0;
};

struct Support {
  double low = 0.0;  ///< -infinity where a normal term is among them
  double high = 0.0;
};

/// How finely the integrals are taken: 1 meets the accuracy below; 2 halves every step and takes
/// more nodes and powers, to show that nothing changes.
struct Resolution {
  double factor = 1.0;
};

class PartDistribution;

/// The distribution of X, with what one question leaves to the next: several quantiles and
/// probabilities of one X cost little more than one. An answer does not depend on the questions
/// before it. Not to be shared between threads. The parts must outlive it.
class Distribution {
 public:
  /// Throws DomainError unless there is a part with a branch, every number is finite, the weights
  /// add up to 1 within 1e-9, and q[0] > 0 where there are curved terms.
  explicit Distribution(std::span<const Part> parts, Resolution resolution = {});
  Distribution(Distribution&&) noexcept;
  Distribution& operator=(Distribution&&) noexcept;
  Distribution(const Distribution&) = delete;
  Distribution& operator=(const Distribution&) = delete;
  ~Distribution();

  /// The distribution of the same terms with other branches, part by part: they may differ from
  /// those at hand as the branches of one part may differ. What was worked out for the terms is
  /// shared, so this costs less than a new one, and both belong in one thread. Throws as the
  /// constructor does, and DomainError unless there are branches for every part.
  [[nodiscard]] Distribution with_branches(std::vector<std::vector<Branch>> branches) const;

  /// P(X <= x) and P(X > x): exactly 0 and 1 outside a bounded support; relative accuracy 1e-8
  /// where the probability is above 1e-4, 1e-3 down to 1e-12; 0 may stand for what is below 1e-37.
  /// Throws ComputationError where this cannot be reached (the curve bends too much over the window
  /// of D).
  [[nodiscard]] Probability probability(double x);

  /// The x with P(X <= x) = p, to 1e-12 of the standard deviation plus 1e-15 of |x|, for 1e-12 <= p
  /// <= 1 - 1e-12. At a point mass, its place. Throws DomainError outside.
  [[nodiscard]] double quantile(double p);

  /// One step from x towards the p quantile by Newton's rule, on the logarithm of the smaller
  /// probability: from a step of r the place reached is off by about r^2 over the standard
  /// deviation. Not a number where the density is not at hand or 0.
  [[nodiscard]] double step_to_quantile(double p, double x);

  /// Mean and standard deviation, to 1e-12 relative.
  [[nodiscard]] Moments moments() const;

  [[nodiscard]] Support support() const;

 private:
  explicit Distribution(std::vector<PartDistribution> parts);

  std::vector<PartDistribution> parts_;
};

// The same for a single question.
[[nodiscard]] Probability probability(std::span<const Part> parts, double x);
[[nodiscard]] double quantile(std::span<const Part> parts, double p);
[[nodiscard]] Moments moments(std::span<const Part> parts);
[[nodiscard]] Support support(std::span<const Part> parts);

}  // namespace lashband::tolerance::kernel
