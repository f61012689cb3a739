#include "lashband/train/closure.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "lashband/train/freedom.hpp"
#include "made_trains.hpp"

// The independent check of the phases, by outlines of teeth, is loop_overlap_test.cpp.
using namespace lashband;
using namespace lashband::train;
using namespace lashband::train::test;

namespace {

constexpr double pi = std::numbers::pi;
// Angles of a few turns in doubles, times some hundred teeth.
constexpr double phase_rounding = 1e-11;  // pitches

geometry::Point point(double x, double y) {
  return {units::from_si<units::Length>(x), units::from_si<units::Length>(y)};
}
units::Angle radians(double angle) {
  return units::from_si<units::Angle>(angle);
}
double within_half(double pitches) {
  return pitches - std::round(pitches);
}

using Places = std::vector<std::optional<geometry::Point>>;

Places random_places(Draw& draw, std::size_t count) {
  Places places;
  places.reserve(count);
  for (std::size_t i = 0; i < count; ++i) {
    places.emplace_back(point(draw.between(-1.0, 1.0), draw.between(-1.0, 1.0)));
  }
  return places;
}

Places moved(const Places& places, double angle, double x, double y) {
  Places list;
  list.reserve(places.size());
  for (const auto& one : places) {
    list.emplace_back(
        point(x + std::cos(angle) * one->x.value() - std::sin(angle) * one->y.value(),
              y + std::sin(angle) * one->x.value() + std::cos(angle) * one->y.value()));
  }
  return list;
}

// The gears of a train: on each shaft one for each number of teeth, outer and inner apart.
struct Gearing {
  std::vector<MeshGears> gears{};
  std::vector<GearPhase> phases{};
};

Gearing gearing(const Train& train) {
  struct Made {
    std::size_t shaft;
    int teeth;
    bool ring;
  };
  std::vector<Made> made;
  Gearing list;
  const auto gear = [&](std::size_t shaft, int teeth, bool ring) {
    for (std::size_t i = 0; i < made.size(); ++i) {
      if (made[i].shaft == shaft && made[i].teeth == teeth && made[i].ring == ring) {
        return i;
      }
    }
    made.push_back({shaft, teeth, ring});
    list.phases.push_back({shaft, std::nullopt});
    return made.size() - 1;
  };
  for (const Mesh& one : train.meshes()) {
    const std::size_t first = gear(one.shaft_1, one.teeth_1, false);
    list.gears.push_back({first, gear(one.shaft_2, one.teeth_2, one.kind == Mesh::Kind::internal)});
  }
  return list;
}

void give_phases(Gearing& gears, Draw& draw, int share_in_ten) {
  for (GearPhase& phase : gears.phases) {
    if (draw.whole(0, 9) < share_in_ten) {
      phase.tooth_at = radians(draw.between(-6.0, 6.0));
    }
  }
}

// By how much the last mesh of a closed way misses, in its pitches, with the shafts turned one
// after another until tooth and space face each other, and some tooth of each gear chosen.
class Assembled {
 public:
  Assembled(const Train& train, const Gearing& gears, const Places& places)
      : train_(train), gears_(gears), places_(places) {}

  // The least miss over all choices of teeth.
  [[nodiscard]] double least_miss(const Loop& loop) const {
    least_ = 1.0;
    // From the far end of the closing mesh round to its near end.
    turn(loop, 1, std::vector<double>(train_.shafts().size(), 0.0));
    return least_;
  }

 private:
  struct End {
    std::size_t shaft = 0;
    std::size_t gear = 0;
    int teeth = 0;
    double toward = 0.0;  // direction of the pitch point from the axis
  };

  [[nodiscard]] End end(std::size_t mesh, bool first) const {
    const Mesh& one = train_.meshes()[mesh];
    const auto& a = *places_[one.shaft_1];
    const auto& b = *places_[one.shaft_2];
    const double line = std::atan2((b.y - a.y).value(), (b.x - a.x).value());
    const double back = line + pi;
    const bool ring = one.kind == Mesh::Kind::internal;
    // In a ring the pitch point lies beyond the pinion, seen from the ring's axis.
    return first ? End{one.shaft_1, gears_.gears[mesh].gear_1, one.teeth_1, ring ? back : line}
                 : End{one.shaft_2, gears_.gears[mesh].gear_2, one.teeth_2, back};
  }

  [[nodiscard]] double phase(std::size_t gear) const {
    return gears_.phases[gear].tooth_at ? gears_.phases[gear].tooth_at->value() : 0.0;
  }

  // How far to turn a shaft from `rotation` until a tooth (or a space) points at the pitch point.
  [[nodiscard]] double until_there(const End& end, double rotation, bool space) const {
    const double pitch = 2.0 * pi / end.teeth;
    return end.toward - phase(end.gear) - rotation + (space ? pitch / 2.0 : 0.0);
  }

  void turn(const Loop& loop, std::size_t at, const std::vector<double>& rotation) const {
    const bool last = at == loop.steps.size();
    const Step& step = last ? loop.steps.front() : loop.steps[at];
    const End near = end(step.mesh, step.forward);
    const End far = end(step.mesh, !step.forward);
    const double sense = train_.meshes()[step.mesh].kind == Mesh::Kind::internal ? 1.0 : -1.0;
    if (last) {
      // Both gears stand: how far is gear 1 from its tooth, and gear 2 from its space?
      const double gear_1 =
          until_there(near, rotation[near.shaft], false) * near.teeth / (2.0 * pi);
      const double gear_2 = until_there(far, rotation[far.shaft], true) * far.teeth / (2.0 * pi);
      least_ = std::min(least_, std::abs(within_half(gear_1 - sense * gear_2)));
      return;
    }
    // Tooth of the near gear onto the line, space of the far gear onto the line, and both back.
    const double on = until_there(near, rotation[near.shaft], false);
    const double far_on = until_there(far, rotation[far.shaft], true);
    for (int tooth = 0; tooth < far.teeth; ++tooth) {
      std::vector<double> next = rotation;
      next[far.shaft] +=
          far_on - sense * on * near.teeth / far.teeth + tooth * 2.0 * pi / far.teeth;
      turn(loop, at + 1, next);
    }
  }

  const Train& train_;
  const Gearing& gears_;
  const Places& places_;
  mutable double least_ = 1.0;
};

// How many closed ways there are among the bodies of the gears: those that no turning of gears on
// their shafts can change. Bodies of a shaft that are fixed to each other are one.
std::size_t fixed_loops(const Train& train, const Gearing& gears) {
  std::vector<std::size_t> body(gears.phases.size());
  std::vector<std::optional<std::size_t>> fixed_on(train.shafts().size());
  for (std::size_t i = 0; i < body.size(); ++i) {
    body[i] = i;
    if (gears.phases[i].tooth_at) {
      auto& fixed = fixed_on[gears.phases[i].shaft];
      fixed = fixed.value_or(i);
      body[i] = *fixed;
    }
  }
  std::vector<std::size_t> set(body.size());
  for (std::size_t i = 0; i < set.size(); ++i) {
    set[i] = i;
  }
  std::size_t closed = 0;
  for (const MeshGears& pair : gears.gears) {
    const std::size_t a = set[body[pair.gear_1]];
    const std::size_t b = set[body[pair.gear_2]];
    closed += a == b ? 1 : 0;
    std::replace(set.begin(), set.end(), b, a);
  }
  return closed;
}

Train square(int teeth = 20) {
  return Train(names(4), {mesh("a", 0, 1, teeth, teeth), mesh("b", 1, 2, teeth, teeth),
                          mesh("c", 2, 3, teeth, teeth), mesh("d", 3, 0, teeth, teeth)});
}

Places square_places() {
  return {point(0.0, 0.0), point(1.0, 0.0), point(1.0, 1.0), point(0.0, 1.0)};
}

}  // namespace

TEST_CASE("loops of compound shafts close by the best choice of teeth, tried one by one") {
  Draw draw(41);
  int compared = 0;
  for (int i = 0; i < 40; ++i) {
    // Three shafts with two gears each. Tooth numbers have common divisors, so that the shares of a
    // pitch differ from loop to loop.
    const std::vector<int> slowness{draw.whole(2, 6), draw.whole(2, 6), draw.whole(2, 6)};
    const std::vector<bool> sense{draw.whole(0, 1) == 1, draw.whole(0, 1) == 1,
                                  draw.whole(0, 1) == 1};
    std::vector<Mesh> meshes;
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t next = (k + 1) % 3;
      const int times = draw.whole(1, 3);
      meshes.push_back(mesh("m", k, next, times * slowness[k], times * slowness[next],
                            sense[k] == sense[next] ? Mesh::Kind::internal : Mesh::Kind::external));
    }
    const Train train(names(3), meshes);
    Gearing gears = gearing(train);
    give_phases(gears, draw, 10);
    const Places places = random_places(draw, 3);
    const Closure closure(train, gears.gears, gears.phases, places);
    REQUIRE(closure.loops().size() == 1);
    // A shaft whose two meshes are of one gear is turned as a whole: its phase must not count.
    Gearing free = gears;
    for (std::size_t k = 0; k < gears.phases.size(); ++k) {
      const auto on_shaft = std::count_if(
          gears.phases.begin(), gears.phases.end(),
          [&](const GearPhase& phase) { return phase.shaft == gears.phases[k].shaft; });
      if (on_shaft == 1) {
        free.phases[k].tooth_at.reset();
      }
    }
    const double expected = Assembled(train, free, places).least_miss(train.loops().front());
    CHECK(closure.loops().front().by == ClosedBy::places);
    CHECK_THAT(std::abs(closure.loops().front().offset), WithinAbs(expected, phase_rounding));
    compared += expected > 1e-6 ? 1 : 0;
  }
  CHECK(compared == 40);
}

TEST_CASE("offsets add up to what is left over of every loop, and follow the places") {
  Draw draw(42);
  for (int i = 0; i < 60; ++i) {
    const std::size_t shafts = 3 + draw.index(10);
    const Made made = random_train(draw, shafts, 1 + draw.index(8));
    const Train train(made.shafts, made.meshes);
    Gearing gears = gearing(train);
    give_phases(gears, draw, i % 11);
    const Places places = random_places(draw, shafts);
    const Closure closure(train, gears.gears, gears.phases, places);
    const std::vector<double> drawn = closure.offsets(places);
    // The whole turned and shifted is the same train.
    const Places elsewhere = moved(places, 1.1, 0.3, -0.2);
    const std::vector<double> turned = closure.offsets(elsewhere);
    const Closure again(train, gears.gears, gears.phases, elsewhere);
    for (std::size_t k = 0; k < train.loops().size(); ++k) {
      const Loop& loop = train.loops()[k];
      const LoopClosure& found = closure.loops()[k];
      CHECK_THAT(loop_offset(train, loop, drawn), WithinAbs(found.offset, phase_rounding));
      CHECK_THAT(loop_offset(train, loop, turned), WithinAbs(found.offset, phase_rounding));
      CHECK(again.loops()[k].by == found.by);
      CHECK_THAT(again.loops()[k].offset, WithinAbs(found.offset, phase_rounding));
    }
  }
}

TEST_CASE("a displaced bore moves the sum of a loop of single gears as a train drawn there") {
  Draw draw(43);
  for (int i = 0; i < 50; ++i) {
    const Train train = square(draw.whole(17, 60));
    const Gearing gears = gearing(train);
    Places places = random_places(draw, 4);
    const Closure closure(train, gears.gears, gears.phases, places);
    places[draw.index(4)] = point(draw.between(-1.0, 1.0), draw.between(-1.0, 1.0));
    const Closure there(train, gears.gears, gears.phases, places);
    const double sum = loop_offset(train, train.loops().front(), closure.offsets(places));
    CHECK_THAT(within_half(sum - there.loops().front().offset), WithinAbs(0.0, phase_rounding));
  }
}

TEST_CASE("of two choices of teeth half a pitch off the positive one is told") {
  // A square closes. In a rhombus two of the four lines of centres are turned by the same angle,
  // and each counts 2 z / 2 pi times: half a pitch at 2 pi / 8 z.
  const Train train = square(20);
  const Gearing gears = gearing(train);
  for (const double corner : {pi / 2.0 + 2.0 * pi / 160.0, pi / 2.0 - 2.0 * pi / 160.0}) {
    const double x = std::cos(corner);
    const double y = std::sin(corner);
    const Closure closure(train, gears.gears, gears.phases,
                          {point(0.0, 0.0), point(1.0, 0.0), point(1.0 + x, y), point(x, y)});
    CHECK_THAT(closure.loops().front().offset, WithinAbs(0.5, 1e-9));
  }
}

TEST_CASE("gears that are set at assembly close as many loops as they are free to") {
  Draw draw(44);
  int assembled = 0;
  int placed = 0;
  for (int i = 0; i < 200; ++i) {
    const std::size_t shafts = 3 + draw.index(8);
    const Made made = random_train(draw, shafts, 1 + draw.index(10));
    const Train train(made.shafts, made.meshes);
    Gearing gears = gearing(train);
    give_phases(gears, draw, i % 11);
    const Closure closure(train, gears.gears, gears.phases, random_places(draw, shafts));
    std::size_t by_places = 0;
    for (const LoopClosure& loop : closure.loops()) {
      by_places += loop.by == ClosedBy::places ? 1 : 0;
      CHECK(loop.by != ClosedBy::unknown);
      CHECK(loop.set_on.size() == (loop.by == ClosedBy::assembly ? 1 : 0));
      CHECK(loop.offset <= 0.5);
      CHECK(loop.offset > -0.5);
      assembled += loop.by == ClosedBy::assembly ? 1 : 0;
      placed += loop.by == ClosedBy::places ? 1 : 0;
    }
    // A shaft with a single gear has it fixed, and one without any phase given has one fixed, which
    // changes nothing in the count.
    CHECK(by_places == fixed_loops(train, gears));
  }
  CHECK(assembled > 200);
  CHECK(placed > 200);
}

TEST_CASE("one gear set at assembly closes the first loop, and the second keeps what is left") {
  // Shaft 1 carries two gears: with one it meshes with 0, with the other with 2 and 3; both of
  // these mesh with 0. All have 24 teeth.
  const Train train(names(4),
                    {mesh("a", 0, 1, 24, 24), mesh("b", 1, 2, 24, 24),
                     mesh("c", 2, 0, 24, 24, Mesh::Kind::internal), mesh("d", 1, 3, 24, 24),
                     mesh("e", 3, 0, 24, 24, Mesh::Kind::internal)});
  // Gears: 0 and 1 are of the first mesh; 2 is the second of shaft 1; 5 is a ring on shaft 0, tied
  // to gear 0.
  const std::vector<MeshGears> gears{{0, 1}, {2, 3}, {3, 5}, {2, 4}, {4, 5}};
  std::vector<GearPhase> phases{{0, radians(0.1)}, {1, radians(0.2)}, {1, std::nullopt},
                                {2, std::nullopt}, {3, std::nullopt}, {0, radians(-0.4)}};
  const Places places{point(0.0, 0.0), point(1.0, 0.1), point(0.4, 0.9), point(0.3, -0.7)};
  const Closure set(train, gears, phases, places);
  REQUIRE(set.loops().size() == 2);
  CHECK(set.loops()[0].by == ClosedBy::assembly);
  CHECK(set.loops()[0].set_on == std::vector<std::size_t>{1});
  CHECK(set.loops()[0].offset == 0.0);
  CHECK(set.loops()[1].by == ClosedBy::places);

  // Found by trying: the direction of the gear that closes the first loop.
  const auto first_offset = [&](double angle) {
    phases[2].tooth_at = radians(angle);
    return Closure(train, gears, phases, places).loops()[0].offset;
  };
  const double slope = (first_offset(1e-4) - first_offset(0.0)) / 1e-4;
  const double closing = -first_offset(0.0) / slope;
  CHECK_THAT(first_offset(closing), WithinAbs(0.0, 1e-9));
  const Closure given(train, gears, phases, places);
  CHECK(given.loops()[1].by == ClosedBy::places);
  CHECK_THAT(given.loops()[1].offset, WithinAbs(set.loops()[1].offset, 1e-9));
  CHECK(std::abs(set.loops()[1].offset) > 0.01);
}

TEST_CASE("a loop with a shaft without a place is not known, the others are") {
  const Train train(names(6),
                    {mesh("a", 0, 1, 20, 20), mesh("b", 1, 2, 20, 20), mesh("c", 2, 3, 20, 20),
                     mesh("d", 3, 0, 20, 20), mesh("e", 2, 4, 20, 20), mesh("f", 4, 5, 20, 20),
                     mesh("g", 5, 3, 20, 20)});
  const Gearing gears = gearing(train);
  Places places = square_places();
  places[2] = point(1.1, 1.0);
  places.emplace_back(std::nullopt);
  places.emplace_back(point(0.0, 2.0));
  const Closure closure(train, gears.gears, gears.phases, places);
  REQUIRE(closure.loops().size() == 2);
  CHECK(closure.loops()[0].by == ClosedBy::places);
  CHECK(std::abs(closure.loops()[0].offset) > 0.001);
  CHECK(closure.loops()[1].by == ClosedBy::unknown);
  CHECK(closure.loops()[1].offset == 0.0);
  CHECK(closure.loops()[1].set_on.empty());
  const std::vector<double> drawn = closure.offsets(places);
  CHECK_THAT(loop_offset(train, train.loops()[1], drawn), WithinAbs(0.0, phase_rounding));
  // Places move no mesh of a shaft that has none.
  places[2] = point(1.2, 1.0);
  const std::vector<double> later = closure.offsets(places);
  CHECK(later[4] == drawn[4]);
  CHECK(later[1] != drawn[1]);
}

TEST_CASE("a compound ring whose steps divide a pitch beyond notice closes by its teeth") {
  std::vector<Mesh> meshes;
  constexpr std::size_t stages = 30;
  for (std::size_t i = 0; i < 2 * stages; ++i) {
    meshes.push_back(
        mesh("stage", i, (i + 1) % (2 * stages), i < stages ? 17 : 103, i < stages ? 103 : 17));
  }
  const Train train(names(2 * stages), meshes);
  Gearing gears = gearing(train);
  Draw draw(45);
  give_phases(gears, draw, 10);
  const Closure closure(train, gears.gears, gears.phases, random_places(draw, 2 * stages));
  CHECK(closure.loops().front().by == ClosedBy::places);
  CHECK(std::abs(closure.loops().front().offset) < 1e-9);
}

TEST_CASE("what no phases can be told of is refused") {
  const Train train = square();
  const Gearing good = gearing(train);
  const Places places = square_places();
  const auto refused = [&](const std::vector<MeshGears>& gears,
                           const std::vector<GearPhase>& phases, const Places& where,
                           const std::string& message) {
    CHECK_THROWS_MATCHES(Closure(train, gears, phases, where), DomainError, Message(message));
  };
  refused({}, good.phases, places, "gears of the meshes of a train: there must be 4, not 0");
  refused(good.gears, good.phases, {}, "places of the shafts of a train: there must be 4, not 0");
  std::vector<GearPhase> phases = good.phases;
  phases[0].shaft = 4;
  refused(good.gears, phases, places, "gear 0: there is no shaft 4 among 4");
  phases[0].shaft = 2;
  refused(good.gears, phases, places,
          "mesh 'a': its gear 0 is on shaft 2, and the mesh on shaft 0");
  std::vector<MeshGears> gears = good.gears;
  gears[1].gear_2 = 9;
  refused(gears, good.phases, places, "mesh 'b': there is no gear 9 among 4");
  Places bad = places;
  bad[1] = bad[0];
  refused(good.gears, good.phases, bad, "mesh 'a': its shafts stand in one place");
  bad[1] = point(std::numeric_limits<double>::quiet_NaN(), 0.0);
  refused(good.gears, good.phases, bad, "mesh 'a': the places of its shafts must be finite");

  const Closure closure(train, good.gears, good.phases, places);
  CHECK_THROWS_MATCHES(closure.offsets({}), DomainError,
                       Message("places of the shafts of a train: there must be 4, not 0"));
  bad[1] = bad[0];
  CHECK_THROWS_AS(closure.offsets(bad), DomainError);

  // One gear with two numbers of teeth, and one with its teeth outside and inside.
  const Train compound(names(3), {mesh("a", 0, 1, 20, 30), mesh("b", 1, 2, 31, 20)});
  CHECK_THROWS_MATCHES(
      Closure(compound, {{0, 1}, {1, 2}}, {{0, std::nullopt}, {1, std::nullopt}, {2, std::nullopt}},
              Places(3)),
      DomainError,
      Message("mesh 'b': its gear 1 has 31 outer teeth here and 30 outer teeth in "
              "another mesh"));
  const Train ring(names(3),
                   {mesh("a", 0, 1, 20, 30, Mesh::Kind::internal), mesh("b", 1, 2, 30, 20)});
  CHECK_THROWS_AS(Closure(ring, {{0, 1}, {1, 2}},
                          {{0, std::nullopt}, {1, std::nullopt}, {2, std::nullopt}}, Places(3)),
                  DomainError);
  CHECK_THROWS_AS(Closure(compound, {{0, 1}, {2, 3}},
                          {{0, std::nullopt},
                           {1, radians(std::numeric_limits<double>::infinity())},
                           {1, radians(0.0)},
                           {2, std::nullopt}},
                          Places(3)),
                  DomainError);
  // Four stages of a hundred to one down and up again, between gears of 20 teeth: whole pitches of
  // the closing mesh make up a share of 1e-9 of the slow ones.
  std::vector<Mesh> meshes;
  for (std::size_t i = 0; i < 8; ++i) {
    meshes.push_back(mesh("stage", i, i + 1, i < 4 ? 10 : 1000, i < 4 ? 1000 : 10));
  }
  meshes.push_back(mesh("closing", 0, 8, 20, 20, Mesh::Kind::internal));
  const Train steep(names(9), meshes);
  Gearing steep_gears = gearing(steep);
  Draw draw(46);
  give_phases(steep_gears, draw, 10);
  CHECK_THROWS_WITH(Closure(steep, steep_gears.gears, steep_gears.phases, random_places(draw, 9)),
                    ContainsText("the teeth around the loop S0 - closing - S8 - stage - S7") &&
                        EndsWith("cannot be told: its speeds differ too much"));
}
