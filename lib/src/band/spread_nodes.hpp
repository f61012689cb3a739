#pragma once

#include <vector>

#include "band/gap_model.hpp"
#include "tolerance/sum_distribution.hpp"

// Linear forms of independent draws as weighted nodes, for integrals of functions that have a kink.
namespace lashband::band::kernel {

struct Node {
  double value;
  double weight;
};

/// Nodes for E f(y), y distributed as `shape`, f smooth. Exact for polynomials up to degree
/// 2 count - 1 where the shape is smooth, piece by piece where it has corners.
[[nodiscard]] std::vector<Node> nodes_of(const tolerance::Shape& shape, std::size_t count);

/// Nodes for E f(form), f smooth but for a kink at `kink`: 1e-12 of what f does over its range.
/// Normal draws count as one. A form without draws is one node.
[[nodiscard]] std::vector<Node> nodes_with_kink(const LinearForm& form, const Draws& draws,
                                                double kink);

/// Gathers many weighted places into a measure of few, panel by panel, with as many moments matched
/// as a panel has nodes.
class MeasureBuilder {
 public:
  MeasureBuilder(double low, double high);

  void add(double place, double weight);
  /// A point mass, kept as it is.
  void add_atom(double place, double weight);
  [[nodiscard]] tolerance::kernel::Measure built() const;

 private:
  double low_;
  double high_;
  std::vector<double> moments_;  ///< Legendre moments, panel by panel
  std::vector<Node> atoms_;
};

}  // namespace lashband::band::kernel
