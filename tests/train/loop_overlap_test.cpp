#include <array>
#include <cmath>
#include <numbers>

#include "../geometry/flank_overlap.hpp"
#include "catch.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "lashband/train/closure.hpp"
#include "lashband/train/freedom.hpp"
#include "made_trains.hpp"
#include "ring_overlap.hpp"

// Closed trains of drawn teeth, turned one after another until flanks touch, from one gear both
// ways round to the gear where the ways meet. Whether the teeth meet there, and how much they can
// move, comes from the outlines of the teeth alone: no phase formula, no sum around a loop.
using namespace lashband;
using namespace lashband::train;
using namespace lashband::train::test;
using flank_overlap::DrawnGear;
using flank_overlap::OverlapPair;
using flank_overlap::pi;
using flank_overlap::RingPair;

namespace {

constexpr double module = 2e-3;
constexpr double pressure_angle = 20.0 * pi / 180.0;
// The flanks are polylines of 4000 chords, which miss the involute by 1e-9 of the radius at most:
// some 5e-11 m in each of up to six meshes, and as much again in a bisection.
constexpr double outline_tolerance = 1e-9;  // m
// In pitches of 2 pi m.
constexpr double pitch_tolerance = outline_tolerance / (pi * module);

struct Place {
  double x = 0.0;
  double y = 0.0;
};

struct Gear {
  int teeth = 0;
  bool ring = false;
  Place at{};
};

// One mesh as a way passes it, from gear to gear.
struct Way {
  std::vector<std::size_t> gears{};
};

DrawnGear drawn(int teeth, double tip_beyond_reference, double allowance) {
  DrawnGear gear;
  gear.teeth = teeth;
  gear.module = module;
  gear.pressure_angle = pressure_angle;
  gear.thickness_allowance = allowance;
  gear.tip_diameter = module * (teeth + 2.0 * tip_beyond_reference);
  return gear;
}

constexpr double thinner = -0.05e-3;  // m, of each external tooth

DrawnGear external_gear(int teeth) {
  return drawn(teeth, 1.0, thinner);
}
// The spaces of a ring as wide as they are in its drawing, and 0.04 mm more.
DrawnGear ring_spaces(int teeth) {
  return drawn(teeth, 1.4, 0.04e-3);
}
double ring_tip_radius(int teeth) {
  return module * (teeth / 2.0 - 0.9);
}

double apart(const Gear& a, const Gear& b) {
  return std::hypot(b.at.x - a.at.x, b.at.y - a.at.y);
}
double direction(const Gear& from, const Gear& to) {
  return std::atan2(to.at.y - from.at.y, to.at.x - from.at.x);
}
double within_half(double angle, double pitch) {
  return angle - pitch * std::round(angle / pitch);
}

struct Interval {
  double low = 0.0;
  double high = 0.0;
  bool possible = true;  // no tooth of a pair overlaps the space it stands in
};

// The directions that a tooth of the next gear can have, with those of the gear before in an
// interval. Any of its teeth will do.
Interval turned(const Gear& from, const Gear& to, const Interval& before) {
  const double line = direction(from, to);
  const double pitch_from = 2.0 * pi / from.teeth;
  const double pitch_to = 2.0 * pi / to.teeth;
  if (to.ring) {
    const RingPair pair(external_gear(from.teeth), ring_spaces(to.teeth), ring_tip_radius(to.teeth),
                        apart(from, to));
    // Seen from the ring's axis the pinion lies the other way. A ring's tooth is half a pitch
    // beside its space.
    const auto tooth = [&](double angle, bool upper) {
      const double seen = angle - (line + pi);
      const double near = within_half(seen, pitch_from);
      const RingPair::Stops stops = pair.stops(near);
      const double teeth_on = (seen - near) / pitch_from;
      return (upper ? stops.upper : stops.lower) + line + pi + pitch_to / 2.0 + teeth_on * pitch_to;
    };
    return {tooth(before.low, false), tooth(before.high, true),
            before.possible && tooth(before.low, false) <= tooth(before.low, true)};
  }
  const OverlapPair pair(external_gear(from.teeth), external_gear(to.teeth), apart(from, to));
  const auto tooth = [&](double angle, bool upper) {
    const double seen = angle - line;
    const double near = within_half(seen, pitch_from);
    const double teeth_on = (seen - near) / pitch_from;
    return (upper ? pair.upper_stop(near) : pair.lower_stop(near)) + line + pi + pitch_to / 2.0 -
           teeth_on * pitch_to;
  };
  // The gears turn against each other.
  return {tooth(before.high, false), tooth(before.low, true),
          before.possible && tooth(before.low, false) <= tooth(before.low, true)};
}

// The room for the last gear of two ways that begin with the same gear, held with a tooth at
// `held`: the overlap of what either way allows, by the best choice of teeth. Negative: they bind;
// a whole pitch where a pair does by itself.
double room(const std::vector<Gear>& gears, const Way& one, const Way& other, double held) {
  std::array<Interval, 2> intervals{};
  std::size_t which = 0;
  for (const Way* way : {&one, &other}) {
    Interval& interval = intervals.at(which++);
    interval = {held, held, true};
    for (std::size_t i = 0; i + 1 < way->gears.size(); ++i) {
      interval = turned(gears[way->gears[i]], gears[way->gears[i + 1]], interval);
    }
  }
  const double pitch = 2.0 * pi / gears[one.gears.back()].teeth;
  const double between =
      (intervals[1].low + intervals[1].high) / 2.0 - (intervals[0].low + intervals[0].high) / 2.0;
  const double shift = within_half(between, pitch) - between;
  if (!intervals[0].possible || !intervals[1].possible) {
    return -pitch;
  }
  return std::min(intervals[0].high, intervals[1].high + shift) -
         std::max(intervals[0].low, intervals[1].low + shift);
}

// The same by the library.
struct Modelled {
  Train train;
  std::vector<MeshGears> gears{};
};

Modelled modelled(const std::vector<Gear>& gears, const Way& one, const Way& other) {
  std::vector<Mesh> meshes;
  std::vector<MeshGears> pairs;
  for (const Way* way : {&one, &other}) {
    for (std::size_t i = 0; i + 1 < way->gears.size(); ++i) {
      const std::size_t from = way->gears[i];
      const std::size_t to = way->gears[i + 1];
      meshes.push_back(mesh("m", from, to, gears[from].teeth, gears[to].teeth,
                            gears[to].ring ? Mesh::Kind::internal : Mesh::Kind::external));
      pairs.push_back({from, to});
    }
  }
  return {Train(names(gears.size()), meshes), pairs};
}

std::vector<std::optional<geometry::Point>> places_of(const std::vector<Gear>& gears) {
  std::vector<std::optional<geometry::Point>> places;
  places.reserve(gears.size());
  for (const Gear& gear : gears) {
    places.push_back(geometry::Point{units::from_si<units::Length>(gear.at.x),
                                     units::from_si<units::Length>(gear.at.y)});
  }
  return places;
}

Closure closure_of(const std::vector<Gear>& gears, const Modelled& model) {
  std::vector<GearPhase> phases;
  phases.reserve(gears.size());
  for (std::size_t i = 0; i < gears.size(); ++i) {
    phases.push_back({i, std::nullopt});
  }
  return Closure(model.train, model.gears, phases, places_of(gears));
}

geometry::ToothedBody body(int teeth) {
  geometry::ToothData data;
  data.teeth = teeth;
  data.module = units::from_si<units::Length>(module);
  data.pressure_angle = units::from_si<units::Angle>(pressure_angle);
  data.helix_angle = units::from_si<units::Angle>(0.0);
  data.face_width = units::from_si<units::Length>(20e-3);
  data.thickness_allowance = units::from_si<units::Length>(thinner);
  return geometry::ToothedBody(data);
}

std::vector<MeshFreedom> play_of(const std::vector<Gear>& gears, const Modelled& model,
                                 const std::vector<double>& offsets) {
  std::vector<MeshFreedom> meshes;
  for (std::size_t i = 0; i < model.train.meshes().size(); ++i) {
    const Gear& from = gears[model.gears[i].gear_1];
    const Gear& to = gears[model.gears[i].gear_2];
    // The gap of a ring is measured on its pair alone.
    const units::Length gap =
        to.ring ? units::from_si<units::Length>(RingPair(external_gear(from.teeth),
                                                         ring_spaces(to.teeth),
                                                         ring_tip_radius(to.teeth), apart(from, to))
                                                    .gap())
                : geometry::same_tooth_gap(
                      geometry::GearPair(body(from.teeth), body(to.teeth),
                                         units::from_si<units::Length>(apart(from, to))));
    meshes.push_back({gap, body(from.teeth).base_pitch(), offsets[i]});
  }
  return meshes;
}

// The margin of the only loop, as a room for the last gear: all gaps together over its teeth.
double modelled_room(const Modelled& model, const std::vector<MeshFreedom>& meshes,
                     int teeth_of_last) {
  const Loop& loop = model.train.loops().front();
  const double margin = loop_margin(model.train, loop, meshes).value();
  double pitches = 0.0;
  for (const MeshFreedom& one : meshes) {
    pitches += margin / (2.0 * one.base_pitch.value());
  }
  return pitches * 2.0 * pi / teeth_of_last;
}

struct Comparison {
  double offset = 0.0;
  bool free = false;
};

Comparison compare(const std::vector<Gear>& gears, const Way& one, const Way& other) {
  const Modelled model = modelled(gears, one, other);
  const Closure closure = closure_of(gears, model);
  CHECK(closure.loops().size() == 1);
  CHECK(closure.loops().front().by == ClosedBy::places);
  const std::vector<MeshFreedom> meshes = play_of(gears, model, closure.offsets(places_of(gears)));
  const std::size_t last = one.gears.back();
  const int teeth = gears[last].teeth;
  const double expected = room(gears, one, other, 0.37);
  const double tolerance = pitch_tolerance * 2.0 * pi / teeth;
  // A room beyond all gaps of one way is that of the way: more than the loop leaves.
  const Freedom freedom(model.train, meshes);
  CHECK(freedom.binding(0).has_value() == expected < 0.0);
  const auto lost = freedom.lost_motion(last, one.gears.front());
  if (lost) {
    CHECK_THAT(lost->value(), WithinAbs(expected, tolerance));
  } else {
    CHECK_THAT(modelled_room(model, meshes, teeth), WithinAbs(expected, tolerance));
  }
  return {closure.loops().front().offset, expected > 0.0};
}

Place beside(const Place& from, double distance, double angle) {
  return {from.x + distance * std::cos(angle), from.y + distance * std::sin(angle)};
}

// The corner at given distances from two others, on the left of the line between them.
Place corner(const Place& a, double from_a, const Place& b, double from_b) {
  const double base = std::hypot(b.x - a.x, b.y - a.y);
  const double along = (from_a * from_a - from_b * from_b + base * base) / (2.0 * base);
  const double across = std::sqrt(from_a * from_a - along * along);
  return beside(beside(a, along, std::atan2(b.y - a.y, b.x - a.x)), across,
                std::atan2(b.y - a.y, b.x - a.x) + pi / 2.0);
}

double centre_distance(int a, int b, double more = 0.0) {
  return module * (a + b) / 2.0 + more;
}

// Four equal gears on a rhombus, of which the one across from the first is at the angle given.
std::vector<Gear> rhombus(int teeth, double angle, double more) {
  const double side = centre_distance(teeth, teeth, more);
  const Place first{};
  const Place second = beside(first, side, 0.1);
  const Place fourth = beside(first, side, 0.1 + angle);
  return {{teeth, false, first},
          {teeth, false, second},
          {teeth, false, {second.x + fourth.x, second.y + fourth.y}},
          {teeth, false, fourth}};
}

}  // namespace

TEST_CASE("four equal gears on a square and on rhombi, against their outlines") {
  const Way one{{0, 1, 2}};
  const Way other{{0, 3, 2}};
  int free = 0;
  int bound = 0;
  for (const int teeth : {19, 20, 21, 22}) {
    for (const double degrees : {90.0, 92.0, 101.0}) {
      const Comparison found = compare(rhombus(teeth, degrees * pi / 180.0, 0.02e-3), one, other);
      ++(found.free ? free : bound);
      if (degrees == 90.0) {
        // A square is its own mirror image in a diagonal: turned until they touch, both ways end
        // alike, whatever the number of teeth.
        CHECK_THAT(std::abs(found.offset), WithinAbs(0.0, 1e-9));
      }
    }
  }
  CHECK(free >= 4);
  CHECK(bound >= 4);
}

TEST_CASE("loops of unequal gears and a triangle with an idler, against their outlines") {
  Draw draw(21);
  int free = 0;
  int bound = 0;
  for (int i = 0; i < 60; ++i) {
    const std::array<int, 4> z{draw.whole(17, 40), draw.whole(17, 40), draw.whole(17, 40),
                               draw.whole(17, 40)};
    const double more = draw.between(0.05e-3, 0.3e-3);
    const double across = 0.8 * std::min(centre_distance(z[0], z[1]) + centre_distance(z[1], z[2]),
                                         centre_distance(z[0], z[3]) + centre_distance(z[3], z[2]));
    const Place first{1e-3, -2e-3};
    const Place third = beside(first, across, draw.between(-3.0, 3.0));
    const std::vector<Gear> gears{{z[0], false, first},
                                  {z[1], false,
                                   corner(third, centre_distance(z[1], z[2], more), first,
                                          centre_distance(z[0], z[1], more))},
                                  {z[2], false, third},
                                  {z[3], false,
                                   corner(first, centre_distance(z[0], z[3], more), third,
                                          centre_distance(z[3], z[2], more))}};
    const Comparison found = compare(gears, {{0, 1, 2}}, {{0, 3, 2}});
    ++(found.free ? free : bound);
  }
  CHECK(free >= 3);
  CHECK(bound >= 20);
}

TEST_CASE("a loop of six gears against its outlines") {
  Draw draw(22);
  for (int i = 0; i < 10; ++i) {
    const std::array<int, 6> z{draw.whole(17, 40), draw.whole(17, 40), draw.whole(17, 40),
                               draw.whole(17, 40), draw.whole(17, 40), draw.whole(17, 40)};
    const double more = draw.between(0.01e-3, 0.08e-3);
    const Place first{};
    const Place second = beside(first, centre_distance(z[0], z[1], more), 0.6);
    const Place sixth = beside(first, centre_distance(z[0], z[5], more), draw.between(2.2, 2.5));
    const Place third = beside(second, centre_distance(z[1], z[2], more), draw.between(1.5, 1.7));
    const Place fifth = beside(sixth, centre_distance(z[5], z[4], more), draw.between(1.5, 1.7));
    const Place fourth =
        corner(fifth, centre_distance(z[4], z[3], more), third, centre_distance(z[2], z[3], more));
    const std::vector<Gear> gears{{z[0], false, first}, {z[1], false, second},
                                  {z[2], false, third}, {z[3], false, fourth},
                                  {z[4], false, fifth}, {z[5], false, sixth}};
    compare(gears, {{0, 1, 2, 3}}, {{0, 5, 4, 3}});
  }
}

TEST_CASE("sun, planets and ring, with rings of even and odd tooth numbers, against outlines") {
  struct Stage {
    int sun, planet, ring;
    double axes;  // in modules
  };
  int free = 0;
  int bound = 0;
  // The last: a ring with fewer teeth than sun and planets would ask for, between both distances.
  for (const Stage& stage :
       {Stage{20, 16, 52, 18.0}, Stage{21, 15, 51, 18.0}, Stage{18, 16, 51, 17.25}}) {
    // Two planets across from each other, three at 120 degrees, and one beside its place.
    for (const double degrees : {180.0, 120.0, 77.0}) {
      const double axes = stage.axes * module;
      const double angle = degrees * pi / 180.0;
      const std::vector<Gear> gears{{stage.sun, false, {}},
                                    {stage.planet, false, beside({}, axes, 0.2)},
                                    {stage.ring, true, {}},
                                    {stage.planet, false, beside({}, axes, 0.2 + angle)}};
      const Comparison found = compare(gears, {{0, 1, 2}}, {{0, 3, 2}});
      ++(found.free ? free : bound);
      // The condition of assembly in every textbook (from memory): z_sun + z_ring times the angle
      // between two planets is a whole number of turns.
      const double turns = (stage.sun + stage.ring) * angle / (2.0 * pi);
      CHECK_THAT(std::abs(within_half(found.offset - turns, 1.0)) *
                     std::abs(within_half(found.offset + turns, 1.0)),
                 WithinAbs(0.0, 1e-9));
    }
  }
  CHECK(free >= 3);
  CHECK(bound >= 2);
}

TEST_CASE("how far a bore can be displaced until a square binds, against the outlines") {
  const std::vector<Gear> drawn_at = rhombus(20, pi / 2.0, 0.03e-3);
  const Way one{{0, 1, 2}};
  const Way other{{0, 3, 2}};
  const Modelled model = modelled(drawn_at, one, other);
  const Closure closure = closure_of(drawn_at, model);
  for (const double angle : {1.5, 2.5, 3.5, 5.0, 5.5}) {
    const auto moved = [&](double by) {
      std::vector<Gear> gears = drawn_at;
      gears[1].at = beside(gears[1].at, by, angle);
      return gears;
    };
    const auto furthest = [](const auto& leaves_room) {
      double free = 0.0;
      double bound = 1e-3;
      for (int i = 0; i < 32; ++i) {
        const double middle = (free + bound) / 2.0;
        (leaves_room(middle) ? free : bound) = middle;
      }
      return free;
    };
    const double expected =
        furthest([&](double by) { return room(moved(by), one, other, 0.37) > 0.0; });
    const double found = furthest([&](double by) {
      const std::vector<Gear> gears = moved(by);
      const std::vector<MeshFreedom> meshes =
          play_of(gears, model, closure.offsets(places_of(gears)));
      return !Freedom(model.train, meshes).binding(0).has_value();
    });
    CHECK(expected > 0.02e-3);
    CHECK(expected < 0.5e-3);
    // The room changes by less than a tenth to four times of what a bore moves.
    CHECK_THAT(found, WithinAbs(expected, 10.0 * outline_tolerance));
  }
}
