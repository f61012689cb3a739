#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "band/gap_model.hpp"
#include "band/spread_nodes.hpp"
#include "lashband/tolerance/shape.hpp"

// The elongations that a distribution is conditional on, at the nodes of a quadrature
// (docs/theory/band.md).
namespace lashband::band::kernel {

/// Whether one of the draws moves the form.
[[nodiscard]] bool has_any_of(const LinearForm& form, const std::vector<std::size_t>& draws);
[[nodiscard]] bool has_any_of(const SeatModel& seat, const std::vector<std::size_t>& draws);

/// The form with the elongations at `y` and everything else free.
[[nodiscard]] LinearForm given(const LinearForm& form, const std::vector<std::size_t>& elongations,
                               const std::vector<double>& y);
[[nodiscard]] SeatModel given(SeatModel seat, const std::vector<std::size_t>& elongations,
                              const std::vector<double>& y);

/// What an elongation acts on beside linear terms.
enum class Acts { smoothly, on_float, on_knee };

/// As many nodes for an elongation as its share of the standard deviation asks for.
[[nodiscard]] std::vector<Node> nodes_for(const tolerance::Shape& shape, double share, Acts acts);

/// Whether nodes serve for an elongation of this share of the standard deviation.
[[nodiscard]] bool nodes_serve(const tolerance::Shape& shape, double share, Acts acts);

/// The nodes of a Gauss quadrature over the elongations, one dimension for each.
class ElongationNodes {
 public:
  explicit ElongationNodes(std::vector<double> mids) : mids_(std::move(mids)) {}

  /// Throws ComputationError where these are too many, with `of_all` elongations in question.
  void add(std::size_t draw, std::vector<Node> nodes, std::size_t of_all);
  [[nodiscard]] std::size_t count() const { return count_; }
  [[nodiscard]] const std::vector<double>& mids() const { return mids_; }
  [[nodiscard]] std::vector<std::size_t> draws() const;

  /// The weight of a node, whose place goes into `y`.
  double at(std::size_t index, std::vector<double>& y) const;

 private:
  struct Dimension {
    std::size_t draw;
    std::vector<Node> nodes;
  };
  std::vector<double> mids_;
  std::vector<Dimension> dimensions_;
  std::size_t count_ = 1;
};

}  // namespace lashband::band::kernel
