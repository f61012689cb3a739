#include "tip_corner.hpp"

#include <cmath>
#include <limits>

#include "involute_kernel.hpp"

namespace lashband::geometry::kernel {

double corner_clearance(const TipCorner& corner, double passed) {
  // Angle of the tip corner seen from its own centre, from the line of centres.
  const double omega =
      corner.alpha_wt - std::atan(corner.end_curvature / corner.r_b) - passed / corner.r_b;
  const double x = corner.a - corner.r_a * std::cos(omega);
  const double y = corner.r_a * std::sin(omega);
  const double radius2 = x * x + y * y;
  const double mate = corner.mate_r_b;
  if (radius2 <= mate * mate) {
    return std::numeric_limits<double>::infinity();  // no involute there
  }
  const double t = std::sqrt(radius2 - mate * mate) / std::abs(mate);
  // From the mate's centre the corner is seen towards the tip gear, from a ring gear's away from
  // it.
  const double seen = mate > 0.0 ? std::atan2(y, x) : std::atan2(-y, -x);
  const double roll_at_corner = corner.alpha_wt + seen + involute_of_tangent(t);
  const double roll_in_mesh = (corner.L - corner.end_curvature - passed) / mate;
  return mate * (roll_at_corner - roll_in_mesh);
}

}  // namespace lashband::geometry::kernel
