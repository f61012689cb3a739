#include "plan_view.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>
#include <optional>
#include <string_view>

#include "escape.hpp"
#include "label_placement.hpp"
#include "lashband/units/format.hpp"
#include "lashband/units/plain_number.hpp"

namespace lashband::report {
namespace {

using design::Layout;

constexpr double pi = std::numbers::pi;

// The drawing in its user units, which are pixels where it is shown 680 wide; on A4 paper with
// margins of 15 mm, 12 of them are 9 pt.
constexpr double drawing_width = 680.0;
constexpr double border = 10.0;
constexpr double greatest_height = 400.0;       // of the circles
constexpr double greatest_tall_height = 760.0;  // of a train that is higher than wide
constexpr double name_size = 13.0;
constexpr double number_size = 12.0;
constexpr double name_height = 16.0;
constexpr double number_height = 17.0;
constexpr std::size_t longest_name = 24;  // characters; a longer one goes to the key
// A name that lies across two circles, or one far away, had better be a number.
constexpr double greatest_cost_of_a_name = 70.0;
constexpr double cost_of_distance = 0.6;
// From a circle to a name outside it: touching it, or with a leader.
constexpr double touching = 3.0;
constexpr std::array<double, 8> outside_gaps = {touching, 12.0, 24.0, 36.0, 50.0, 65.0, 80.0, 95.0};
// More numbers than these are a thicket in which nobody finds one.
constexpr std::size_t most_labels = 250;
// Below this height, numbers stand in rows above and below the train.
constexpr double height_of_a_thin_train = 60.0;

std::string number(double x) {
  std::string text = units::fixed_number(x, 2);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') {
    text.pop_back();
  }
  return text;
}

Spot on_circle(Spot centre, double radius, double angle) {
  return {centre.x + radius * std::cos(angle), centre.y - radius * std::sin(angle)};
}

// The train in user units.
struct DrawnShaft {
  Spot centre{};
  double turn_radius = 0.0;  // of the arrow of rotation
  double reach = 0.0;        // greatest outer radius
  std::vector<std::size_t> gears{};
};

struct DrawnGear {
  Spot centre{};
  double pitch_radius = 0.0;
  double tip_radius = 0.0;
  double outer_radius = 0.0;  // of the circle around it all: the tips, of a ring gear the roots
  double inner_radius = 0.0;  // of what else is drawn within it
  bool internal = false;
};

struct Drawing {
  double scale = 1.0;  // user units per metre
  double top = 0.0;
  double bottom = 0.0;
  std::vector<DrawnShaft> shafts{};
  std::vector<DrawnGear> gears{};
  std::vector<Spot> pitch_points{};
};

struct Extent {
  double left = std::numeric_limits<double>::infinity();
  double right = -std::numeric_limits<double>::infinity();
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();

  void add(double x, double y, double radius) {
    left = std::min(left, x - radius);
    right = std::max(right, x + radius);
    low = std::min(low, y - radius);
    high = std::max(high, y + radius);
  }
};

// Of a ring gear the roots are outside.
units::Length outer_radius(const Layout::Gear& gear) {
  return std::max(
      {gear.tip_radius, gear.reference_radius, gear.internal ? gear.root_radius : units::Length()});
}

Extent extent_of(const Layout& layout) {
  Extent extent;
  for (const Layout::Shaft& shaft : layout.shafts) {
    extent.add(shaft.place.x.value(), shaft.place.y.value(), 0.0);
  }
  for (const Layout::Gear& gear : layout.gears) {
    const geometry::Point& place = layout.shafts[gear.shaft].place;
    extent.add(place.x.value(), place.y.value(), outer_radius(gear).value());
  }
  return extent;
}

// The arrow stays clear of the circles of its shaft: within the smallest, or around it where that
// is too small to hold an arrow.
double turn_radius(const Drawing& drawing, const DrawnShaft& shaft) {
  constexpr double greatest = 15.0;
  constexpr double least = 7.0;
  double smallest = greatest / 0.6;
  double smallest_tip = 0.0;
  for (const std::size_t gear : shaft.gears) {
    if (drawing.gears[gear].pitch_radius < smallest) {
      smallest = drawing.gears[gear].pitch_radius;
      smallest_tip = drawing.gears[gear].tip_radius;
    }
  }
  const double within = std::min(greatest, 0.6 * smallest);
  const double around = smallest_tip + 5.0;
  return within < least && around < 0.8 * shaft.reach ? around : within;
}

Drawing drawing_of(const Layout& layout) {
  Drawing drawing;
  Extent extent = extent_of(layout);
  if (layout.shafts.empty()) {
    extent.add(0.0, 0.0, 0.0);
  }
  const double width = extent.right - extent.left;
  const double height = extent.high - extent.low;
  const double room = height > 1.3 * width ? greatest_tall_height : greatest_height;
  const double across = (drawing_width - 2.0 * border) / width;
  const double upright = room / height;
  const double scale = std::min(across, upright);
  constexpr double for_a_point = 1000.0;  // a millimetre each, where there is nothing to measure
  drawing.scale = std::isfinite(scale) ? scale : for_a_point;
  const double mid_x = 0.5 * (extent.left + extent.right);
  const auto spot = [&](const geometry::Point& place) {
    return Spot{0.5 * drawing_width + drawing.scale * (place.x.value() - mid_x),
                drawing.scale * (extent.high - place.y.value())};
  };
  drawing.bottom = drawing.scale * height;
  for (const Layout::Shaft& shaft : layout.shafts) {
    drawing.shafts.push_back({spot(shaft.place), 0.0, 0.0, {}});
  }
  for (std::size_t i = 0; i < layout.gears.size(); ++i) {
    const Layout::Gear& gear = layout.gears[i];
    DrawnShaft& shaft = drawing.shafts[gear.shaft];
    drawing.gears.push_back({shaft.centre, drawing.scale * gear.reference_radius.value(),
                             drawing.scale * gear.tip_radius.value(),
                             drawing.scale * outer_radius(gear).value(), 0.0, gear.internal});
    shaft.reach = std::max(shaft.reach, drawing.gears.back().outer_radius);
    shaft.gears.push_back(i);
  }
  for (std::size_t n = 0; n < drawing.shafts.size(); ++n) {
    DrawnShaft& shaft = drawing.shafts[n];
    shaft.turn_radius = turn_radius(drawing, shaft);
    for (std::size_t k = 0; k < n; ++k) {
      // Of shafts in line, each arrow is around the one before.
      const DrawnShaft& other = drawing.shafts[k];
      if (std::hypot(shaft.centre.x - other.centre.x, shaft.centre.y - other.centre.y) < 1.0) {
        shaft.turn_radius = std::max(shaft.turn_radius, other.turn_radius + 6.0);
      }
    }
    for (const std::size_t i : shaft.gears) {
      DrawnGear& gear = drawing.gears[i];
      if (gear.internal) {
        gear.inner_radius = gear.pitch_radius;  // its mates are within: its name stands outside
        continue;
      }
      gear.inner_radius = std::min(shaft.turn_radius, gear.pitch_radius);
      for (const std::size_t k : shaft.gears) {
        const double tip = drawing.gears[k].outer_radius;
        if (k != i && tip < gear.pitch_radius) {
          gear.inner_radius = std::max(gear.inner_radius, tip);
        }
      }
    }
  }
  for (const Layout::Mesh& mesh : layout.meshes) {
    const DrawnGear& first = drawing.gears[mesh.gear_1];
    const DrawnGear& second = drawing.gears[mesh.gear_2];
    // The pitch point parts the line of centres, with a ring gear beyond its mate.
    const double side = second.internal ? -1.0 : 1.0;
    const double share = first.pitch_radius / (first.pitch_radius + side * second.pitch_radius);
    drawing.pitch_points.push_back({first.centre.x + share * (second.centre.x - first.centre.x),
                                    first.centre.y + share * (second.centre.y - first.centre.y)});
  }
  return drawing;
}

enum class Kind { shaft, gear, mesh };

struct Label {
  Kind kind = Kind::shaft;
  std::size_t index = 0;
  std::string_view name;
  bool numbered = false;
  std::string text{};  // the name or the number
  PlacedLabel placed{};
  double width = 0.0;
  double height = 0.0;
};

// Names and numbers where they could go.
class Labelling {
 public:
  Labelling(const Layout& layout, const Drawing& drawing) : layout_(layout), drawing_(drawing) {
    for (std::size_t i = 0; i < layout.shafts.size(); ++i) {
      labels_.push_back({Kind::shaft, i, layout.shafts[i].id, false, {}, {}, 0.0, 0.0});
    }
    for (std::size_t i = 0; i < layout.gears.size(); ++i) {
      labels_.push_back({Kind::gear, i, layout.gears[i].id, false, {}, {}, 0.0, 0.0});
    }
    for (std::size_t i = 0; i < layout.meshes.size(); ++i) {
      labels_.push_back({Kind::mesh, i, layout.meshes[i].id, false, {}, {}, 0.0, 0.0});
    }
    for (Label& label : labels_) {
      label.numbered = code_points(label.name).size() > longest_name;
    }
    // A name without room becomes a number, which may leave another one without room. Where too
    // many have none, numbers throughout read better than a mixture.
    constexpr int most_rounds = 4;
    const std::size_t many = 1 + labels_.size() / 8;
    for (int round = 0; round < most_rounds; ++round) {
      if (place_all() == 0) {
        return;
      }
      const auto numbered = static_cast<std::size_t>(std::count_if(
          labels_.begin(), labels_.end(), [](const Label& label) { return label.numbered; }));
      if (numbered > many) {
        break;
      }
    }
    all_numbered_ = true;
    thin_ = drawing_.bottom - drawing_.top < height_of_a_thin_train;
    const auto drawn = std::count_if(labels_.begin(), labels_.end(),
                                     [this](const Label& label) { return !shares_number(label); });
    if (static_cast<std::size_t>(drawn) > most_labels) {
      labels_.clear();
    }
    for (Label& label : labels_) {
      label.numbered = true;
    }
    place_all();
  }

  /// Empty where there are too many of them.
  const std::vector<Label>& labels() const { return labels_; }
  std::vector<KeyEntry> key() const {
    std::vector<KeyEntry> key;
    for (const Label& label : labels_) {
      if (!label.numbered) {
        continue;
      }
      constexpr std::array<const char*, 3> kinds = {"shaft", "gear", "mesh"};
      const auto add = [&](Kind kind, std::string_view name) {
        key.push_back({label.text, kinds[static_cast<std::size_t>(kind)], std::string(name)});
      };
      if (shares_number(label)) {
        continue;  // told with its shaft
      }
      add(label.kind, label.name);
      if (label.kind == Kind::shaft && one_gear(label.index)) {
        add(Kind::gear, layout_.gears[drawing_.shafts[label.index].gears.front()].id);
      }
    }
    return key;
  }
  // A gear that its shaft's number stands for as well.
  bool shares_number(const Label& label) const {
    return label.kind == Kind::gear && one_gear(layout_.gears[label.index].shaft);
  }

 private:
  bool one_gear(std::size_t shaft) const {
    return all_numbered_ && drawing_.shafts[shaft].gears.size() == 1;
  }

  void write_texts() {
    std::size_t next = 1;
    for (Label& label : labels_) {
      const bool shares = shares_number(label);
      label.text = !label.numbered ? std::string(label.name)
                   : shares        ? std::string()
                                   : std::to_string(next++);
      if (label.numbered) {
        label.width = std::max(number_height, number_size * width_in_em(label.text) + 8.0);
        label.height = number_height;
      } else {
        label.width = name_size * width_in_em(label.text);
        label.height = name_height;
      }
    }
  }

  // As in the design; in a thin train from left to right, so that rows fill up evenly.
  std::vector<std::size_t> order() const {
    std::vector<std::size_t> order(labels_.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    if (thin_) {
      std::stable_sort(order.begin(), order.end(), [this](std::size_t a, std::size_t b) {
        return anchor(labels_[a]).x < anchor(labels_[b]).x;
      });
    }
    return order;
  }

  // Number of names that found no room; these are numbered now.
  std::size_t place_all() {
    write_texts();
    LabelPlacement placement(border, drawing_width - border);
    for (const DrawnGear& gear : drawing_.gears) {
      placement.add_circle(gear.centre, gear.pitch_radius);
      placement.add_circle(gear.centre, gear.tip_radius);
      if (gear.internal) {
        placement.add_circle(gear.centre, gear.outer_radius);
      }
    }
    for (const DrawnShaft& shaft : drawing_.shafts) {
      const double side = 2.0 * shaft.turn_radius;
      placement.add_symbol(Box::around(shaft.centre, side, side));
    }
    for (const Spot& point : drawing_.pitch_points) {
      constexpr double side = 8.0;
      placement.add_symbol(Box::around(point, side, side));
    }
    std::size_t failed = 0;
    for (const std::size_t i : order()) {
      Label& label = labels_[i];
      if (shares_number(label)) {
        continue;
      }
      const double greatest_cost =
          label.numbered ? std::numeric_limits<double>::infinity() : greatest_cost_of_a_name;
      if (const auto placed = placement.place(candidates(label), greatest_cost)) {
        label.placed = *placed;
      } else if (label.numbered) {
        const bool below = label.kind == Kind::mesh;
        const double edge = below ? drawing_.bottom + label.height : drawing_.top - label.height;
        label.placed =
            placement.place_outside(anchor(label), label.width, label.height, below, edge);
      } else {
        label.numbered = true;
        ++failed;
      }
    }
    return failed;
  }

  Spot anchor(const Label& label) const {
    switch (label.kind) {
      case Kind::shaft:
        return drawing_.shafts[label.index].centre;
      case Kind::gear: {
        const DrawnGear& gear = drawing_.gears[label.index];
        return {gear.centre.x, gear.centre.y - gear.outer_radius};
      }
      case Kind::mesh:
        break;
    }
    return drawing_.pitch_points[label.index];
  }

  std::vector<Candidate> candidates(const Label& label) const {
    std::vector<Candidate> list;
    if (label.numbered) {
      add_rows(label, list);
    }
    if (thin_) {
      return list;
    }
    switch (label.kind) {
      case Kind::shaft:
        add_shaft_candidates(label, list);
        break;
      case Kind::gear:
        add_gear_candidates(label, list);
        break;
      case Kind::mesh:
        add_mesh_candidates(label, list);
        break;
    }
    return list;
  }

  // The box whose near side is `distance` from a spot, in a direction.
  static Box beyond(Spot spot, double distance, double angle, const Label& label) {
    const double support = 0.5 * std::abs(std::cos(angle)) * label.width +
                           0.5 * std::abs(std::sin(angle)) * label.height;
    const Spot centre = on_circle(spot, distance + support, angle);
    return Box::around({within_borders(centre.x, label.width), centre.y}, label.width,
                       label.height);
  }
  static double within_borders(double x, double width) {
    return std::clamp(x, border + 0.5 * width, drawing_width - border - 0.5 * width);
  }

  // Around the arrow of rotation: below, above, beside, aslant; then outside the gears.
  void add_shaft_candidates(const Label& label, std::vector<Candidate>& list) const {
    const DrawnShaft& shaft = drawing_.shafts[label.index];
    constexpr std::array<double, 8> degrees = {270, 90, 0, 180, 315, 225, 45, 135};
    for (std::size_t i = 0; i < degrees.size(); ++i) {
      const double angle = degrees[i] * pi / 180.0;
      const auto preference = static_cast<double>(i);
      for (const double gap : {3.0, 9.0}) {
        const Box box = beyond(shaft.centre, shaft.turn_radius + gap, angle, label);
        if (distances(shaft.centre, box).greatest < shaft.reach || shaft.gears.empty()) {
          list.push_back({box, preference + gap, std::nullopt});
        }
      }
    }
    constexpr int directions = 16;
    for (int i = 0; i < directions; ++i) {
      // From below, to the left and right in turn; upright and level ones are preferred.
      const int steps = (i % 2 == 0 ? 1 : -1) * ((i + 1) / 2);
      const double angle = -0.5 * pi + 2.0 * pi * steps / directions;
      const double preference = 0.5 * i + (steps % 4 == 0 ? 0.0 : 4.0);
      const Spot from = on_circle(shaft.centre, shaft.turn_radius + 2.0, angle);
      for (const double gap : outside_gaps) {
        list.push_back({beyond(shaft.centre, shaft.reach + 4.0 + gap, angle, label),
                        20.0 + preference + cost_of_distance * gap, from});
      }
    }
  }

  // Within the circle, beside what is drawn within it; then outside at its edge.
  void add_gear_candidates(const Label& label, std::vector<Candidate>& list) const {
    const DrawnGear& gear = drawing_.gears[label.index];
    constexpr int directions = 24;
    for (int i = 0; i < directions; ++i) {
      // From the top, left and right in turn.
      const int steps = (i % 2 == 0 ? 1 : -1) * ((i + 1) / 2);
      const double angle = 0.5 * pi + 2.0 * pi * steps / directions;
      const double preference = 0.5 * i;
      constexpr double clear = 4.0;
      constexpr double inward = 2.0;
      double at = gear.pitch_radius;
      while (at > gear.inner_radius) {
        const Box box = Box::around(on_circle(gear.centre, at, angle), label.width, label.height);
        const DistanceRange range = distances(gear.centre, box);
        if (range.greatest < gear.pitch_radius - clear) {
          if (range.least > gear.inner_radius + 2.0) {
            list.push_back({box, preference, std::nullopt});
          }
          break;
        }
        at -= inward;
      }
      for (const double gap : outside_gaps) {
        std::optional<Spot> from;
        if (gap > touching) {
          from = on_circle(gear.centre, gear.outer_radius, angle);
        }
        list.push_back({beyond(gear.centre, gear.outer_radius + gap, angle, label),
                        15.0 + preference + cost_of_distance * gap, from});
      }
    }
  }

  // Across the line of centres, at the side where the circles part.
  void add_mesh_candidates(const Label& label, std::vector<Candidate>& list) const {
    const Layout::Mesh& mesh = layout_.meshes[label.index];
    const Spot first = drawing_.gears[mesh.gear_1].centre;
    const Spot second = drawing_.gears[mesh.gear_2].centre;
    const Spot point = drawing_.pitch_points[label.index];
    const double across = std::atan2(first.y - second.y, second.x - first.x) + 0.5 * pi;
    const bool upward = std::sin(across) >= -1e-9;
    constexpr std::array<double, 11> degrees = {0, 15, -15, 30, -30, 50, -50, 70, -70, 85, -85};
    double turned = 0.0;
    for (const double aslant : degrees) {
      for (const bool other_side : {false, true}) {
        const double side = upward != other_side ? across : across + pi;
        const double angle = side + aslant * pi / 180.0;
        for (int step = 0; step < 14; ++step) {
          const double gap = 12.0 + 8.0 * step;
          list.push_back(
              {beyond(point, gap, angle, label), cost_of_distance * gap + turned, point});
        }
      }
      turned += 1.5;
    }
  }

  // Rows above and below the circles, near the anchor; shafts and gears rather above, meshes below.
  // The leader meets the box near its right end, so that the next one to the right passes by it.
  void add_rows(const Label& label, std::vector<Candidate>& list) const {
    const Spot from = anchor(label);
    const bool below_first = label.kind == Kind::mesh;
    constexpr int rows = 8;
    constexpr double behind_leader = 4.0;
    const double wrong_side = thin_ ? 200.0 : 60.0;
    for (int row = 0; row < rows; ++row) {
      const double away = (row + 0.8) * (label.height + 3.0);
      for (int step = -4; step <= 4; ++step) {
        const double shift = 3.0 * step + behind_leader - 0.5 * label.width;
        const double x = within_borders(from.x + shift, label.width);
        for (const bool below : {false, true}) {
          const double y = below ? drawing_.bottom + away : drawing_.top - away;
          list.push_back({Box::around({x, y}, label.width, label.height),
                          30.0 + away + std::abs(step) + (below == below_first ? 0.0 : wrong_side),
                          from});
        }
      }
    }
  }

  const Layout& layout_;
  const Drawing& drawing_;
  std::vector<Label> labels_;
  bool all_numbered_ = false;
  bool thin_ = false;
};

// What is not a line; the page's class says the colour.
constexpr const char* filled = R"( fill="currentColor" stroke="none")";

std::string line(Spot from, Spot to, const std::string& more = {}) {
  return "<line x1=\"" + number(from.x) + "\" y1=\"" + number(from.y) + "\" x2=\"" + number(to.x) +
         "\" y2=\"" + number(to.y) + "\"" + more + "/>";
}

std::string circle(Spot centre, double radius, const std::string& more = {}) {
  return "<circle cx=\"" + number(centre.x) + "\" cy=\"" + number(centre.y) + "\" r=\"" +
         number(radius) + "\"" + more + "/>";
}

std::string text_at(double x, double baseline, const std::string& markup,
                    const std::string& attributes) {
  return "<text x=\"" + number(x) + "\" y=\"" + number(baseline) + "\"" + attributes + ">" +
         markup + "</text>";
}

std::string group(const std::string& css_class, const std::string& attributes,
                  const std::string& content) {
  return content.empty() ? std::string()
                         : "<g class=\"" + css_class + "\"" + attributes + ">" + content + "</g>\n";
}

// Long dash, gap, dot, gap (ISO 128).
constexpr double chain_period = 22.0;

std::string chain(double one) {
  return " stroke-dasharray=\"" + number(0.66 * one) + " " + number(0.14 * one) + " " +
         number(0.06 * one) + " " + number(0.14 * one) + "\"";
}

// Closed without a seam: a whole number of them go around.
std::string chain_around(double radius) {
  const double around = 2.0 * pi * radius;
  return chain(around / std::max(6.0, std::round(around / chain_period)));
}

std::string centre_mark(const DrawnShaft& shaft) {
  const double half = std::min(0.62 * shaft.turn_radius, 9.0);
  // Dash, gap, dash across the centre, gap, dash.
  const std::string dashes = " stroke-dasharray=\"" + number(0.5 * half) + " " +
                             number(0.25 * half) + " " + number(0.5 * half) + " " +
                             number(0.25 * half) + "\"";
  const Spot c = shaft.centre;
  return line({c.x - half, c.y}, {c.x + half, c.y}, dashes) +
         line({c.x, c.y - half}, {c.x, c.y + half}, dashes);
}

struct Arrow {
  std::string arc{};
  std::string head{};
};

// Three quarters of a circle around the shaft, open below, with a head at its end.
Arrow turn_arrow(const DrawnShaft& shaft, int sense) {
  const double radius = shaft.turn_radius;
  const double start = sense > 0 ? -0.25 * pi : 1.25 * pi;
  const double end = sense > 0 ? 1.25 * pi : -0.25 * pi;
  const double length = std::clamp(0.62 * radius, 2.0, 8.0);
  const double half_width = 0.38 * length;
  const double base_angle = end - sense * length / radius;
  const Spot from = on_circle(shaft.centre, radius, start);
  const Spot base = on_circle(shaft.centre, radius, base_angle);
  const Spot tip = on_circle(shaft.centre, radius, end);
  const double chord = std::hypot(tip.x - base.x, tip.y - base.y);
  const Spot across = {half_width * (base.y - tip.y) / chord,
                       half_width * (tip.x - base.x) / chord};
  const bool more_than_half = 1.5 * pi - length / radius > pi;
  return {"<path d=\"M" + number(from.x) + " " + number(from.y) + "A" + number(radius) + " " +
              number(radius) + " 0 " + (more_than_half ? "1" : "0") + (sense > 0 ? " 0 " : " 1 ") +
              number(base.x) + " " + number(base.y) + "\"/>",
          "<path d=\"M" + number(tip.x) + " " + number(tip.y) + "L" + number(base.x + across.x) +
              " " + number(base.y + across.y) + "L" + number(base.x - across.x) + " " +
              number(base.y - across.y) + "Z\"/>"};
}

struct ScaleBar {
  double length = 0.0;  // in user units
  std::string text{};
};

// The longest of 1, 2, 5, 10, ... units that is not longer than the room for it.
ScaleBar scale_bar(double scale, UnitSystem units) {
  constexpr double room = 140.0;
  const bool inch = units == UnitSystem::inch;
  const double per_unit = scale * (inch ? 0.0254 : 0.001);
  auto decade = static_cast<int>(std::floor(std::log10(room / per_unit)));
  double length = std::pow(10.0, decade);
  for (const double step : {5.0, 2.0}) {
    if (step * length * per_unit <= room) {
      length *= step;
      break;
    }
  }
  return {length * per_unit,
          units::fixed_number(length, std::clamp(-decade, 0, 17)) + (inch ? " in" : " mm")};
}

std::string counted(std::size_t count, const std::string& one, const std::string& several) {
  return std::to_string(count) + " " + (count == 1 ? one : several);
}

std::string description(const Layout& layout) {
  std::string text = counted(layout.shafts.size(), "shaft", "shafts") + ", " +
                     counted(layout.gears.size(), "gear", "gears") + ", " +
                     counted(layout.meshes.size(), "mesh", "meshes") +
                     ". Senses of rotation are relative to one shaft of those that mesh.";
  std::vector<std::vector<std::size_t>> gears(layout.shafts.size());
  for (std::size_t i = 0; i < layout.gears.size(); ++i) {
    gears[layout.gears[i].shaft].push_back(i);
  }
  for (std::size_t i = 0; i < layout.shafts.size(); ++i) {
    const Layout::Shaft& shaft = layout.shafts[i];
    text += " Shaft " + isolated(shaft.id);
    text += gears[i].empty()  ? " carries no gear"
            : shaft.sense > 0 ? " turns anticlockwise"
            : shaft.sense < 0 ? " turns clockwise"
                              : " cannot turn";
    for (std::size_t k = 0; k < gears[i].size(); ++k) {
      text += k > 0 ? ", " : gears[i].size() > 1 ? " and carries gears " : " and carries gear ";
      text += isolated(layout.gears[gears[i][k]].id);
    }
    text += '.';
  }
  for (const Layout::Mesh& mesh : layout.meshes) {
    text += " Mesh " + isolated(mesh.id) + ": gear " + isolated(layout.gears[mesh.gear_1].id) +
            (layout.gears[mesh.gear_2].internal ? " in ring gear " : " with gear ") +
            isolated(layout.gears[mesh.gear_2].id) + ".";
  }
  return text;
}

// What a reader of the drawing must know.
std::vector<std::string> notes(const Layout& layout, bool named) {
  std::vector<std::string> texts;
  if (!named) {
    texts.emplace_back(
        "Names are left out: the train has more of them than the drawing has room for.");
  }
  const auto chosen = std::count_if(layout.shafts.begin(), layout.shafts.end(),
                                    [](const Layout::Shaft& shaft) { return !shaft.place_given; });
  if (chosen > 0 && chosen == static_cast<std::ptrdiff_t>(layout.shafts.size())) {
    texts.emplace_back("Centre distances are to scale; the places of the shafts are not given.");
  } else if (chosen > 0) {
    texts.emplace_back("The places of " + std::to_string(chosen) + " of " +
                       std::to_string(layout.shafts.size()) +
                       " shafts are not given; their centre distances are to scale.");
  }
  if (std::any_of(layout.meshes.begin(), layout.meshes.end(),
                  [](const Layout::Mesh& mesh) { return !mesh.to_scale; })) {
    texts.emplace_back(
        "Open dots: meshes that the other centre distances leave no place to draw to scale.");
  }
  if (std::any_of(layout.groups.begin(), layout.groups.end(),
                  [](const Layout::Group& locked) { return locked.locked; })) {
    texts.emplace_back(
        "Without arrows: shafts that cannot turn, since a loop has an odd number of meshes.");
  }
  return texts;
}

std::string circles_of(const Drawing& drawing) {
  std::string tips;
  std::string roots;
  std::string pitches;
  for (const DrawnGear& gear : drawing.gears) {
    tips += circle(gear.centre, gear.tip_radius);
    if (gear.internal) {
      roots += circle(gear.centre, gear.outer_radius);
    }
    pitches += circle(gear.centre, gear.pitch_radius, chain_around(gear.pitch_radius));
  }
  return group("plan-tip", "", tips) + group("plan-root", "", roots) +
         group("plan-pitch", "", pitches);
}

std::string shafts_of(const Layout& layout, const Drawing& drawing) {
  std::string marks;
  std::string arcs;
  std::string heads;
  for (std::size_t i = 0; i < layout.shafts.size(); ++i) {
    marks += centre_mark(drawing.shafts[i]);
    const bool turns = !drawing.shafts[i].gears.empty();
    if (const int sense = layout.shafts[i].sense; turns && sense != 0) {
      const Arrow arrow = turn_arrow(drawing.shafts[i], sense);
      arcs += arrow.arc;
      heads += arrow.head;
    }
  }
  return group("plan-centre", "", marks) + group("plan-turn", "", arcs) +
         group("plan-turn-head", filled, heads);
}

std::string mesh_points_of(const Layout& layout, const Drawing& drawing) {
  std::string points;
  std::string open;
  constexpr double radius = 3.0;
  for (std::size_t i = 0; i < layout.meshes.size(); ++i) {
    const DrawnGear& first = drawing.gears[layout.meshes[i].gear_1];
    const DrawnGear& second = drawing.gears[layout.meshes[i].gear_2];
    const double smaller = std::min(first.pitch_radius, second.pitch_radius);
    (layout.meshes[i].to_scale ? points : open) +=
        circle(drawing.pitch_points[i], std::min(radius, 0.4 * smaller));
  }
  return group("plan-mesh", filled, points) + group("plan-mesh-open", "", open);
}

std::string labels_of(const Labelling& labelling) {
  std::string leaders;
  std::string frames;
  std::array<std::string, 3> names;
  for (const Label& label : labelling.labels()) {
    if (label.numbered && labelling.shares_number(label)) {
      continue;
    }
    if (const auto& leader = label.placed.leader) {
      leaders += line(leader->from, leader->to);
    }
    const Box& box = label.placed.box;
    const Spot centre = box.centre();
    const double size = label.numbered ? number_size : name_size;
    if (label.numbered) {
      frames += "<rect x=\"" + number(box.left) + "\" y=\"" + number(box.top) + "\" width=\"" +
                number(box.width()) + "\" height=\"" + number(box.height()) + "\" rx=\"" +
                number(0.5 * box.height()) + "\"/>";
    }
    // Half the height of a capital letter below the middle.
    names[static_cast<std::size_t>(label.kind)] +=
        text_at(centre.x, centre.y + 0.36 * size, isolated(label.text),
                " font-size=\"" + number(size) + "\"");
  }
  const std::string as_text = filled + std::string(R"( text-anchor="middle")");
  return group("plan-leader", "", leaders) + group("plan-number", "", frames) +
         group("plan-gear-name", as_text, names[1]) + group("plan-mesh-name", as_text, names[2]) +
         group("plan-shaft-name", as_text, names[0]);
}

// Scale bar, the meaning of the lines, and notes, from `top` on. `bottom` is where it ends.
struct Foot {
  std::string markup{};
  double bottom = 0.0;
};

Foot foot_of(const Layout& layout, const Drawing& drawing, UnitSystem units, bool named,
             double top) {
  constexpr double row = 20.0;
  constexpr double tick = 4.0;
  constexpr double gap = 7.0;
  const std::string as_text = filled + std::string(" font-size=\"") + number(number_size) + "\"";
  const double y = top + 0.5 * row;
  const double baseline = y + 0.36 * number_size;
  const ScaleBar bar = scale_bar(drawing.scale, units);
  const double bar_end = border + bar.length;
  std::string texts = text_at(bar_end + gap, baseline, bar.text, "");
  std::string foot =
      group("plan-scale", "",
            line({border, y}, {bar_end, y}) + line({border, y - tick}, {border, y + tick}) +
                line({bar_end, y - tick}, {bar_end, y + tick}));
  // The legend ends at the right border: its parts from right to left.
  constexpr double sample = 36.0;
  double right = drawing_width - border;
  const auto add = [&](const std::string& name, const std::string& css_class, double width,
                       const std::string& more, const std::string& drawn) {
    right -= number_size * width_in_em(name);
    texts += text_at(right, baseline, name, "");
    right -= gap;
    foot += group(css_class, more,
                  drawn.empty() ? line({right - width, y}, {right, y},
                                       css_class == "plan-pitch" ? chain(chain_period) : "")
                                : drawn);
    right -= width + 2.5 * gap;
  };
  const double mesh_width = number_size * width_in_em("mesh");
  add("mesh", "plan-mesh", 6.0, filled, circle({right - mesh_width - gap - 3.0, y}, 3.0));
  add("reference circle", "plan-pitch", sample, "", "");
  if (std::any_of(layout.gears.begin(), layout.gears.end(),
                  [](const Layout::Gear& gear) { return gear.internal; })) {
    add("root circle", "plan-root", sample, "", "");
  }
  add("tip circle", "plan-tip", sample, "", "");
  double bottom = top + row;
  for (const std::string& note : notes(layout, named)) {
    texts += text_at(border, bottom + 0.5 * row + 0.36 * number_size, note, "");
    bottom += row;
  }
  return {foot + group("plan-note", as_text, texts), bottom};
}

}  // namespace

PlanView plan_view(const Layout& layout, UnitSystem units) {
  const Drawing drawing = drawing_of(layout);
  const Labelling labelling(layout, drawing);
  double top = drawing.top;
  double bottom = drawing.bottom;
  for (const Label& label : labelling.labels()) {
    top = std::min(top, label.placed.box.top);
    bottom = std::max(bottom, label.placed.box.bottom);
  }
  top -= border;
  const Foot foot =
      foot_of(layout, drawing, units, !labelling.labels().empty(), bottom + 1.5 * border);
  const double height = foot.bottom + 0.5 * border - top;

  PlanView view;
  view.svg = R"(<svg class="plan-view" viewBox="0 )" + number(top) + " " + number(drawing_width) +
             " " + number(height) + "\" width=\"" + number(drawing_width) + "\" height=\"" +
             number(height) +
             "\" role=\"img\" aria-labelledby=\"plan-title\" aria-describedby=\"plan-words\" "
             "fill=\"none\" stroke=\"currentColor\" font-family=\"sans-serif\">\n"
             "<title id=\"plan-title\">The train in plan view, to scale</title>\n"
             "<desc id=\"plan-words\">" +
             description(layout) + "</desc>\n" + circles_of(drawing) + shafts_of(layout, drawing) +
             mesh_points_of(layout, drawing) + labels_of(labelling) + foot.markup + "</svg>\n";
  view.key = labelling.key();
  return view;
}

}  // namespace lashband::report
