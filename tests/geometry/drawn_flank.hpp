#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <vector>

/// The flank of a drawn gear as a set of points in the transverse plane, from the drawing's
/// definition of a tooth: an involute unwound from the base circle, a thickness at the reference
/// circle, a sharp corner at the tip circle. All lengths in metres, all angles in radians.
namespace flank_overlap {

inline constexpr double pi = std::numbers::pi;

/// What a drawing says of a gear, and by how much the gear has grown since.
struct DrawnGear {
  int teeth = 0;
  double module = 0.0;          // normal
  double pressure_angle = 0.0;  // normal
  double helix_angle = 0.0;     // magnitude
  double profile_shift = 0.0;
  double thickness_allowance = 0.0;  // normal
  double tip_diameter = 0.0;
  double growth = 0.0;  // every length is as drawn times (1 + growth)
};

/// A point in polar coordinates about the gear's axis; the angle counts from the tooth's centre
/// line.
struct FlankPoint {
  double radius;
  double angle;
};

/// The left flank of a tooth whose centre line points along +x, seen from +z: angles are positive.
/// The right flank is its mirror image.
class Flank {
 public:
  explicit Flank(const DrawnGear& gear) : teeth_(gear.teeth) {
    // The reference cylinder and its transverse section, by definition of module and helix angle.
    const double reference_radius = gear.teeth * gear.module / std::cos(gear.helix_angle) / 2.0;
    const double transverse_angle =
        std::atan(std::tan(gear.pressure_angle) / std::cos(gear.helix_angle));
    const double drawn_base_radius = reference_radius * std::cos(transverse_angle);
    const double normal_thickness =
        gear.module * (pi / 2.0 + 2.0 * gear.profile_shift * std::tan(gear.pressure_angle)) +
        gear.thickness_allowance;
    const double transverse_thickness = normal_thickness / std::cos(gear.helix_angle);

    const double scale = 1.0 + gear.growth;
    base_radius_ = drawn_base_radius * scale;
    tip_radius_ = gear.tip_diameter / 2.0 * scale;
    lead_ = gear.helix_angle > 0.0
                ? 2.0 * pi * reference_radius / std::tan(gear.helix_angle) * scale
                : std::numeric_limits<double>::infinity();
    roll_at_tip_ = roll_at(tip_radius_);
    start_angle_ = transverse_thickness / (2.0 * reference_radius) +
                   unwound(roll_at(reference_radius * scale)).angle;

    table_.reserve(table_intervals + 1);
    for (std::size_t i = 0; i <= table_intervals; ++i) {
      table_.push_back(at_roll(roll_at_tip_ * static_cast<double>(i) / table_intervals));
    }
  }

  [[nodiscard]] int teeth() const { return teeth_; }
  [[nodiscard]] double pitch_angle() const { return 2.0 * pi / teeth_; }
  [[nodiscard]] double base_radius() const { return base_radius_; }
  [[nodiscard]] double tip_radius() const { return tip_radius_; }
  [[nodiscard]] double roll_at_tip() const { return roll_at_tip_; }
  /// How far a section turns from another one `along` the axis.
  [[nodiscard]] double twist(double along) const { return 2.0 * pi * along / lead_; }

  /// The point of the flank reached when the string has been unwound by the angle `roll`.
  [[nodiscard]] FlankPoint at_roll(double roll) const {
    const FlankPoint point = unwound(roll);
    return {point.radius, start_angle_ - point.angle};
  }

  /// Polar angle of the flank at `radius`, interpolated between the points of the flank.
  /// The radius lies between base and tip circle.
  [[nodiscard]] double angle_at(double radius) const {
    const double place = roll_at(radius) / roll_at_tip_ * table_intervals;
    const auto low = std::min(static_cast<std::size_t>(std::max(place, 0.0)), table_intervals - 1);
    const double share = place - static_cast<double>(low);
    return (1.0 - share) * table_[low].angle + share * table_[low + 1].angle;
  }

 private:
  // 4000 intervals: chord against arc under 1e-9 of the radius.
  static constexpr std::size_t table_intervals = 4000;

  /// End of the string unwound from the base circle, by the string's own right-angled triangle.
  [[nodiscard]] FlankPoint unwound(double roll) const {
    const double x = base_radius_ * (std::cos(roll) + roll * std::sin(roll));
    const double y = base_radius_ * (std::sin(roll) - roll * std::cos(roll));
    return {std::hypot(x, y), std::atan2(y, x)};
  }

  [[nodiscard]] double roll_at(double radius) const {
    const double ratio = radius / base_radius_;
    return std::sqrt(std::max(0.0, (ratio - 1.0) * (ratio + 1.0)));
  }

  int teeth_;
  double base_radius_ = 0.0;
  double tip_radius_ = 0.0;
  double lead_ = 0.0;
  double roll_at_tip_ = 0.0;
  double start_angle_ = 0.0;  // polar angle at the base circle
  std::vector<FlankPoint> table_;
};

}  // namespace flank_overlap
