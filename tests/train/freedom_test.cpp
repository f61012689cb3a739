#include "lashband/train/freedom.hpp"

#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/howard_cycle_ratio.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_trains.hpp"

using namespace lashband;
using namespace lashband::train;
using namespace lashband::train::test;

namespace {

constexpr double turn = 2.0 * std::numbers::pi;
// What is promised: pitches of the meshes between two shafts.
constexpr double promised_pitches = 1e-12;
// A few roundings of a double, relative.
constexpr double few_roundings = 1e-15;

ExactRatio exact(double value) {
  int exponent = 0;
  const double mantissa = std::frexp(value, &exponent);
  using boost::multiprecision::cpp_int;
  const ExactRatio whole(static_cast<long long>(std::ldexp(mantissa, 53)));
  exponent -= 53;
  const ExactRatio power(
      boost::multiprecision::pow(cpp_int(2), static_cast<unsigned>(std::abs(exponent))));
  return exponent < 0 ? ExactRatio(whole / power) : ExactRatio(whole * power);
}

// The difference constraints as the header defines them, as fractions: by how much the rotation of
// one shaft may be beyond that of another, in revolutions of the first shaft.
struct Constraint {
  std::size_t from = 0;
  std::size_t to = 0;
  ExactRatio most{};
  ExactRatio growth{};  // per metre of gap
};

std::vector<Constraint> constraints_of(const Train& train, const std::vector<MeshFreedom>& meshes) {
  std::vector<Constraint> list;
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    const Mesh& one = train.meshes()[i];
    const ExactRatio w = one.teeth_1 * train.ratio(one.shaft_1);
    const ExactRatio growth = 1 / (2 * exact(meshes[i].base_pitch.value()) * abs(w));
    const ExactRatio half = exact(meshes[i].gap.value()) * growth;
    const ExactRatio middle = exact(meshes[i].offset) / w;
    // middle - half <= q_1 - q_2 <= middle + half
    list.push_back({one.shaft_2, one.shaft_1, half + middle, growth});
    list.push_back({one.shaft_1, one.shaft_2, half - middle, growth});
  }
  return list;
}

// All differences at once, by Floyd and Warshall's method, in fractions: nothing is rounded.
std::vector<std::vector<ExactRatio>> all_differences(std::size_t shafts,
                                                     const std::vector<Constraint>& constraints) {
  const ExactRatio far(1000000000);
  std::vector<std::vector<ExactRatio>> most(shafts, std::vector<ExactRatio>(shafts, far));
  for (std::size_t i = 0; i < shafts; ++i) {
    most[i][i] = 0;
  }
  for (const Constraint& one : constraints) {
    most[one.from][one.to] = std::min(most[one.from][one.to], one.most);
  }
  for (std::size_t k = 0; k < shafts; ++k) {
    for (std::size_t i = 0; i < shafts; ++i) {
      for (std::size_t j = 0; j < shafts; ++j) {
        const ExactRatio over = most[i][k] + most[k][j];
        if (over < most[i][j]) {
          most[i][j] = over;
        }
      }
    }
  }
  return most;
}

bool binds(std::size_t shafts, std::vector<Constraint> constraints, const ExactRatio& wider) {
  for (Constraint& one : constraints) {
    one.most += wider * one.growth;
  }
  const auto most = all_differences(shafts, constraints);
  for (std::size_t i = 0; i < shafts; ++i) {
    if (most[i][i] < 0) {
      return true;
    }
  }
  return false;
}

// The finest teeth of a group: pitches that pass in a revolution of a shaft.
double most_pitches(const Train& train, std::size_t shaft) {
  double most = 0.0;
  for (const Mesh& one : train.meshes()) {
    most = std::max(most, std::abs(nearest_double(one.teeth_1 * train.ratio(one.shaft_1, shaft))));
  }
  return most;
}

std::vector<MeshFreedom> widened(std::vector<MeshFreedom> meshes, double by_metres) {
  for (MeshFreedom& one : meshes) {
    one.gap += units::from_si<units::Length>(by_metres);
  }
  return meshes;
}

Train square() {
  return Train(names(4), {mesh("a", 0, 1, 20, 20), mesh("b", 1, 2, 20, 20), mesh("c", 2, 3, 20, 20),
                          mesh("d", 3, 0, 20, 20)});
}

}  // namespace

TEST_CASE("an open train has the sum of its gaps along the way, whatever the offsets") {
  Draw draw(1);
  for (int i = 0; i < 500; ++i) {
    const std::size_t shafts = 2 + draw.index(14);
    const Made made = random_train(draw, shafts, 0);
    const Train train(made.shafts, made.meshes);
    const std::vector<MeshFreedom> meshes = random_play(draw, train, 0.5);
    const Freedom freedom(train, meshes);
    CHECK_FALSE(freedom.binding(0).has_value());
    const std::size_t of = draw.index(shafts);
    const std::size_t held = draw.index(shafts);
    // Each gap turns a gear by gap / r_b, with r_b = z p_b / 2 pi; at the shaft `of` that is
    // multiplied by the ratio.
    double expected = 0.0;
    for (const Step& step : train.way(of, held)) {
      const Mesh& one = train.meshes()[step.mesh];
      const double base_radius = one.teeth_1 * meshes[step.mesh].base_pitch.value() / turn;
      expected += meshes[step.mesh].gap.value() / base_radius *
                  std::abs(nearest_double(train.ratio(of, one.shaft_1)));
    }
    REQUIRE(freedom.lost_motion(of, held).has_value());
    CHECK_THAT(freedom.lost_motion(of, held)->value(), WithinRel(expected, 20 * few_roundings));
  }
}

TEST_CASE("closed trains against every pair of shafts in fractions") {
  Draw draw(2);
  int bound = 0;
  int compared = 0;
  for (int i = 0; i < 60; ++i) {
    const std::size_t shafts = 3 + draw.index(5);
    const Made made = random_train(draw, shafts, 1 + draw.index(4));
    const Train train(made.shafts, made.meshes);
    const std::vector<MeshFreedom> meshes = random_play(draw, train, 0.02);
    const Freedom freedom(train, meshes);
    const std::vector<Constraint> constraints = constraints_of(train, meshes);
    const bool expected_to_bind = binds(shafts, constraints, 0);
    REQUIRE(freedom.binding(0).has_value() == expected_to_bind);
    if (expected_to_bind) {
      ++bound;
      const double shortfall = freedom.binding(0)->shortfall.value();
      CHECK(binds(shafts, constraints, exact(shortfall * (1.0 - 1e-12))));
      CHECK_FALSE(binds(shafts, constraints, exact(shortfall * (1.0 + 1e-12))));
      CHECK_FALSE(freedom.lost_motion(0, 1).has_value());
      continue;
    }
    const auto most = all_differences(shafts, constraints);
    for (std::size_t of = 0; of < shafts; ++of) {
      for (std::size_t held = 0; held < shafts; ++held) {
        const double expected =
            nearest_double((most[of][held] + most[held][of]) * abs(train.ratio(of)));
        CHECK_THAT(freedom.lost_motion(of, held)->value() / turn,
                   WithinAbs(expected, promised_pitches / most_pitches(train, of)));
        ++compared;
      }
    }
  }
  CHECK(bound >= 8);
  CHECK(compared >= 500);
}

TEST_CASE("the tightest cycle is that of Howard's method, and its meshes lack what is said") {
  using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::directedS,
                                      boost::no_property, std::size_t>;
  struct Traits : boost::mcr_float<double> {
    static double epsilon() { return -1e-13; }
  };
  Draw draw(3);
  int bound = 0;
  for (int i = 0; i < 200; ++i) {
    const std::size_t shafts = 3 + draw.index(20);
    const Made made = random_train(draw, shafts, 1 + draw.index(20));
    const Train train(made.shafts, made.meshes);
    std::vector<MeshFreedom> meshes = random_play(draw, train, 0.03);
    if (draw.whole(0, 3) == 0) {
      meshes[draw.index(meshes.size())].gap = units::from_si<units::Length>(-2e-4);
    }
    const Freedom freedom(train, meshes);
    if (!freedom.binding(0)) {
      continue;
    }
    ++bound;
    Graph graph(shafts);
    std::vector<double> costs;
    std::vector<double> growths;
    for (const Constraint& one : constraints_of(train, meshes)) {
      boost::add_edge(one.from, one.to, costs.size(), graph);
      costs.push_back(1e3 * nearest_double(one.most));  // a ratio in millimetres
      growths.push_back(nearest_double(one.growth));
    }
    const auto index = boost::get(boost::edge_bundle, graph);
    const double ratio = boost::minimum_cycle_ratio(
        graph, boost::get(boost::vertex_index, graph),
        boost::make_iterator_property_map(costs.begin(), index),
        boost::make_iterator_property_map(growths.begin(), index),
        static_cast<std::vector<boost::graph_traits<Graph>::edge_descriptor>*>(nullptr), Traits());
    const BindingCycle& binding = *freedom.binding(0);
    CHECK_THAT(1e3 * binding.shortfall.value(), WithinRel(-ratio, 1e-9));  // Howard's tolerance

    // The cycle says it by itself: it closes, and its sum is the shortfall times its growth.
    ExactRatio room = 0;
    ExactRatio growth = 0;
    for (std::size_t k = 0; k < binding.steps.size(); ++k) {
      const Step& step = binding.steps[k];
      const Step& next = binding.steps[(k + 1) % binding.steps.size()];
      const Mesh& one = train.meshes()[step.mesh];
      const Mesh& other = train.meshes()[next.mesh];
      CHECK((step.forward ? one.shaft_2 : one.shaft_1) ==
            (next.forward ? other.shaft_1 : other.shaft_2));
      const std::vector<Constraint> both = constraints_of(train, meshes);
      const Constraint& passed = both[2 * step.mesh + (step.forward ? 1 : 0)];
      room += passed.most;
      growth += passed.growth;
    }
    CHECK_THAT(binding.shortfall.value(), WithinRel(nearest_double(-room / growth), 1e-12));
  }
  CHECK(bound >= 50);
}

TEST_CASE("a mesh without room binds there and back") {
  const Train pair(names(3), {mesh("a", 0, 1, 20, 30), mesh("b", 1, 2, 20, 30)});
  const Freedom freedom(pair, {play(0.1, 6.0), play(-0.03, 6.0, 0.4)});
  REQUIRE(freedom.binding(0).has_value());
  CHECK(freedom.binding(0)->shortfall.value() == -play(-0.03, 6.0).gap.value());
  REQUIRE(freedom.binding(0)->steps.size() == 2);
  CHECK(freedom.binding(0)->steps[0].mesh == 1);
  CHECK(freedom.binding(0)->steps[1].mesh == 1);
  CHECK(freedom.binding(0)->steps[0].forward != freedom.binding(0)->steps[1].forward);
  // A pair beyond it has no freedom that could be told either.
  CHECK_FALSE(freedom.lost_motion(0, 1).has_value());
  // No gap at all does not bind.
  const Freedom none(pair, {play(0.0, 6.0), play(0.0, 6.0, 0.4)});
  CHECK_FALSE(none.binding(0).has_value());
  CHECK(none.lost_motion(2, 0)->value() == 0.0);
}

TEST_CASE("the mesh that lacks most is told, on a loop or not") {
  const Train train = square();
  std::vector<MeshFreedom> meshes(4, play(0.1, 6.0));
  meshes[1] = play(-0.02, 6.0);
  meshes[3] = play(-0.05, 6.0);
  const Freedom freedom(train, meshes);
  REQUIRE(freedom.binding(0).has_value());
  CHECK(freedom.binding(0)->steps.size() == 2);
  CHECK(freedom.binding(0)->steps[0].mesh == 3);
  CHECK_THAT(freedom.binding(0)->shortfall.value(), WithinRel(0.05e-3, few_roundings));
}

TEST_CASE("a square of equal gears by hand") {
  const Train train = square();
  // Four gaps of 0.12 mm on 6 mm of pitch: 0.01 pitch to either side in each mesh.
  std::vector<MeshFreedom> meshes(4, play(0.12, 6.0));
  {
    // One gear on from the held: 0.02 pitch by the mesh itself, which is less than by the other
    // three.
    const Freedom freedom(train, meshes);
    CHECK_THAT(freedom.lost_motion(1, 0)->value(), WithinRel(0.02 / 20 * turn, few_roundings));
    CHECK_THAT(freedom.lost_motion(2, 0)->value(), WithinRel(0.04 / 20 * turn, few_roundings));
    CHECK(freedom.lost_motion(0, 0)->value() == 0.0);
  }
  {
    // 0.03 pitch off: of the 0.04 that the loop has, 0.01 are left; the gear can go 0.01 to one
    // side, and to the other as far as the three others let it, 0.03 - 0.03.
    meshes[0].offset = 0.03;
    const Freedom freedom(train, meshes);
    CHECK_FALSE(freedom.binding(0).has_value());
    CHECK_THAT(freedom.lost_motion(1, 0)->value(), WithinRel(0.01 / 20 * turn, 1e-13));
    CHECK_THAT(loop_margin(train, train.loops()[0], meshes).value(), WithinRel(0.12e-3 / 4, 1e-13));
  }
  {
    // 0.05 pitch off lack 0.01 of the loop, 0.0025 of each side, 0.03 mm of each gap.
    meshes[0].offset = 0.05;
    const Freedom freedom(train, meshes);
    REQUIRE(freedom.binding(0).has_value());
    CHECK(freedom.binding(0)->steps.size() == 4);
    CHECK_THAT(freedom.binding(0)->shortfall.value(), WithinRel(0.03e-3, 1e-13));
    CHECK_THAT(loop_margin(train, train.loops()[0], meshes).value(), WithinRel(-0.03e-3, 1e-13));
    CHECK_FALSE(Freedom(train, widened(meshes, 0.0300001e-3)).binding(0).has_value());
    CHECK(Freedom(train, widened(meshes, 0.0299999e-3)).binding(0).has_value());
  }
}

TEST_CASE("the margin of a loop is what all its gaps can lose") {
  Draw draw(4);
  int free = 0;
  for (int i = 0; i < 100; ++i) {
    // A single loop of shafts with several gears: a random chain, closed.
    const Made made = random_train(draw, 3 + draw.index(6), 1);
    const Train train(made.shafts, made.meshes);
    const std::vector<MeshFreedom> meshes = random_play(draw, train, 0.06);
    const Loop& loop = train.loops().front();
    const double margin = loop_margin(train, loop, meshes).value();
    const std::vector<Constraint> constraints = constraints_of(train, meshes);
    std::vector<Constraint> round_one_way;
    ExactRatio one_way = 0;
    ExactRatio other_way = 0;
    ExactRatio growth = 0;
    for (const Step& step : loop.steps) {
      one_way += constraints[2 * step.mesh + (step.forward ? 1 : 0)].most;
      other_way += constraints[2 * step.mesh + (step.forward ? 0 : 1)].most;
      growth += constraints[2 * step.mesh].growth;
    }
    CHECK_THAT(margin,
               WithinAbs(nearest_double(std::min(one_way, other_way) / growth), 1e-12 * 12e-3));
    free += margin > 0.0 ? 1 : 0;
  }
  CHECK(free > 30);
  CHECK(free < 100);
}

TEST_CASE("offsets of a loop are summed in pitches of the mesh that closes it") {
  // A compound shaft: b passes 3 pitches while a passes 1.
  const Train train(names(3), {mesh("a", 0, 1, 20, 20), mesh("b", 1, 2, 60, 30),
                               mesh("c", 0, 2, 40, 20, Mesh::Kind::internal)});
  REQUIRE(train.loops().size() == 1);
  const Loop& loop = train.loops()[0];
  CHECK(loop.steps.front().mesh == 2);
  CHECK_THAT(loop_offset(train, loop, {0.0, 0.0, 0.25}), WithinAbs(0.25, few_roundings));
  // w is 20, -60 and 40; the loop passes c forward, b and a backward.
  CHECK_THAT(loop_offset(train, loop, {0.1, 0.0, 0.0}), WithinAbs(-0.1 * 40 / 20, few_roundings));
  CHECK_THAT(loop_offset(train, loop, {0.0, 0.1, 0.0}), WithinAbs(0.1 * 40 / 60, few_roundings));
}

TEST_CASE("a train over hundreds of orders of magnitude keeps the digits at both ends") {
  // 600 stages of 1 to 4 between two closed squares.
  constexpr std::size_t stages = 600;
  std::vector<Mesh> meshes{mesh("a", 0, 1, 20, 20), mesh("b", 1, 2, 20, 20),
                           mesh("c", 2, 3, 20, 20), mesh("d", 3, 0, 20, 20)};
  for (std::size_t i = 0; i < stages; ++i) {
    meshes.push_back(mesh("s", 3 + i, 4 + i, 15, 60));
  }
  const std::size_t end = 3 + stages;
  for (const std::size_t i : {0U, 1U, 2U, 3U}) {
    meshes.push_back(mesh("e", end + i, i == 3 ? end : end + i + 1, 20, 20));
  }
  const Train train(names(end + 4), meshes);
  std::vector<MeshFreedom> play_of(meshes.size(), play(0.12, 6.0, 0.4));
  for (const std::size_t i : {0U, 1U, 2U, 3U}) {
    play_of[i].offset = i == 0 ? 0.03 : 0.0;
    play_of[4 + stages + i].offset = i == 0 ? 0.03 : 0.0;
  }
  const Freedom freedom(train, play_of);
  CHECK_FALSE(freedom.binding(0).has_value());
  // As in the square by hand.
  CHECK_THAT(freedom.lost_motion(1, 0)->value(), WithinRel(0.01 / 20 * turn, 1e-13));
  CHECK_THAT(freedom.lost_motion(end + 1, end)->value(), WithinRel(0.01 / 20 * turn, 1e-13));
  // From the slow end: 0.02 pitch of 60 teeth, and each stage further off a quarter.
  CHECK_THAT(freedom.lost_motion(end, 3)->value(),
             WithinRel(0.02 / 60 / (1.0 - 0.25) * turn, 20 * few_roundings));
  // From the fast end the slow mesh is 4^600 times larger, more than a double holds.
  CHECK_THROWS_MATCHES(
      freedom.lost_motion(3, end), DomainError,
      Message("shaft 'S3' turns further against shaft 'S603' than a number can hold"));
}

TEST_CASE(
    "a ladder of compound stages, closed at every rung, is judged at the scale of each rung") {
  // Rung i turns 4^-i times as fast: all in one block, over 1e120.
  constexpr std::size_t rungs = 200;
  std::vector<Mesh> meshes;
  for (std::size_t i = 0; i < rungs; ++i) {
    meshes.push_back(mesh("rung", 2 * i, 2 * i + 1, 20, 20));
    if (i > 0) {
      meshes.push_back(mesh("left", 2 * i - 2, 2 * i, 15, 60));
      meshes.push_back(mesh("right", 2 * i - 1, 2 * i + 1, 15, 60));
    }
  }
  const Train train(names(2 * rungs), meshes);
  CHECK(train.blocks() == 1);
  for (const std::size_t rung : {std::size_t{0}, rungs / 2, rungs - 1}) {
    std::vector<MeshFreedom> play_of(meshes.size(), play(0.12, 6.0));
    const std::size_t spoilt = rung == 0 ? 0 : 3 * rung - 2;
    play_of[spoilt].offset = 0.5;
    const Freedom freedom(train, play_of);
    REQUIRE(freedom.binding(0).has_value());
    const std::vector<Step>& steps = freedom.binding(0)->steps;
    CHECK(std::any_of(steps.begin(), steps.end(),
                      [spoilt](const Step& step) { return step.mesh == spoilt; }));
    play_of[spoilt].offset = 1e-6;
    CHECK_FALSE(Freedom(train, play_of).binding(0).has_value());
  }
}

TEST_CASE("what cannot be a freedom is refused") {
  const Train train = square();
  const std::vector<MeshFreedom> good(4, play(0.1, 6.0));
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  CHECK_THROWS_MATCHES(Freedom(train, {play(0.1, 6.0)}), DomainError,
                       Message("freedom of the meshes of a train: there must be 4, not 1"));
  const auto refused = [&](const MeshFreedom& bad) {
    std::vector<MeshFreedom> meshes = good;
    meshes[2] = bad;
    CHECK_THROWS_AS(Freedom(train, meshes), DomainError);
    CHECK_THROWS_AS(loop_margin(train, train.loops()[0], meshes), DomainError);
  };
  refused(play(0.1, 0.0));
  refused(play(0.1, -6.0));
  refused(play(0.1, nan));
  refused(play(0.1, infinity));
  refused(play(nan, 6.0));
  refused(play(infinity, 6.0));
  refused(play(0.1, 6.0, nan));
  refused(play(0.1, 6.0, infinity));
  CHECK_THROWS_AS(loop_margin(train, train.loops()[0], {}), DomainError);
  CHECK_THROWS_AS(loop_offset(train, train.loops()[0], {0.0}), DomainError);

  const Train two(names(4), {mesh("a", 0, 1, 20, 20), mesh("b", 2, 3, 20, 20)});
  const Freedom freedom(two, {play(0.1, 6.0), play(-0.1, 6.0)});
  CHECK_FALSE(freedom.binding(0).has_value());
  CHECK(freedom.binding(1).has_value());
  CHECK(freedom.lost_motion(0, 1).has_value());
  CHECK_FALSE(freedom.lost_motion(2, 3).has_value());
  CHECK_THROWS_AS(freedom.lost_motion(0, 2), DomainError);
  CHECK_THROWS_AS(freedom.lost_motion(0, 4), DomainError);
  CHECK_THROWS_MATCHES(freedom.binding(2), DomainError, Message("there is no group 2 among 2"));

  // Speeds 1e4050 apart in one block.
  std::vector<Mesh> meshes;
  for (std::size_t i = 0; i < 450; ++i) {
    meshes.push_back(mesh("stage", i, i + 1, 1, 1000000000));
  }
  for (std::size_t i = 450; i < 900; ++i) {
    meshes.push_back(mesh("stage", i, (i + 1) % 900, 1000000000, 1));
  }
  const Train vast(names(900), meshes);
  CHECK_THROWS_MATCHES(
      Freedom(vast, std::vector<MeshFreedom>(meshes.size(), play(0.1, 6.0))), DomainError,
      Message("the speeds of the shafts of one closed train differ by more than 1e4000"));
}
