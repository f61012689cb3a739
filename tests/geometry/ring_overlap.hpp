#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include "drawn_flank.hpp"
#include "flank_overlap.hpp"

/// The gap of a gear in a ring gear by brute force: the flank of the gear as a set of points, swept
/// about the axis of the ring onto its wall. All lengths in metres, all angles in radians.
namespace flank_overlap {

/// The wall of a space of a ring gear: what a drawing says of the tooth, seen from the space. The
/// tip diameter is the inner one.
class RingWall {
 public:
  /// The flank of a ring's space is that of an external tooth as thick as the space is wide.
  explicit RingWall(const DrawnGear& ring)
      : flank_(as_external(ring)), tip_radius_(ring.tip_diameter / 2.0 * (1.0 + ring.growth)) {}

  [[nodiscard]] double pitch_angle() const { return flank_.pitch_angle(); }
  [[nodiscard]] double base_radius() const { return flank_.base_radius(); }
  [[nodiscard]] double tip_radius() const { return tip_radius_; }
  [[nodiscard]] double angle_at(double radius) const { return flank_.angle_at(radius); }
  [[nodiscard]] double twist(double along) const { return flank_.twist(along); }

 private:
  static DrawnGear as_external(const DrawnGear& ring) {
    // Thicker teeth are narrower spaces. The virtual gear reaches well beyond the ring's roots.
    DrawnGear space = ring;
    space.profile_shift = -ring.profile_shift;
    space.thickness_allowance = -ring.thickness_allowance;
    space.tip_diameter = ring.tip_diameter + 8.0 * ring.module;
    return space;
  }

  Flank flank_;
  double tip_radius_;
};

/// The ring's axis at the origin, the gear's on +x at `apart`. At rotations 0 and 0 a tooth of the
/// gear points along +x into the middle of a space.
class RingPair {
 public:
  /// Tips may foul far from the line of centres: `teeth_each_side` of it are looked at.
  RingPair(const DrawnGear& gear, const DrawnGear& ring, double apart, int teeth_each_side = 4)
      : gear_(gear), ring_(ring), apart_(apart), teeth_each_side_(teeth_each_side) {}

  [[nodiscard]] const Flank& gear() const { return gear_; }
  [[nodiscard]] const RingWall& ring() const { return ring_; }

  /// How far the ring can be turned clockwise until a wall touches the left flank of some tooth of
  /// the gear, which stands at `rotation`.
  [[nodiscard]] double lower_stop(double rotation) const {
    double stop = -std::numeric_limits<double>::infinity();
    for (int tooth = -teeth_each_side_; tooth <= teeth_each_side_; ++tooth) {
      stop = std::max(stop, stop_of_tooth(rotation + tooth * gear_.pitch_angle()) -
                                tooth * ring_.pitch_angle());
    }
    return stop;
  }
  [[nodiscard]] double upper_stop(double rotation) const { return -lower_stop(-rotation); }

  /// The free rotation of the ring as an arc on its base circle.
  [[nodiscard]] double gap(double rotation) const {
    return (upper_stop(rotation) - lower_stop(rotation)) * ring_.base_radius();
  }

 private:
  struct Sweep {
    double radius;
    double rotation;
  };

  [[nodiscard]] Sweep sweep(double roll, double rotation) const {
    const FlankPoint point = gear_.at_roll(roll);
    const double x = apart_ + point.radius * std::cos(rotation + point.angle);
    const double y = point.radius * std::sin(rotation + point.angle);
    const double radius = std::hypot(x, y);
    if (!(radius >= ring_.tip_radius())) {
      return {radius, -std::numeric_limits<double>::infinity()};
    }
    return {radius, std::atan2(y, x) - ring_.angle_at(radius)};
  }

  [[nodiscard]] double stop_of_tooth(double rotation) const {
    constexpr int intervals = 64;
    const double step = gear_.roll_at_tip() / intervals;
    const double none = -std::numeric_limits<double>::infinity();
    double best = none;
    double best_roll = 0.0;
    double low_end = 0.0;
    Sweep before{};
    for (int i = 0; i <= intervals; ++i) {
      const double roll = i * step;
      const Sweep here = sweep(roll, rotation);
      if (i > 0 && before.radius < ring_.tip_radius() && here.radius >= ring_.tip_radius()) {
        low_end = corner(roll - step, roll, rotation);
        const Sweep at_corner = sweep(low_end, rotation);
        if (at_corner.rotation > best) {
          best = at_corner.rotation;
          best_roll = low_end;
        }
      }
      if (here.rotation > best) {
        best = here.rotation;
        best_roll = roll;
      }
      before = here;
    }
    if (best == none) {
      return none;
    }
    double low = std::max(best_roll - step, low_end);
    double high = std::min(best_roll + step, gear_.roll_at_tip());
    for (int i = 0; i < 30; ++i) {
      const double third = (high - low) / 3.0;
      if (sweep(low + third, rotation).rotation > sweep(high - third, rotation).rotation) {
        high -= third;
      } else {
        low += third;
      }
    }
    return std::max(best, sweep((low + high) / 2.0, rotation).rotation);
  }

  // Where the flank enters the ring's tip circle, a little beyond it, by bisection.
  [[nodiscard]] double corner(double inside, double beyond, double rotation) const {
    for (int i = 0; i < 45; ++i) {
      const double middle = (inside + beyond) / 2.0;
      (sweep(middle, rotation).radius < ring_.tip_radius() ? inside : beyond) = middle;
    }
    return beyond;
  }

  Flank gear_;
  RingWall ring_;
  double apart_;
  int teeth_each_side_;
};

/// Least and greatest gap over one mesh cycle of spur gears.
[[nodiscard]] inline Extremes gap_over_cycle(const RingPair& pair, int samples) {
  const double period = pair.gear().pitch_angle();
  const auto gap = [&pair](double rotation) { return pair.gap(rotation); };
  const auto negated_gap = [&pair](double rotation) { return -pair.gap(rotation); };
  return {least_over_period(gap, period, samples),
          -least_over_period(negated_gap, period, samples)};
}

}  // namespace flank_overlap
