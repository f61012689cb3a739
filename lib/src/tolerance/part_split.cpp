#include "tolerance/part_split.hpp"

#include <algorithm>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

#include "lashband/error.hpp"
#include "tolerance/curve.hpp"
#include "tolerance/term_nodes.hpp"

// P(X <= x) = E[P(rest <= x | y)] over the widest bounded term, by Gauss-Kronrod quadrature between
// all places where the integrand may bend. Nothing cancels, so tails keep their relative accuracy.
namespace lashband::tolerance::kernel {
namespace {

constexpr double quadrature_tolerance = 1e-10;
constexpr unsigned quadrature_depth = 8;
/// Ends of panels that differ by rounding alone are one; this much of a band holds less than that
/// share of the probability beside it.
constexpr double least_panel = 1e-13;
/// More bends of the rest than this are left to the adaptive rule.
constexpr std::size_t most_bends = 2000;

/// A normal term beyond this many sigma has a probability below 1e-37.
constexpr double farthest_normal_sigmas = 13.0;

/// Takes out the widest bounded shape of the terms; false where there is none.
bool take_widest(std::vector<Term>& terms, double least_width, Term& into) {
  auto widest = terms.end();
  double width = least_width;
  for (auto term = terms.begin(); term != terms.end(); ++term) {
    const double its = std::abs(term->reach) * term->shape->sigma();
    if (term->shape->kind() != Shape::Kind::normal && its > width) {
      widest = term;
      width = its;
    }
  }
  if (widest == terms.end()) {
    return false;
  }
  into = *widest;
  terms.erase(widest);
  return true;
}

/// Sums of one panel end of every bounded term: where the distribution of the sum may bend, and
/// between which ends it lies. Those alone, with some sigma beyond, where a normal term smooths the
/// bends or they are too many.
std::vector<double> bends(const RandomGroup& group) {
  const double beyond = farthest_normal_sigmas * std::sqrt(group.normal_variance);
  std::vector<double> outer = {group.low - beyond, group.high + beyond};
  if (beyond > 0.0) {
    return outer;
  }
  std::vector<double> sums = {0.0};
  for (const BoundedTerm& term : group.bounded) {
    const std::vector<double> ends =
        term.shape != nullptr ? panel_ends(*term.shape) : term.measure->place;
    if (ends.size() * sums.size() > most_bends) {
      return outer;
    }
    std::vector<double> next;
    next.reserve(ends.size() * sums.size());
    for (const double sum : sums) {
      for (const double end : ends) {
        next.push_back(sum + term.reach * end);
      }
    }
    sums = std::move(next);
  }
  sums.insert(sums.end(), outer.begin(), outer.end());
  return sums;
}

}  // namespace

double PartDistribution::Split::place(const Branch& branch, double x, double plain,
                                      double curved) const {
  const double value = x - branch.shift - branch.plain_scale * plain;
  const double least = term.shape->least();
  const double greatest = term.shape->greatest();
  if (in_plain) {
    return std::clamp((value - curve_value(branch.q, curved)) / (branch.plain_scale * term.reach),
                      least, greatest);
  }
  const double a = curved + term.reach * least;
  const double b = curved + term.reach * greatest;
  const double root = curve_root(branch.q, value, std::min(a, b), std::max(a, b));
  return std::clamp((root - curved) / term.reach, least, greatest);
}

Part PartDistribution::Split::given(double y) const {
  Part result = rest;
  for (Branch& branch : result.branches) {
    if (in_plain) {
      branch.shift += branch.plain_scale * term.reach * y;
    } else {
      const CurveAt at = curve_at(branch.q, term.reach * y);
      branch.shift += at.value;
      branch.q = at.coefficient;
    }
  }
  return result;
}

PartProbability PartDistribution::from_split(double x) {
  if (!split_) {
    auto split = std::make_unique<Split>();
    split->rest = *part_;
    split->rest.branches = given_;
    Term plain;
    Term curved;
    std::vector<Term> plain_rest = part_->plain;
    std::vector<Term> curved_rest = part_->curved;
    const bool any_plain = take_widest(plain_rest, 0.0, plain);
    const double plain_width =
        any_plain ? std::abs(scale_ * plain.reach) * plain.shape->sigma() / curve_[0] : 0.0;
    if (take_widest(curved_rest, plain_width, curved)) {
      split->in_plain = false;
      split->term = curved;
      split->rest.curved = std::move(curved_rest);
    } else if (any_plain) {
      split->term = plain;
      split->rest.plain = std::move(plain_rest);
    } else {
      throw ComputationError(
          "the distribution of a sum cannot be found: its curve bends too much over the spread of "
          "its "
          "terms, or nothing smooth spreads them");
    }
    split->plain_rest = random_group(split->rest.plain, part_->plain_measures);
    split->curved_rest = random_group(split->rest.curved, part_->curved_measures);
    split->plain_ends = bends(split->plain_rest);
    split->curved_ends = bends(split->curved_rest);
    const Branch& branch = given_.front();
    if (given_.size() == 1 && (split->in_plain || !has_curve())) {
      split->step = split->term.reach * (split->in_plain ? branch.plain_scale : branch.q[0]);
      split->fixed = std::make_unique<PartDistribution>(split->rest, resolution_);
    }
    split_ = std::move(split);
  }
  const Split& split = *split_;
  const Shape& shape = *split.term.shape;
  const double least = shape.least();
  const double greatest = shape.greatest();
  const bool rises =
      split.fixed ? split.step > 0.0
                  : (split.in_plain ? scale_ * split.term.reach > 0.0 : split.term.reach > 0.0);

  // All places where the probability given y may bend, or begins or ends to be neither 0 nor 1.
  std::vector<double> ends = panel_ends(shape);
  double first = greatest;
  double last = least;
  for (const Branch& branch : given_) {
    for (const double plain : split.plain_ends) {
      for (const double curved : split.curved_ends) {
        const double y = split.place(branch, x, plain, curved);
        first = std::min(first, y);
        last = std::max(last, y);
        if (ends.size() < most_bends) {
          ends.push_back(y);
        }
      }
    }
  }
  ends.push_back(first);
  ends.push_back(last);
  ends.erase(std::remove_if(ends.begin(), ends.end(),
                            [&](double y) { return !(y >= first && y <= last); }),
             ends.end());
  std::sort(ends.begin(), ends.end());
  const auto apart = [](double a, double b) { return b - a <= least_panel; };
  ends.erase(std::unique(ends.begin(), ends.end(), apart), ends.end());

  const bool lower = x < mean_;
  const auto integrand = [&](double y) {
    PartProbability one;
    if (split.fixed) {
      one = split.fixed->probability(x - split.step * y);
    } else {
      const Part rest = split.given(y);
      one = PartDistribution(rest, resolution_).probability(x);
    }
    return shape.density(y) * (lower ? one.below : one.above);
  };
  // The rest lies wholly on the side asked for on one side of the window.
  double sum = weight_ * (lower == rises ? shape.below(first) : shape.above(last));
  using Rule = boost::math::quadrature::gauss_kronrod<double, 15>;
  for (std::size_t i = 1; i < ends.size(); ++i) {
    sum += Rule::integrate(integrand, ends[i - 1], ends[i], quadrature_depth,
                           quadrature_tolerance / resolution_.factor);
  }
  const double nan = std::numeric_limits<double>::quiet_NaN();
  return lower ? PartProbability{sum, weight_ - sum, nan}
               : PartProbability{weight_ - sum, sum, nan};
}

}  // namespace lashband::tolerance::kernel
