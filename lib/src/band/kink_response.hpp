#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "band/elongation_nodes.hpp"
#include "band/float_measure.hpp"

// What elongations do to terms with a kink, floats and |M|, between the nodes of their quadrature
// (docs/theory/band.md).
namespace lashband::band::kernel {

/// What the elongations do to a term with a kink: how much its mean changes, and the logarithm of
/// how much the variance of all terms beside it, itself included, does.
struct KinkChange {
  double mean = 0.0;
  double log_variance = 0.0;
};

/// The same at any elongations, to second order.
class KinkResponse {
 public:
  /// `moments` are those of the terms with a kink at elongations among `draws` draws,
  /// `other_variance` is that of what they add to.
  KinkResponse(const std::vector<std::size_t>& elongations, std::size_t draws,
               double other_variance,
               const std::function<FloatMoments(const std::vector<double>&)>& moments);

  [[nodiscard]] bool any() const { return !responses_.empty(); }

  /// What half the band of an elongation does beyond moving the term as it is: the change of the
  /// logarithm of the variance, signed, and how far the mean bends.
  [[nodiscard]] KinkChange bent_by(std::size_t draw) const;

  [[nodiscard]] KinkChange from(const std::vector<double>& centre,
                                const std::vector<double>& y) const;

  /// From the mids to `y`.
  [[nodiscard]] KinkChange at(const std::vector<double>& y) const;

 private:
  struct Response {
    std::size_t draw = 0;
    KinkChange rise{};
    KinkChange bend{};
  };
  struct Crossing {
    std::size_t first = 0;
    std::size_t second = 0;
    double mean = 0.0;
    double log_variance = 0.0;
  };
  // So that together they reach as far as one alone.
  static constexpr double reach_of_crossing = 0.70710678118654752;

  std::vector<Response> responses_;
  std::vector<Crossing> crossings_;
};

/// How much more the terms are spread. A piece differs by little but for its outermost nodes, which
/// have next to no weight, but must not take part in what the branches of a part may differ by.
[[nodiscard]] double spread_by(const KinkChange& change);

/// Elongations that are near enough to one another that terms with a kink are those at the centre,
/// but for mean and spread.
struct Pieces {
  std::vector<std::vector<double>> centres;  ///< elongations
  std::vector<std::size_t> of_node;
};

/// Terms with a kink beside the others of the gap.
struct KinkedTerms {
  const KinkResponse& response;
  double slope;     ///< of the gap over what they add to
  double variance;  ///< of the gap by that
};

/// The pieces of all nodes; `sigmas` are those of the elongations, by draw.
[[nodiscard]] Pieces pieces_of(const ElongationNodes& nodes, const std::vector<double>& sigmas,
                               std::span<const KinkedTerms> kinked);

}  // namespace lashband::band::kernel
