#pragma once

#include <memory>
#include <vector>

#include "tolerance/part_distribution.hpp"
#include "tolerance/random_group.hpp"

namespace lashband::tolerance::kernel {

/// The widest bounded term on its own, and the part without it.
struct PartDistribution::Split {
  Term term;
  bool in_plain = true;
  Part rest;
  RandomGroup plain_rest;
  RandomGroup curved_rest;
  /// Sums of one panel end of every term of the rest, with the ends of its reach: where, seen from
  /// x, the probability given y bends.
  std::vector<double> plain_ends;
  std::vector<double> curved_ends;
  /// Where the term does no more than shift the rest by step * y: the distribution of the rest.
  std::unique_ptr<PartDistribution> fixed;
  double step = 0.0;

  /// The y at which X is x when the rest of A and D are at these places.
  [[nodiscard]] double place(const Branch& branch, double x, double plain, double curved) const;
  /// The rest given y.
  [[nodiscard]] Part given(double y) const;
};

}  // namespace lashband::tolerance::kernel
