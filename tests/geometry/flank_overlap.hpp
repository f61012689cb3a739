#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

#include "drawn_flank.hpp"

/// The gap of two gears found by brute force: the point sets of their flanks, rotated until they
/// touch. No line of action, no working pressure angle, no base pitch. All lengths in metres, all
/// angles in radians.
namespace flank_overlap {

/// Two gears with their axes `axes_apart`: gear 1 at the origin, gear 2 on the +x axis. At
/// rotations 0 and 0 a tooth of gear 1 points at the middle of a space of gear 2.
class OverlapPair {
 public:
  OverlapPair(const DrawnGear& gear_1, const DrawnGear& gear_2, double axes_apart)
      : flank_1_(gear_1), flank_2_(gear_2), apart_(axes_apart) {
    for (int i = 0; i <= intervals; ++i) {
      points_1_.push_back(point_at_roll(flank_1_.roll_at_tip() * i / intervals));
    }
  }

  [[nodiscard]] const Flank& gear_1() const { return flank_1_; }
  [[nodiscard]] const Flank& gear_2() const { return flank_2_; }
  [[nodiscard]] double axes_apart() const { return apart_; }

  /// How far gear 2 can be turned, counterclockwise, until a flank of its own touches the left
  /// flank of some tooth of gear 1, which stands at `rotation_1`.
  [[nodiscard]] double upper_stop(double rotation_1) const {
    double stop = std::numeric_limits<double>::infinity();
    // Three teeth either side of the line of centres: more than any zone of action here holds.
    constexpr int teeth_each_side = 3;
    for (int tooth = -teeth_each_side; tooth <= teeth_each_side; ++tooth) {
      stop = std::min(stop, stop_of_tooth(rotation_1 + tooth * flank_1_.pitch_angle()) +
                                tooth * flank_2_.pitch_angle());
    }
    return stop;
  }

  /// The same clockwise, on the right flanks: the mirror image of the whole arrangement.
  [[nodiscard]] double lower_stop(double rotation_1) const { return -upper_stop(-rotation_1); }

  /// The free rotation of gear 2 as an arc on its base circle. Negative: the teeth overlap.
  [[nodiscard]] double gap(double rotation_1) const {
    return (upper_stop(rotation_1) - lower_stop(rotation_1)) * flank_2_.base_radius();
  }

 private:
  struct Sweep {
    double radius;    // about the axis of gear 2
    double rotation;  // of gear 2 until its flank reaches the point; infinite where it never does
  };

  /// A rotation of gear 1, with its cosine and sine.
  struct Rotation {
    explicit Rotation(double angle) : cosine(std::cos(angle)), sine(std::sin(angle)) {}
    double cosine;
    double sine;
  };
  /// A point of gear 1's left flank where its tooth points along +x.
  struct Point {
    double x;
    double y;
  };

  [[nodiscard]] Point point_at_roll(double roll) const {
    const FlankPoint point = flank_1_.at_roll(roll);
    return {point.radius * std::cos(point.angle), point.radius * std::sin(point.angle)};
  }

  /// One point of gear 1's left flank, swept along its circle about gear 2's axis onto the flank of
  /// the tooth of gear 2 that faces it.
  [[nodiscard]] Sweep sweep(const Point& point, const Rotation& rotation_1) const {
    const double x = apart_ - (rotation_1.cosine * point.x - rotation_1.sine * point.y);
    const double y = rotation_1.sine * point.x + rotation_1.cosine * point.y;
    const double radius = std::sqrt(x * x + y * y);
    if (!(radius <= flank_2_.tip_radius()) || !(radius >= flank_2_.base_radius())) {
      return {radius, std::numeric_limits<double>::infinity()};
    }
    const double flank_angle = flank_2_.angle_at(radius) - flank_2_.pitch_angle() / 2.0;
    return {radius, std::atan2(-y, x) - flank_angle};
  }
  [[nodiscard]] Sweep sweep(double roll, const Rotation& rotation_1) const {
    return sweep(point_at_roll(roll), rotation_1);
  }

  /// Least rotation over the whole flank of the tooth at `rotation_1`: points first, then the place
  /// between points narrowed down; the corner of gear 2 where its tip circle cuts the flank.
  [[nodiscard]] double stop_of_tooth(double angle_1) const {
    const Rotation rotation_1(angle_1);
    const double step = flank_1_.roll_at_tip() / intervals;
    const double none = std::numeric_limits<double>::infinity();

    double best = none;
    double best_roll = 0.0;
    double low_end = 0.0;  // of the part of the flank inside gear 2's tip circle
    Sweep before{};
    for (int i = 0; i <= intervals; ++i) {
      const double roll = i * step;
      const Sweep here = sweep(points_1_[static_cast<std::size_t>(i)], rotation_1);
      if (i > 0 && before.radius > flank_2_.tip_radius() && here.radius <= flank_2_.tip_radius()) {
        low_end = tip_circle_crossing(roll - step, roll, rotation_1);
        const Sweep corner = sweep(low_end, rotation_1);
        if (corner.rotation < best) {
          best = corner.rotation;
          best_roll = low_end;
        }
      }
      if (here.rotation < best) {
        best = here.rotation;
        best_roll = roll;
      }
      before = here;
    }
    if (best == none) {
      return none;  // out of gear 2's reach
    }
    return std::min(best,
                    least_between(std::max(best_roll - step, low_end),
                                  std::min(best_roll + step, flank_1_.roll_at_tip()), rotation_1));
  }

  /// Where gear 2's tip circle cuts the flank, a little inside, by bisection.
  [[nodiscard]] double tip_circle_crossing(double outside, double inside,
                                           const Rotation& rotation_1) const {
    for (int i = 0; i < 45; ++i) {
      const double middle = (outside + inside) / 2.0;
      (sweep(middle, rotation_1).radius > flank_2_.tip_radius() ? outside : inside) = middle;
    }
    return inside;
  }

  /// Least rotation between two places of the flank, by thirds.
  [[nodiscard]] double least_between(double low, double high, const Rotation& rotation_1) const {
    for (int i = 0; i < 16; ++i) {
      const double third = (high - low) / 3.0;
      if (sweep(low + third, rotation_1).rotation < sweep(high - third, rotation_1).rotation) {
        high -= third;
      } else {
        low += third;
      }
    }
    return sweep((low + high) / 2.0, rotation_1).rotation;
  }

  static constexpr int intervals = 64;  // of gear 1's flank

  Flank flank_1_;
  Flank flank_2_;
  double apart_;
  std::vector<Point> points_1_;
};

struct Extremes {
  double least;
  double greatest;
};

/// Least value of `f` between `low` and `high` by thirds, for a function with one valley there.
template <class Function>
[[nodiscard]] double valley(const Function& f, double low, double high) {
  for (int i = 0; i < 30; ++i) {
    const double third = (high - low) / 3.0;
    if (f(low + third) < f(high - third)) {
      high -= third;
    } else {
      low += third;
    }
  }
  return f((low + high) / 2.0);
}

/// Least value over one period of `f`: samples, then every low place narrowed down.
template <class Function>
[[nodiscard]] double least_over_period(const Function& f, double period, int samples) {
  const double step = period / samples;
  std::vector<double> at(static_cast<std::size_t>(samples) + 2);
  for (int i = -1; i <= samples; ++i) {
    at[static_cast<std::size_t>(i + 1)] = f(i * step);
  }
  const double least_sample = *std::min_element(at.begin(), at.end());
  // Between samples the gap cannot fall by more: its rate of change is that of a corner on a flank.
  constexpr double reach = 1e-6;
  // Over much of the cycle the gap does not change at all; rounding must not look like a valley.
  constexpr double flatness = 1e-10;
  double least = least_sample;
  for (int i = 0; i < samples; ++i) {
    const auto k = static_cast<std::size_t>(i + 1);
    const bool valley_here =
        at[k] <= at[k - 1] && at[k] <= at[k + 1] && at[k - 1] + at[k + 1] - 2.0 * at[k] > flatness;
    if (valley_here && at[k] < least_sample + reach) {
      least = std::min(least, valley(f, (i - 1) * step, (i + 1) * step));
    }
  }
  return least;
}

/// Least and greatest gap over one mesh cycle.
[[nodiscard]] inline Extremes gap_over_cycle(const OverlapPair& pair, int samples) {
  const double period = pair.gear_1().pitch_angle();
  const auto gap = [&pair](double rotation) { return pair.gap(rotation); };
  const auto negated_gap = [&pair](double rotation) { return -pair.gap(rotation); };
  return {least_over_period(gap, period, samples),
          -least_over_period(negated_gap, period, samples)};
}

/// Least and greatest gap of a helical pair of gears: thin spur slices over the face width, each
/// turned by its gear's helix; the stack stops where the first slice stops.
[[nodiscard]] inline Extremes gap_of_stack(const OverlapPair& pair, double face_width, int slices,
                                           int samples) {
  // One spur slice over one pitch, as the excess over the mean transmission; interpolated between
  // samples, which costs at most a corner's change of rate over one sample.
  const double pitch_1 = pair.gear_1().pitch_angle();
  const double mean_ratio = pair.gear_2().pitch_angle() / pitch_1;
  std::vector<double> excess(static_cast<std::size_t>(samples) + 1);
  for (int i = 0; i <= samples; ++i) {
    const double rotation = pitch_1 * i / samples;
    excess[static_cast<std::size_t>(i)] = pair.upper_stop(rotation) + mean_ratio * rotation;
  }
  const auto upper = [&](double rotation) {
    const double pitches = rotation / pitch_1;
    const double place = (pitches - std::floor(pitches)) * samples;
    const auto low =
        std::min(static_cast<std::size_t>(place), static_cast<std::size_t>(samples) - 1);
    const double share = place - static_cast<double>(low);
    return (1.0 - share) * excess[low] + share * excess[low + 1] - mean_ratio * rotation;
  };

  Extremes extremes{std::numeric_limits<double>::infinity(),
                    -std::numeric_limits<double>::infinity()};
  for (int i = 0; i < samples; ++i) {
    const double rotation = pitch_1 * i / samples;
    double upper_stop = std::numeric_limits<double>::infinity();
    double lower_stop = -std::numeric_limits<double>::infinity();
    for (int slice = 0; slice <= slices; ++slice) {
      const double along = face_width * slice / slices;
      const double turned = rotation + pair.gear_1().twist(along);
      const double turned_back = pair.gear_2().twist(along);
      upper_stop = std::min(upper_stop, upper(turned) + turned_back);
      lower_stop = std::max(lower_stop, -upper(-turned) + turned_back);
    }
    const double gap = (upper_stop - lower_stop) * pair.gear_2().base_radius();
    extremes.least = std::min(extremes.least, gap);
    extremes.greatest = std::max(extremes.greatest, gap);
  }
  return extremes;
}

/// How far the axes can approach until both flanks touch, for gears of equal base pitch, whose gap
/// is the same at every rotation. By bisection on the gap itself.
[[nodiscard]] inline double axes_approach(const DrawnGear& gear_1, const DrawnGear& gear_2,
                                          double axes_apart, double furthest) {
  double touching = furthest;
  double free = 0.0;
  for (int i = 0; i < 50; ++i) {
    const double middle = (touching + free) / 2.0;
    (OverlapPair(gear_1, gear_2, axes_apart - middle).gap(0.0) > 0.0 ? free : touching) = middle;
  }
  return free;
}

}  // namespace flank_overlap
