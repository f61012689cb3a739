#include "lashband/design/layout.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <deque>
#include <limits>
#include <numbers>
#include <numeric>
#include <optional>

namespace lashband::design {
namespace {

using units::from_si;
using units::Length;

// A place or direction in the plane, in m.
using Vector = std::complex<double>;

constexpr double pi = std::numbers::pi;
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::size_t none = std::numeric_limits<std::size_t>::max();

// A thousandth of the centre distance cannot be seen in a drawing.
constexpr double visible_error = 1e-3;

struct Neighbour {
  std::size_t shaft = 0;
  double distance = 0.0;
  bool same_sense = false;  // by a ring gear
};

// Angles that the sides of a polygon subtend at the centre of the circle through its corners, and
// the radius of that circle.
struct CyclicPolygon {
  double radius = 0.0;
  std::vector<double> angles{};
};

double subtended(double side, double curvature) {
  return 2.0 * std::asin(std::min(1.0, 0.5 * side * curvature));
}

// Nothing where the longest side is as long as all others together, or longer. The centre lies
// within the polygon where the sides go all around the circle of which the longest is a diameter,
// else beyond the longest side.
std::optional<CyclicPolygon> cyclic_polygon(const std::vector<double>& sides) {
  const auto longest = static_cast<std::size_t>(
      std::distance(sides.begin(), std::max_element(sides.begin(), sides.end())));
  const double greatest = sides[longest];
  const double sum = std::accumulate(sides.begin(), sides.end(), 0.0);
  if (!(greatest > 0.0) || !(sum - greatest > greatest * (1.0 + 1e-9))) {
    return std::nullopt;
  }
  const auto others = [&](double curvature) {
    double angle = 0.0;
    for (std::size_t i = 0; i < sides.size(); ++i) {
      angle += i == longest ? 0.0 : subtended(sides[i], curvature);
    }
    return angle;
  };
  const bool centre_within = others(2.0 / greatest) >= pi;
  double low = 0.0;
  double high = 2.0 / greatest;
  constexpr int halvings = 200;  // more than the bits of a double: until nothing changes
  for (int i = 0; i < halvings; ++i) {
    const double mid = 0.5 * (low + high);
    const double angle = others(mid);
    const double of_longest = subtended(greatest, mid);
    // Within: the sum grows to a full turn. Beyond: the others lead at small curvature.
    const bool flatter = centre_within ? angle + of_longest > 2.0 * pi : angle < of_longest;
    (flatter ? high : low) = mid;
  }
  CyclicPolygon polygon;
  const double curvature = 0.5 * (low + high);
  polygon.radius = 1.0 / curvature;
  for (std::size_t i = 0; i < sides.size(); ++i) {
    const double angle = subtended(sides[i], curvature);
    polygon.angles.push_back(i == longest && !centre_within ? 2.0 * pi - angle : angle);
  }
  return polygon;
}

class Placing {
 public:
  explicit Placing(const Design& design)
      : design_(design),
        neighbours_(design.shafts.size()),
        reach_(design.shafts.size(), 0.0),
        around_(design.shafts.size(), false),
        places_(design.shafts.size()) {
    for (const Gear& gear : design.gears) {
      const units::Length outside =
          gear.body.internal() ? gear.body.root_diameter() : gear.body.tip_diameter();
      reach_[gear.shaft] = std::max(reach_[gear.shaft], 0.5 * outside.value());
      around_[gear.shaft] = around_[gear.shaft] || gear.body.internal();
    }
    for (const Mesh& mesh : design.meshes) {
      const std::size_t first = design.gears[mesh.gear_1].shaft;
      const std::size_t second = design.gears[mesh.gear_2].shaft;
      const bool internal = design.gears[mesh.gear_2].body.internal();
      join(first, {second, mesh.centre_distance.value(), internal});
      join(second, {first, mesh.centre_distance.value(), internal});
    }
    for (std::size_t i = 0; i < design.shafts.size(); ++i) {
      if (const auto& at = design.shafts[i].at) {
        places_[i] = Vector(at->x.value(), at->y.value());
      }
    }
    find_groups();
    find_senses();
  }

  Layout take() {
    for (const std::vector<std::size_t>& members : members_) {
      if (std::any_of(members.begin(), members.end(),
                      [&](std::size_t i) { return places_[i].has_value(); })) {
        place_from_what_is_there(members);
      }
    }
    for (const std::vector<std::size_t>& members : members_) {
      if (!places_[members.front()]) {
        place_beside_the_rest(members);
      }
    }
    fill();
    return std::move(layout_);
  }

 private:
  // Two meshes between the same shafts have one centre distance: that of the first.
  void join(std::size_t shaft, const Neighbour& neighbour) {
    std::vector<Neighbour>& list = neighbours_[shaft];
    if (std::none_of(list.begin(), list.end(),
                     [&](const Neighbour& n) { return n.shaft == neighbour.shaft; })) {
      list.push_back(neighbour);
    }
  }

  void find_groups() {
    layout_.shafts.resize(design_.shafts.size());
    std::vector<bool> seen(design_.shafts.size(), false);
    for (std::size_t i = 0; i < design_.shafts.size(); ++i) {
      if (seen[i]) {
        continue;
      }
      std::vector<std::size_t> members = {i};
      seen[i] = true;
      for (std::size_t k = 0; k < members.size(); ++k) {
        layout_.shafts[members[k]].group = layout_.groups.size();
        for (const Neighbour& next : neighbours_[members[k]]) {
          if (!seen[next.shaft]) {
            seen[next.shaft] = true;
            members.push_back(next.shaft);
          }
        }
      }
      layout_.groups.push_back({i, false});
      members_.push_back(std::move(members));
    }
  }

  // The members of a group stand in breadth-first order, so each but the first has a neighbour
  // before it.
  void find_senses() {
    for (std::size_t g = 0; g < members_.size(); ++g) {
      layout_.shafts[members_[g].front()].sense = 1;
      for (const std::size_t i : members_[g]) {
        for (const Neighbour& next : neighbours_[i]) {
          int& sense = layout_.shafts[next.shaft].sense;
          const int own = layout_.shafts[i].sense;
          const int wanted = next.same_sense ? own : -own;
          layout_.groups[g].locked |= sense == -wanted && sense != 0;
          sense = wanted;
        }
      }
      if (layout_.groups[g].locked) {
        for (const std::size_t i : members_[g]) {
          layout_.shafts[i].sense = 0;
        }
      }
    }
  }

  void place_from_what_is_there(const std::vector<std::size_t>& members) {
    std::deque<std::size_t> queue;
    for (const std::size_t i : members) {
      if (places_[i]) {
        queue.push_back(i);
        placed_.push_back(i);
      }
    }
    for (; !queue.empty(); queue.pop_front()) {
      const std::size_t hub = queue.front();
      for (const Neighbour& next : neighbours_[hub]) {
        if (!places_[next.shaft]) {
          place_chain(hub, next.shaft, queue);
        }
      }
      place_around(hub, queue);
    }
  }

  void put(std::size_t shaft, Vector place, std::deque<std::size_t>& queue) {
    places_[shaft] = place;
    placed_.push_back(shaft);
    queue.push_back(shaft);
  }

  double distance_between(std::size_t from, std::size_t to) const {
    const std::vector<Neighbour>& list = neighbours_[from];
    return std::find_if(list.begin(), list.end(),
                        [to](const Neighbour& n) { return n.shaft == to; })
        ->distance;
  }

  // Shortest way from `hub` over the free shaft `first` and free shafts only to a shaft in place,
  // both ends included; empty where there is none. It may come back to `hub`, though not at once.
  std::vector<std::size_t> way_back(std::size_t hub, std::size_t first) const {
    std::vector<std::size_t> before(places_.size(), none);
    before[first] = hub;
    std::deque<std::size_t> queue = {first};
    for (; !queue.empty(); queue.pop_front()) {
      const std::size_t at = queue.front();
      for (const Neighbour& next : neighbours_[at]) {
        if (places_[next.shaft] && !(at == first && next.shaft == hub)) {
          std::vector<std::size_t> way = {next.shaft};
          for (std::size_t i = at; i != hub; i = before[i]) {
            way.push_back(i);
          }
          way.push_back(hub);
          std::reverse(way.begin(), way.end());
          return way;
        }
        if (!places_[next.shaft] && before[next.shaft] == none) {
          before[next.shaft] = at;
          queue.push_back(next.shaft);
        }
      }
    }
    return {};
  }

  void place_chain(std::size_t hub, std::size_t first, std::deque<std::size_t>& queue) {
    const std::vector<std::size_t> way = way_back(hub, first);
    if (way.empty()) {
      return;
    }
    std::vector<double> sides;
    for (std::size_t i = 0; i + 1 < way.size(); ++i) {
      sides.push_back(distance_between(way[i], way[i + 1]));
    }
    const Vector from = *places_[way.front()];
    const Vector chord = *places_[way.back()] - from;
    const bool closed = way.front() == way.back();
    if (!closed) {
      sides.push_back(std::abs(chord));
    }
    const auto polygon = cyclic_polygon(sides);
    if (!polygon) {
      return;  // the shafts are placed one by one, and one mesh is not to scale
    }
    // Corners from the first on, on a circle around 0 that begins at its rightmost point.
    std::vector<Vector> corners;
    double angle = 0.0;
    for (std::size_t i = 0; i < way.size(); ++i) {
      corners.push_back(std::polar(polygon->radius, angle) - polygon->radius);
      angle += polygon->angles[std::min(i, polygon->angles.size() - 1)];
    }
    // The two ways to lay it down: with the last corner at its place, mirrored at the chord or not.
    // A closed chain is laid opposite to what is there.
    const auto laid = [&](bool mirrored) {
      std::vector<Vector> result = corners;
      for (Vector& corner : result) {
        corner = mirrored ? std::conj(corner) : corner;
      }
      const Vector drawn = closed ? Vector(-1.0, 0.0) : result.back();
      const Vector wanted = closed ? free_direction(way.front()) : chord;
      const Vector turn = (wanted / std::abs(wanted)) / (drawn / std::abs(drawn));
      for (Vector& corner : result) {
        corner = from + corner * turn;
      }
      return result;
    };
    const auto clearance = [&](const std::vector<Vector>& laid_corners) {
      double least = infinity;
      for (std::size_t i = 1; i + 1 < way.size(); ++i) {
        least = std::min(least, clearance_at(way[i], laid_corners[i]));
      }
      return least;
    };
    const std::vector<Vector> plain = laid(false);
    const std::vector<Vector> mirrored = laid(true);
    // A hair in favour of the first, so that rounding does not choose.
    const double hair = 1e-9 * polygon->radius;
    const bool mirror = clearance(mirrored) > clearance(plain) + hair;
    for (std::size_t i = 1; i + 1 < way.size(); ++i) {
      put(way[i], mirror ? mirrored[i] : plain[i], queue);
    }
  }

  // Free space between the circles of a shaft put at `place` and those of shafts in place that it
  // does not mesh with, ring gears left out, which have others inside them; of two far away from
  // everything, both are infinite.
  double clearance_at(std::size_t shaft, Vector place) const {
    double least = infinity;
    for (const std::size_t other : placed_) {
      const std::vector<Neighbour>& list = neighbours_[shaft];
      if (around_[shaft] || around_[other]) {
        continue;
      }
      if (std::none_of(list.begin(), list.end(),
                       [other](const Neighbour& n) { return n.shaft == other; })) {
        least = std::min(least, std::abs(place - *places_[other]) - reach_[shaft] - reach_[other]);
      }
    }
    return least;
  }

  struct Arc {
    double from = 0.0;
    double extent = 2.0 * pi;
  };

  // Half the angle that a shaft at this distance takes up around another.
  double half_width(const Neighbour& neighbour) const {
    return std::asin(std::min(1.0, reach_[neighbour.shaft] / neighbour.distance));
  }

  // Widest arc around a shaft between its neighbours in place; the first of several.
  Arc widest_arc(std::size_t hub) const {
    struct Taken {
      double direction;
      double half;
    };
    std::vector<Taken> taken;
    for (const Neighbour& next : neighbours_[hub]) {
      if (places_[next.shaft]) {
        taken.push_back({std::arg(*places_[next.shaft] - *places_[hub]), half_width(next)});
      }
    }
    if (taken.empty()) {
      return {};
    }
    std::sort(taken.begin(), taken.end(),
              [](const Taken& a, const Taken& b) { return a.direction < b.direction; });
    Arc widest{0.0, -infinity};
    for (std::size_t i = 0; i < taken.size(); ++i) {
      const bool last = i + 1 == taken.size();
      const Taken& next = taken[last ? 0 : i + 1];
      const double from = taken[i].direction + taken[i].half;
      const double to = next.direction - next.half + (last ? 2.0 * pi : 0.0);
      if (to - from > widest.extent + 1e-9) {
        widest = {from, to - from};
      }
    }
    return widest;
  }

  Vector free_direction(std::size_t hub) const {
    const Arc arc = widest_arc(hub);
    const bool all_free = arc.extent >= 2.0 * pi;
    return std::polar(1.0, all_free ? 0.0 : arc.from + 0.5 * arc.extent);
  }

  void place_around(std::size_t hub, std::deque<std::size_t>& queue) {
    std::vector<Neighbour> free;
    double widths = 0.0;
    for (const Neighbour& next : neighbours_[hub]) {
      if (!places_[next.shaft]) {
        free.push_back(next);
        widths += 2.0 * half_width(next);
      }
    }
    if (free.empty()) {
      return;
    }
    const Arc arc = widest_arc(hub);
    const bool all_free = arc.extent >= 2.0 * pi;
    const auto count = static_cast<double>(free.size());
    const double gap = (arc.extent - widths) / (all_free ? count : count + 1.0);
    double direction = all_free ? -half_width(free.front()) : arc.from + gap;
    const Vector centre = *places_[hub];
    for (const Neighbour& next : free) {
      direction += half_width(next);
      const Vector place = centre + std::polar(next.distance, direction);
      direction += half_width(next) + gap;
      put(next.shaft, clearance_at(next.shaft, place) >= 0.0 ? place : clearest_place(centre, next),
          queue);
    }
  }

  Vector clearest_place(Vector centre, const Neighbour& next) const {
    constexpr int directions = 72;
    Vector best = centre + next.distance;
    double greatest = -infinity;
    for (int i = 0; i < directions; ++i) {
      const Vector place = centre + std::polar(next.distance, 2.0 * pi * i / directions);
      const double clearance = clearance_at(next.shaft, place);
      if (clearance > greatest + 1e-9 * next.distance) {
        greatest = clearance;
        best = place;
      }
    }
    return best;
  }

  // To the right of everything in place, amid its height, a gap of a tenth of its own size away.
  void place_beside_the_rest(const std::vector<std::size_t>& members) {
    double right = -infinity;
    double bottom = infinity;
    double top = -infinity;
    for (const std::size_t i : placed_) {
      right = std::max(right, places_[i]->real() + reach_[i]);
      bottom = std::min(bottom, places_[i]->imag() - reach_[i]);
      top = std::max(top, places_[i]->imag() + reach_[i]);
    }
    const std::vector<std::size_t> rest = std::move(placed_);
    placed_.clear();
    places_[members.front()] = Vector(0.0, 0.0);
    place_from_what_is_there(members);
    if (!rest.empty()) {
      double left = infinity;
      double own_right = -infinity;
      double own_bottom = infinity;
      double own_top = -infinity;
      for (const std::size_t i : members) {
        left = std::min(left, places_[i]->real() - reach_[i]);
        own_right = std::max(own_right, places_[i]->real() + reach_[i]);
        own_bottom = std::min(own_bottom, places_[i]->imag() - reach_[i]);
        own_top = std::max(own_top, places_[i]->imag() + reach_[i]);
      }
      const double size = std::max({own_right - left, own_top - own_bottom, top - bottom});
      const Vector move(right - left + 0.1 * size,
                        0.5 * (bottom + top) - 0.5 * (own_bottom + own_top));
      for (const std::size_t i : members) {
        *places_[i] += move;
      }
    }
    placed_.insert(placed_.begin(), rest.begin(), rest.end());
  }

  void fill() {
    for (std::size_t i = 0; i < design_.shafts.size(); ++i) {
      const Shaft& shaft = design_.shafts[i];
      Layout::Shaft& drawn = layout_.shafts[i];
      drawn.id = shaft.id;
      drawn.place_given = shaft.at.has_value();
      drawn.place = shaft.at ? *shaft.at
                             : geometry::Point{from_si<Length>(places_[i]->real()),
                                               from_si<Length>(places_[i]->imag())};
    }
    for (const Gear& gear : design_.gears) {
      layout_.gears.push_back({gear.id, gear.shaft, 0.5 * gear.body.reference_diameter(),
                               0.5 * gear.body.tip_diameter(), 0.5 * gear.body.root_diameter(),
                               gear.body.internal()});
    }
    for (const Mesh& mesh : design_.meshes) {
      const auto& first = layout_.shafts[design_.gears[mesh.gear_1].shaft];
      const auto& second = layout_.shafts[design_.gears[mesh.gear_2].shaft];
      const double error =
          (geometry::distance(first.place, second.place) - mesh.centre_distance).value();
      layout_.meshes.push_back({mesh.id, mesh.gear_1, mesh.gear_2,
                                std::abs(error) <= visible_error * mesh.centre_distance.value()});
    }
  }

  const Design& design_;
  std::vector<std::vector<Neighbour>> neighbours_;
  std::vector<double> reach_;  // of a shaft: its greatest tip radius, of a ring gear root radius
  std::vector<bool> around_;   // the shaft carries a ring gear
  std::vector<std::optional<Vector>> places_;
  std::vector<std::size_t> placed_;
  std::vector<std::vector<std::size_t>> members_;
  Layout layout_;
};

}  // namespace

Layout layout(const Design& design) {
  return Placing(design).take();
}

}  // namespace lashband::design
