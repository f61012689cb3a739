#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

// Where names in a drawing go. Lengths are user units of the drawing, y downward.
namespace lashband::report {

struct Spot {
  double x = 0.0;
  double y = 0.0;
};

struct Box {
  double left = 0.0;
  double top = 0.0;
  double right = 0.0;
  double bottom = 0.0;

  [[nodiscard]] static Box around(Spot centre, double width, double height) {
    return {centre.x - 0.5 * width, centre.y - 0.5 * height, centre.x + 0.5 * width,
            centre.y + 0.5 * height};
  }
  [[nodiscard]] double width() const { return right - left; }
  [[nodiscard]] double height() const { return bottom - top; }
  [[nodiscard]] Spot centre() const { return {0.5 * (left + right), 0.5 * (top + bottom)}; }
};

struct Segment {
  Spot from{};
  Spot to{};
};

/// Width of a text in em, rather too great than too small: 0.62 for a character of a sans-serif
/// letter, more for capitals and the wide ones, 1 from the scripts of East Asia on.
[[nodiscard]] double width_in_em(std::string_view text);

/// Least and greatest distance of a box's points from a spot.
struct DistanceRange {
  double least = 0.0;
  double greatest = 0.0;
};
[[nodiscard]] DistanceRange distances(Spot from, const Box& box);

/// A place where a label could go. The leader, where there is one, goes from `anchor` to the box.
struct Candidate {
  Box box{};
  double cost = 0.0;  ///< the lower the better
  std::optional<Spot> anchor{};
};

struct PlacedLabel {
  Box box{};
  std::optional<Segment> leader{};
  double cost = 0.0;  ///< of the candidate and of what it crosses
};

/// Places labels one after the other so that no box overlaps another or leaves the drawing
/// sideways. Text across lines is avoided where there is a choice.
class LabelPlacement {
 public:
  LabelPlacement(double left, double right) : left_(left), right_(right) {}

  /// A line of the drawing that text had better not cross.
  void add_circle(Spot centre, double radius);
  /// Something small in the drawing: no text may be there, and leaders had better not cross it.
  void add_symbol(const Box& box);

  /// The cheapest of the candidates that are free; nothing where none is, or none below a cost.
  std::optional<PlacedLabel> place(std::vector<Candidate> candidates, double greatest_cost);
  /// A place in the rows above the drawing's `top` or below its `bottom`, whatever leaders cross.
  PlacedLabel place_outside(Spot anchor, double width, double height, bool below, double edge);

 private:
  struct Circle {
    Spot centre{};
    double radius = 0.0;
  };
  [[nodiscard]] bool inside(const Box& box) const;
  [[nodiscard]] bool overlaps_box(const Box& box) const;
  [[nodiscard]] bool is_free(const Box& box, const std::optional<Segment>& leader) const;
  [[nodiscard]] double crossing_cost(const Box& box, const std::optional<Segment>& leader) const;
  void occupy(const Box& box);
  void keep(const PlacedLabel& label);
  [[nodiscard]] std::size_t column_of(double x) const;

  static constexpr std::size_t column_count = 64;

  double left_;
  double right_;
  std::vector<Circle> circles_;
  std::vector<Box> symbols_;
  std::vector<Box> texts_;
  std::vector<Segment> leaders_;
  /// Boxes by the vertical strips of the drawing that they reach into.
  std::array<std::vector<Box>, column_count> columns_{};
};

}  // namespace lashband::report
