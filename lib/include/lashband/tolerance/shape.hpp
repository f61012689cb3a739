#pragma once

#include <memory>
#include <vector>

/// How the values of a toleranced dimension are spread over its band.
///
/// Simplification: one dimension at a time; what two dimensions have in common is a correlation.
namespace lashband::tolerance {

/// The density of a standard variable y that spreads over the band [-1, 1]: a dimension with the
/// band [low, high] has the value (low + high)/2 + y (high - low)/2. Dimensionless throughout.
/// Immutable.
class Shape {
 public:
  enum class Kind { uniform, normal, truncated_normal, triangular, tabulated };

  /// A point of a tabulated density: place on [-1, 1], relative density.
  struct Point {
    double y;
    double density;
  };

  /// Every value of the band alike.
  static Shape uniform();
  /// Normal about the middle; the limits of the band lie at +-3 sigma times the capability C_p
  /// (ISO 22514-2: C_p = tolerance / (6 sigma)), so sigma = 1/(3 C_p). Not bounded: 0.27 % of the
  /// parts lie outside the limits at C_p = 1. Throws DomainError unless C_p is finite and above 0.
  static Shape normal(double capability = 1.0);
  /// The same, with every part outside the limits sorted out: the normal density within [-1, 1],
  /// scaled to 1. Bounded, unlike `normal`, and narrower. Throws DomainError unless C_p is from
  /// 1e-6 to 1e6.
  static Shape truncated_normal(double capability = 1.0);
  /// Rises linearly from -1 to the mode and falls linearly to 1. Throws DomainError unless
  /// -1 <= mode <= 1.
  static Shape triangular(double mode = 0.0);
  /// Linear between the points, 0 outside, scaled to 1. Throws DomainError unless there are 2 to
  /// 1000 points in rising order within [-1, 1], no density is negative and the area is above 0.
  static Shape tabulated(std::vector<Point> points);

  [[nodiscard]] Kind kind() const { return kind_; }
  /// C_p of the normal kinds; 1 for others.
  [[nodiscard]] double capability() const { return capability_; }
  [[nodiscard]] double mode() const { return mode_; }
  /// Points of a tabulated density, scaled to area 1; empty for other kinds.
  [[nodiscard]] const std::vector<Point>& points() const { return points_; }

  /// The ends of the support; infinite for `normal`.
  [[nodiscard]] double least() const;
  [[nodiscard]] double greatest() const;
  /// Exact to 1e-15 absolute.
  [[nodiscard]] double mean() const;
  /// Standard deviation, to 1e-14 relative.
  [[nodiscard]] double sigma() const;
  [[nodiscard]] double density(double y) const;
  /// P(Y <= y), to 1e-13 relative in the lower tail too (1e-14 where it is above 1e-12).
  [[nodiscard]] double below(double y) const;
  /// P(Y > y), likewise in the upper tail.
  [[nodiscard]] double above(double y) const;
  /// The y with below(y) = p, for 0 < p < 1, to 1e-13 absolute. Throws DomainError outside.
  [[nodiscard]] double quantile(double p) const;

 private:
  Shape() = default;

  Kind kind_ = Kind::uniform;
  double capability_ = 1.0;
  double mode_ = 0.0;
  std::vector<Point> points_;
  std::vector<double> below_points_;  ///< P(Y <= y) at the points of a table
  std::vector<double> above_points_;  ///< P(Y > y) there
};

}  // namespace lashband::tolerance
