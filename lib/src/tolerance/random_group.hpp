#pragma once

#include <array>
#include <vector>

#include "tolerance/sum_distribution.hpp"

// The independent terms of a sum: the normal ones merged, the others with their moments.
namespace lashband::tolerance::kernel {

constexpr std::size_t most_moments = 9;
/// E (term - mean)^m, m = 0 ... 8
using CentralMoments = std::array<double, most_moments>;

/// A term that is not normal: `reach * y` with y from a shape, or a measure (shape is null).
struct BoundedTerm {
  const Shape* shape = nullptr;
  const Measure* measure = nullptr;
  double reach = 0.0;
  double mean = 0.0;
  double low = 0.0;
  double high = 0.0;
  CentralMoments moments{};
};

struct RandomGroup {
  double normal_variance = 0.0;
  std::vector<BoundedTerm> bounded;
  double mean = 0.0;
  CentralMoments moments{};
  double low = 0.0;  ///< ends of the sum of the bounded terms alone
  double high = 0.0;
};

/// Terms without reach are left out. Throws DomainError on a measure whose places and weights do
/// not match, and on a term without shape.
[[nodiscard]] RandomGroup random_group(const std::vector<Term>& terms,
                                       const std::vector<Measure>& measures);

}  // namespace lashband::tolerance::kernel
