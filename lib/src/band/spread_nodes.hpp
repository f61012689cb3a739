#pragma once

#include <algorithm>
#include <cstddef>
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

/// Gathers many weighted places into a measure of few, panel by panel: each has the Gauss rule of
/// its own moments, so that no weight is negative where none of the places' is. As long as 128
/// panels do, they are no wider than two thirds of the standard deviation of the whole or of
/// `grain`, whichever is more: neither may be more than that of the sum it is a term of.
class MeasureBuilder {
 public:
  MeasureBuilder(double low, double high, double grain = 0.0);

  void add(double place, double weight) {
    if (!(high_ > low_)) {
      add_atom(place, weight);
      return;
    }
    const double way = (place - low_) * panels_per_length_;
    const auto index =
        static_cast<std::size_t>(std::clamp(way, 0.0, static_cast<double>(panels - 1)));
    const double x = 2.0 * (way - static_cast<double>(index)) - 1.0;
    double* moment = &moments_[index * moments_a_panel];
    // Even and odd powers side by side, so that the compiler takes both at once.
    const double square = x * x;
    double even = weight;
    double odd = weight * x;
    for (std::size_t k = 0; k < moments_a_panel; k += 2) {
      moment[k] += even;
      moment[k + 1] += odd;
      even *= square;
      odd *= square;
    }
  }
  /// A point mass, kept as it is.
  void add_atom(double place, double weight);
  /// Panels of that width over the standard deviation at most.
  [[nodiscard]] tolerance::kernel::Measure built(double panel_in_sigma = 2.0 / 3.0) const;

  static constexpr std::size_t panels = 128;  ///< at most
  static constexpr std::size_t nodes_a_panel = 4;
  static constexpr std::size_t moments_a_panel = 2 * nodes_a_panel;

 private:
  [[nodiscard]] double sigma() const;

  double low_;
  double high_;
  double grain_;
  double panels_per_length_;
  std::vector<double> moments_;  ///< of the powers of x from -1 to 1, panel by panel
  std::vector<Node> atoms_;
};

}  // namespace lashband::band::kernel
