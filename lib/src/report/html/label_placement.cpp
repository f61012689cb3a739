#include "label_placement.hpp"

#include <algorithm>
#include <cmath>

#include "escape.hpp"

namespace lashband::report {
namespace {

// What a line through a text, or one leader across another, is worth in user units of distance.
constexpr double cost_of_crossed_text = 30.0;
constexpr double cost_of_crossed_leaders = 40.0;
constexpr double cost_of_crossed_symbol = 30.0;
constexpr double cost_of_crossed_circle = 1.0;

// Between texts. Side by side, two of them must not read as one.
constexpr double margin_beside = 5.0;
constexpr double margin_above = 2.0;
constexpr double margin_to_circle = 1.0;

bool overlap(const Box& a, const Box& b) {
  return a.left < b.right + margin_beside && b.left < a.right + margin_beside &&
         a.top < b.bottom + margin_above && b.top < a.bottom + margin_above;
}

bool contains(const Box& box, Spot spot) {
  return box.left <= spot.x && spot.x <= box.right && box.top <= spot.y && spot.y <= box.bottom;
}

double cross(Spot o, Spot a, Spot b) {
  return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}

bool cross(const Segment& a, const Segment& b) {
  return cross(a.from, a.to, b.from) * cross(a.from, a.to, b.to) < 0.0 &&
         cross(b.from, b.to, a.from) * cross(b.from, b.to, a.to) < 0.0;
}

// Whether the segment has a point within the box, by clipping it at each side in turn.
bool cross(const Segment& segment, const Box& box) {
  double enter = 0.0;
  double leave = 1.0;
  const auto clip = [&](double from, double to, double low, double high) {
    const double extent = to - from;
    if (extent == 0.0) {
      return low < from && from < high;
    }
    const double at_low = (low - from) / extent;
    const double at_high = (high - from) / extent;
    enter = std::max(enter, std::min(at_low, at_high));
    leave = std::min(leave, std::max(at_low, at_high));
    return enter < leave;
  };
  return clip(segment.from.x, segment.to.x, box.left, box.right) &&
         clip(segment.from.y, segment.to.y, box.top, box.bottom);
}

double distance(Spot a, Spot b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

// To the nearest point of the box.
Segment leader_to(const Box& box, Spot anchor) {
  return {anchor,
          {std::clamp(anchor.x, box.left, box.right), std::clamp(anchor.y, box.top, box.bottom)}};
}

Box enlarged(const Box& box, double by) {
  return {box.left - by, box.top - by, box.right + by, box.bottom + by};
}

}  // namespace

double width_in_em(std::string_view text) {
  constexpr std::u32string_view wide = U"MWmw@%&";
  double width = 0.0;
  for (const char32_t c : code_points(text)) {
    if (c >= 0x1100 || wide.find(c) != std::u32string_view::npos) {
      width += 1.0;
    } else if (c >= U'A' && c <= U'Z') {
      width += 0.75;
    } else {
      width += 0.62;
    }
  }
  return width;
}

DistanceRange distances(Spot from, const Box& box) {
  const double dx_least = std::max({box.left - from.x, 0.0, from.x - box.right});
  const double dy_least = std::max({box.top - from.y, 0.0, from.y - box.bottom});
  const double dx_most = std::max(std::abs(box.left - from.x), std::abs(box.right - from.x));
  const double dy_most = std::max(std::abs(box.top - from.y), std::abs(box.bottom - from.y));
  return {std::hypot(dx_least, dy_least), std::hypot(dx_most, dy_most)};
}

void LabelPlacement::add_circle(Spot centre, double radius) {
  circles_.push_back({centre, radius});
}

std::size_t LabelPlacement::column_of(double x) const {
  const double share = std::clamp((x - left_) / (right_ - left_), 0.0, 1.0);
  return static_cast<std::size_t>(share * static_cast<double>(column_count - 1));
}

void LabelPlacement::occupy(const Box& box) {
  for (std::size_t i = column_of(box.left); i <= column_of(box.right); ++i) {
    columns_[i].push_back(box);
  }
}

void LabelPlacement::add_symbol(const Box& box) {
  occupy(box);
  symbols_.push_back(box);
}

bool LabelPlacement::inside(const Box& box) const {
  return box.left >= left_ && box.right <= right_;
}

bool LabelPlacement::overlaps_box(const Box& box) const {
  const std::size_t last = column_of(box.right + margin_beside);
  for (std::size_t i = column_of(box.left - margin_beside); i <= last; ++i) {
    for (const Box& other : columns_[i]) {
      if (overlap(box, other)) {
        return true;
      }
    }
  }
  return false;
}

bool LabelPlacement::is_free(const Box& box, const std::optional<Segment>& leader) const {
  if (!inside(box) || overlaps_box(box)) {
    return false;
  }
  for (const Segment& other : leaders_) {
    if (cross(other, box)) {
      return false;
    }
  }
  if (leader) {
    for (const Box& other : texts_) {
      if (cross(*leader, other)) {
        return false;
      }
    }
  }
  return true;
}

double LabelPlacement::crossing_cost(const Box& box, const std::optional<Segment>& leader) const {
  double cost = 0.0;
  const Box room = enlarged(box, margin_to_circle);
  for (const Circle& circle : circles_) {
    const DistanceRange range = distances(circle.centre, room);
    if (range.least < circle.radius && circle.radius < range.greatest) {
      cost += cost_of_crossed_text;
    }
    if (leader) {
      const bool starts_within = distance(circle.centre, leader->from) < circle.radius;
      const bool ends_within = distance(circle.centre, leader->to) < circle.radius;
      cost += starts_within != ends_within ? cost_of_crossed_circle : 0.0;
    }
  }
  if (leader) {
    for (const Segment& other : leaders_) {
      cost += cross(*leader, other) ? cost_of_crossed_leaders : 0.0;
    }
    for (const Box& symbol : symbols_) {
      const bool own = contains(symbol, leader->from);
      cost += !own && cross(*leader, symbol) ? cost_of_crossed_symbol : 0.0;
    }
  }
  return cost;
}

void LabelPlacement::keep(const PlacedLabel& label) {
  occupy(label.box);
  texts_.push_back(label.box);
  if (label.leader) {
    leaders_.push_back(*label.leader);
  }
}

std::optional<PlacedLabel> LabelPlacement::place(std::vector<Candidate> candidates,
                                                 double greatest_cost) {
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.cost < b.cost; });
  std::optional<PlacedLabel> best;
  double least = greatest_cost;
  for (const Candidate& candidate : candidates) {
    if (!(candidate.cost < least)) {
      break;  // what it crosses only adds
    }
    std::optional<Segment> leader;
    if (candidate.anchor) {
      leader = leader_to(candidate.box, *candidate.anchor);
    }
    if (!is_free(candidate.box, leader)) {
      continue;
    }
    const double cost = candidate.cost + crossing_cost(candidate.box, leader);
    if (cost < least) {
      best = PlacedLabel{candidate.box, leader, cost};
      least = cost;
    }
  }
  if (best) {
    keep(*best);
  }
  return best;
}

PlacedLabel LabelPlacement::place_outside(Spot anchor, double width, double height, bool below,
                                          double edge) {
  const double x = std::clamp(anchor.x, left_ + 0.5 * width, right_ - 0.5 * width);
  double y = edge;
  while (true) {
    const Box box = Box::around({x, y}, width, height);
    if (!overlaps_box(box)) {
      const PlacedLabel label{box, leader_to(box, anchor), 0.0};
      keep(label);
      return label;
    }
    y += (below ? 1.0 : -1.0) * (height + margin_above);
  }
}

}  // namespace lashband::report
