#include "tolerance/random_group.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>

#include "lashband/error.hpp"
#include "tolerance/term_nodes.hpp"

namespace lashband::tolerance::kernel {
namespace {

CentralMoments normal_moments(double variance) {
  CentralMoments result{};
  result[0] = 1.0;
  for (std::size_t m = 2; m < most_moments; m += 2) {
    result[m] = static_cast<double>(m - 1) * variance * result[m - 2];
  }
  return result;
}

CentralMoments moments_about(double centre, const std::vector<double>& place,
                             const std::vector<double>& weight, double scale) {
  CentralMoments result{};
  for (std::size_t i = 0; i < place.size(); ++i) {
    double power = weight[i];
    for (double& moment : result) {
      moment += power;
      power *= scale * place[i] - centre;
    }
  }
  // Zero and one by definition; what the sums leave of them is rounding.
  result[0] = 1.0;
  result[1] = 0.0;
  return result;
}

BoundedTerm bounded_term(const Term& term) {
  BoundedTerm result;
  result.shape = term.shape;
  result.reach = term.reach;
  result.mean = term.reach * term.shape->mean();
  const double a = term.reach * term.shape->least();
  const double b = term.reach * term.shape->greatest();
  result.low = std::min(a, b);
  result.high = std::max(a, b);
  // A factor of y^8 asks for as much as an exponent of 4.
  const Nodes rule = nodes(*term.shape, 0.5 * static_cast<double>(most_moments));
  result.moments = moments_about(result.mean, rule.place, rule.weight, term.reach);
  return result;
}

BoundedTerm bounded_term(const Measure& measure) {
  if (measure.place.size() != measure.weight.size() || measure.place.empty()) {
    throw DomainError("a measure has " + std::to_string(measure.place.size()) + " places and " +
                      std::to_string(measure.weight.size()) +
                      " weights, but needs as many of both and at least 1");
  }
  BoundedTerm result;
  result.measure = &measure;
  result.reach = 1.0;
  for (std::size_t i = 0; i < measure.place.size(); ++i) {
    result.mean += measure.weight[i] * measure.place[i];
  }
  result.low = measure.low;
  result.high = measure.high;
  result.moments = moments_about(result.mean, measure.place, measure.weight, 1.0);
  return result;
}

/// Moments of a sum of two independent terms.
CentralMoments sum_moments(const CentralMoments& a, const CentralMoments& b) {
  CentralMoments result{};
  for (std::size_t m = 0; m < most_moments; ++m) {
    double binomial = 1.0;
    for (std::size_t i = 0; i <= m; ++i) {
      result[m] += binomial * a[i] * b[m - i];
      binomial *= static_cast<double>(m - i) / static_cast<double>(i + 1);
    }
  }
  return result;
}

}  // namespace

RandomGroup random_group(const std::vector<Term>& terms, const std::vector<Measure>& measures) {
  RandomGroup group;
  for (const Term& term : terms) {
    if (term.shape == nullptr || !std::isfinite(term.reach)) {
      throw DomainError("a term of a sum has no shape, or a reach that is not finite");
    }
    if (term.reach == 0.0) {
      continue;
    }
    if (term.shape->kind() == Shape::Kind::normal) {
      const double sigma = term.reach * term.shape->sigma();
      group.normal_variance += sigma * sigma;
    } else {
      group.bounded.push_back(bounded_term(term));
    }
  }
  for (const Measure& measure : measures) {
    group.bounded.push_back(bounded_term(measure));
  }
  group.moments = normal_moments(group.normal_variance);
  for (const BoundedTerm& term : group.bounded) {
    group.mean += term.mean;
    group.low += term.low;
    group.high += term.high;
    group.moments = sum_moments(group.moments, term.moments);
  }
  return group;
}

}  // namespace lashband::tolerance::kernel
