#pragma once

#include "lashband/geometry/gear_pair.hpp"
#include "lashband/units/quantities.hpp"

/// Backlash over one mesh cycle, in the transverse section along the line of action.
///
/// Simplifications: perfect involutes, rigid teeth, axes parallel; the flank ends at the tip circle
/// with a sharp corner; contact in the root fillet is not modelled (interference is reported
/// apart).
namespace lashband::geometry {

/// The least and the greatest gap over one mesh cycle, turning gear 2 with gear 1 held.
struct CycleGap {
  units::Length least;     ///< j_bt
  units::Length greatest;  ///< j_bt
  /// False where the numbers are bounds: the least is at least `least`, and `greatest` is the most
  /// while a pair is in the zone of action. Only where the base pitches differ and the transverse
  /// contact ratio is below 1, so that at times only corners touch.
  bool resolved = true;
};

/// The gap j_bt of tooth 1 in a space of gear 2, drive and coast contact on the same tooth:
///   j_bt = p_b2 - s_b1 - s_b2 + 2 (r_b1 + r_b2) inv alpha_wt     (ISO 21771, transverse, exact
/// where p_b1 = p_b2). Accuracy 1e-14 of the centre distance for z 5 to 500, beta to 45 deg,
/// alpha_wt 5 to 45 deg. Negative where the teeth bind.
[[nodiscard]] units::Length same_tooth_gap(const GearPair& pair);

/// Least and greatest j_bt over one mesh cycle.
///
/// Where the base pitches are equal both are `same_tooth_gap`. Otherwise drive contact sits on one
/// pair of teeth i and coast contact on another, k, and the gap is j_bt + (i - k)(p_b2 - p_b1), the
/// least over the pairs that are in the zone of action at the same moment. Just outside the zone
/// the corner of the tip still reaches the flank; that contact is followed exactly (derived in
/// docs/theory/backlash.md), in every slice of helical teeth. Accuracy 1e-12 m.
[[nodiscard]] CycleGap cycle_gap(const GearPair& pair);

}  // namespace lashband::geometry
