#pragma once

// The corner of a tip against the flank of the mate. SI doubles with the signs of ISO 21771.
namespace lashband::geometry::kernel {

/// A gear with its tip corner (the "tip gear") and its mate.
struct TipCorner {
  double a;
  double alpha_wt;
  double r_b;            ///< of the tip gear
  double r_a;            ///< of the tip gear
  double end_curvature;  ///< of its flank where its path of contact ends
  double mate_r_b;
  double L;  ///< distance between the base tangent points
};

/// Clearance between the corner and the flank of the mate when the tip gear has passed the end of
/// its path of contact by `passed`: an arc on the mate's base circle, the tip gear held still.
/// Exact; infinite where the corner is inside the mate's base circle.
[[nodiscard]] double corner_clearance(const TipCorner& corner, double passed);

}  // namespace lashband::geometry::kernel
