#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

#include "../geometry/drawn_flank.hpp"

/// A pinion in a ring gear by brute force: points of the pinion's flanks, turned about the ring's
/// axis until they touch the walls of the ring's spaces. No line of action, no base pitch. All
/// lengths in metres, all angles in radians.
namespace flank_overlap {

/// The ring stands at the origin, the pinion on the +x axis. A space of a ring has the outline of a
/// tooth: `ring` is the gear whose teeth would fill the spaces, between the tip circle of the ring
/// and beyond.
class RingPair {
 public:
  RingPair(const DrawnGear& pinion, const DrawnGear& ring_spaces, double ring_tip_radius,
           double axes_apart)
      : pinion_(pinion),
        spaces_(ring_spaces),
        ring_tip_radius_(ring_tip_radius),
        apart_(axes_apart) {
    for (int i = 0; i <= intervals; ++i) {
      points_.push_back(pinion_.at_roll(pinion_.roll_at_tip() * i / intervals));
    }
  }

  struct Stops {
    double lower = -std::numeric_limits<double>::infinity();
    double upper = std::numeric_limits<double>::infinity();
  };

  /// How far the ring can be turned either way from where a space points along +x, with a tooth of
  /// the pinion at `rotation` from +x.
  [[nodiscard]] Stops stops(double rotation) const {
    Stops stops;
    constexpr int teeth_each_side = 4;
    for (int tooth = -teeth_each_side; tooth <= teeth_each_side; ++tooth) {
      const double tooth_at = rotation + tooth * pinion_.pitch_angle();
      const double space_at = tooth * spaces_.pitch_angle();
      for (const FlankPoint& point : points_) {
        for (const double side : {-1.0, 1.0}) {
          const double angle = tooth_at + side * point.angle;
          const double x = apart_ + point.radius * std::cos(angle);
          const double y = point.radius * std::sin(angle);
          const double radius = std::hypot(x, y);
          if (radius >= ring_tip_radius_ && radius <= spaces_.tip_radius()) {
            const double seen = std::atan2(y, x) - space_at;
            const double half_width = spaces_.angle_at(radius);
            stops.upper = std::min(stops.upper, seen + half_width);
            stops.lower = std::max(stops.lower, seen - half_width);
          }
        }
      }
    }
    return stops;
  }

  /// The free rotation of the ring as an arc on its base circle.
  [[nodiscard]] double gap() const {
    const Stops both = stops(0.0);
    return (both.upper - both.lower) * spaces_.base_radius();
  }

 private:
  static constexpr int intervals = 1500;

  Flank pinion_;
  Flank spaces_;
  double ring_tip_radius_;
  double apart_;
  std::vector<FlankPoint> points_{};
};

}  // namespace flank_overlap
