#pragma once

#include <optional>

#include "lashband/geometry/gear_pair.hpp"
#include "lashband/units/quantities.hpp"

namespace lashband::geometry {

/// Contact ratios at the state of the pair (ISO 21771).
struct ContactRatio {
  double eps_alpha;  ///< path of contact over the smaller of the two base pitches
  double eps_beta;   ///< b sin beta / (pi m_n), with the smaller face width
  /// Tip contact ratio of gear 1: the part of eps_alpha from the pitch point to where the tip of
  /// gear 1 ends the path of contact. Negative where the path does not reach the pitch point.
  double eps_1;
  double eps_2;  ///< of gear 2; eps_1 + eps_2 = eps_alpha
  [[nodiscard]] double eps_gamma() const { return eps_alpha + eps_beta; }
};

/// Path of contact g_alpha = sqrt(r_a1^2 - r_b1^2) + sqrt(r_a2^2 - r_b2^2) - a sin alpha_wt, exact.
/// Negative where the tip circles do not reach each other. It is not shortened where a tip passes
/// the base tangent point: `interference_margin` says so.
[[nodiscard]] units::Length path_of_contact(const GearPair& pair);

/// Transverse contact ratio and overlap ratio. eps_alpha below 1 is a finding, not an error.
[[nodiscard]] ContactRatio contact_ratio(const GearPair& pair);

/// Tip clearance c_1 = a - r_a1 - r_f2: from the tips of gear 1 to the roots of gear 2. May be
/// negative. Exact.
[[nodiscard]] units::Length tip_clearance_1(const GearPair& pair);

/// Tip clearance c_2 = a - r_a2 - r_f1: from the tips of gear 2 to the roots of gear 1.
[[nodiscard]] units::Length tip_clearance_2(const GearPair& pair);

/// How far above the root form circle of gear 1 its active flank starts, as a difference of radii
/// of curvature: (a sin alpha_wt - sqrt(r_a2^2 - r_b2^2)) - max(rho_Ff1, 0). Negative means that
/// the tips of gear 2 reach below the generated involute: interference. Source: ISO 21771, start of
/// active profile against root form circle.
[[nodiscard]] units::Length interference_margin_1(const GearPair& pair);

/// The same for the flanks of gear 2; empty where it is a ring gear, whose roots are those of its
/// cutter.
[[nodiscard]] std::optional<units::Length> interference_margin_2(const GearPair& pair);

/// How far the tips of a gear clear those of its ring gear where the two tip circles cross, outside
/// the path of contact: an arc on the ring's base circle with the driving flanks in contact.
/// Negative means that the tips foul each other. Empty for external gears, and where the circles do
/// not cross. Exact (derived in docs/theory/tooth-geometry.md).
[[nodiscard]] std::optional<units::Length> tip_fouling_margin(const GearPair& pair);

}  // namespace lashband::geometry
