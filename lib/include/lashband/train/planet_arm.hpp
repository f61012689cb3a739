#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "lashband/train/train.hpp"

/// Speeds of a train whose bores stand still or are carried round.
///
/// Simplifications: one arm carries every bore of the train; rigid, no slip.
namespace lashband::train {

/// The bores of the train sit in an arm that turns itself (a planetary stage): the speeds that
/// tooth numbers tie are those against the arm,
///   n_i - n_arm = r_i (n_1 - n_arm)     (Willis)
/// and one shaft is held:
///   n_i = n_arm (1 - r_i / r_held)
/// Ratios are exact. Source: Willis' relation of epicyclic trains; derived in docs/theory/train.md.
struct PlanetArm {
  std::size_t held = 0;  ///< the shaft that does not turn
};

/// Speeds of a group as multiples of one speed.
struct SpeedOrders {
  /// By shaft; empty where the shaft is in another group than the reference (the held shaft, where
  /// there is an arm).
  std::vector<std::optional<ExactRatio>> shaft{};
  ExactRatio arm{};  ///< 0 without an arm
};

/// What the speeds are referred to: a shaft, or the arm itself.
struct Reference {
  std::optional<std::size_t> shaft{};  ///< empty: the arm
};

/// Speed of every shaft over the reference's. Without an arm these are the train's ratios. Throws
/// DomainError where a shaft is not there, where the reference stands still (the held shaft), where
/// there is no arm to refer to, where the held shaft is in another group than the reference, or
/// where it turns exactly as the reference against the arm, so that nothing could turn.
[[nodiscard]] SpeedOrders speed_orders(const Train& train, const std::optional<PlanetArm>& arm,
                                       const Reference& reference);

}  // namespace lashband::train
