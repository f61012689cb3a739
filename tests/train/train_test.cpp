#include "lashband/train/train.hpp"

#include <algorithm>
#include <set>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "made_trains.hpp"

using namespace lashband;
using namespace lashband::train;
using namespace lashband::train::test;

namespace {

// Fewest meshes from everywhere to `to`, by going through all meshes again and again.
std::vector<std::size_t> distances(const Train& train, std::size_t to, std::size_t end) {
  std::vector<std::size_t> distance(train.shafts().size(), 1000000);
  distance[to] = 0;
  for (std::size_t round = 0; round < train.shafts().size(); ++round) {
    for (std::size_t i = 0; i < end; ++i) {
      const Mesh& one = train.meshes()[i];
      distance[one.shaft_1] = std::min(distance[one.shaft_1], distance[one.shaft_2] + 1);
      distance[one.shaft_2] = std::min(distance[one.shaft_2], distance[one.shaft_1] + 1);
    }
  }
  return distance;
}

std::vector<std::size_t> shafts_of(const std::vector<Step>& steps, const Train& train) {
  std::vector<std::size_t> shafts;
  shafts.reserve(steps.size());
  for (const Step& step : steps) {
    const Mesh& one = train.meshes()[step.mesh];
    shafts.push_back(step.forward ? one.shaft_1 : one.shaft_2);
  }
  return shafts;
}

std::size_t end_of(const Step& step, const Train& train) {
  const Mesh& one = train.meshes()[step.mesh];
  return step.forward ? one.shaft_2 : one.shaft_1;
}

void check_message(const std::vector<Mesh>& meshes, const std::string& message) {
  CHECK_THROWS_MATCHES(Train({"crank A", "idler", "crank B"}, meshes), DomainError,
                       Message(message));
}

}  // namespace

TEST_CASE("speeds of a pair, an idler, a ring and a compound train") {
  // Products of tooth numbers by hand.
  const Train train({"motor", "idler", "layshaft", "output", "drum"},
                    {mesh("a", 0, 1, 20, 41), mesh("b", 1, 2, 41, 60), mesh("c", 2, 3, 18, 54),
                     mesh("d", 3, 4, 17, 85, Mesh::Kind::internal)});
  CHECK(train.ratio(0) == 1);
  CHECK(text_of(train.ratio(1)) == "-20/41");
  CHECK(text_of(train.ratio(2)) == "1/3");  // an idler changes the sense alone
  CHECK(text_of(train.ratio(3)) == "-1/9");
  CHECK(text_of(train.ratio(4)) == "-1/45");
  CHECK(train.ratio(0, 4) == -45);
  CHECK(train.ratio(3, 1) == ExactRatio(41, 180));
  CHECK(train.loops().empty());
  CHECK(train.blocks() == 4);
  CHECK_FALSE(train.on_a_loop(0));
}

TEST_CASE("groups are numbered by their first shafts and counted from them") {
  const Train train(names(6), {mesh("a", 5, 1, 30, 10), mesh("b", 4, 2, 15, 45)});
  CHECK(train.groups() == 4);
  CHECK(train.first_shaft(0) == 0);
  CHECK(train.first_shaft(1) == 1);
  CHECK(train.first_shaft(2) == 2);
  CHECK(train.first_shaft(3) == 3);
  CHECK(train.group(5) == 1);
  CHECK(train.group(4) == 2);
  CHECK(train.ratio(5) == ExactRatio(-1, 3));
  CHECK(train.ratio(4) == -3);
  CHECK_THROWS_MATCHES(train.ratio(5, 4), DomainError,
                       Message("no way over meshes joins shaft 'S5' to shaft 'S4'"));
  CHECK_THROWS_MATCHES(train.way(0, 1), DomainError,
                       Message("no way over meshes joins shaft 'S0' to shaft 'S1'"));
  CHECK_THROWS_MATCHES(train.ratio(0, 6), DomainError, Message("there is no shaft 6 among 6"));
  CHECK_THROWS_AS(train.way(7, 0), DomainError);
  CHECK(Train({}, {}).groups() == 0);
}

TEST_CASE("a train of a thousand compound stages keeps every digit") {
  std::vector<Mesh> meshes;
  for (std::size_t i = 0; i < 1000; ++i) {
    meshes.push_back(mesh("m", i, i + 1, 17, 1009));  // primes: nothing cancels
  }
  const Train train(names(1001), meshes);
  using boost::multiprecision::cpp_int;
  CHECK(numerator(train.ratio(1000)) == boost::multiprecision::pow(cpp_int(17), 1000));
  CHECK(denominator(train.ratio(1000)) == boost::multiprecision::pow(cpp_int(1009), 1000));
  CHECK(text_of(train.ratio(1000)).size() > 4000);
}

TEST_CASE("a single mesh that cannot be is refused") {
  check_message({mesh("X", 0, 3, 20, 20)}, "mesh 'X': there is no shaft 3 among 3");
  check_message({mesh("X", 1, 1, 20, 20)}, "mesh 'X' joins a shaft to itself");
  check_message({mesh("X", 0, 1, 20, 0)}, "mesh 'X': a gear must have 1 tooth or more, not 0");
  check_message({mesh("X", 0, 1, -4, 20)}, "mesh 'X': a gear must have 1 tooth or more, not -4");
  CHECK_THROWS_AS(loop_fault(1, {mesh("X", 0, 1, 20, 20)}), DomainError);
}

TEST_CASE("a loop that cannot turn is refused, with its way") {
  check_message({mesh("A-I", 0, 1, 38, 30), mesh("I-B", 1, 2, 30, 41), mesh("B-A", 2, 0, 41, 38)},
                "the train cannot turn: around the loop crank B - B-A - crank A - A-I - idler - "
                "I-B - crank B the number of external meshes is odd, so that its first shaft would "
                "have to turn against itself (its speed comes back -1 times, and it must be 1)");
  // A ring gear among them leaves an even number, and then the tooth numbers count.
  check_message({mesh("A-I", 0, 1, 38, 30), mesh("I-B", 1, 2, 30, 41),
                 mesh("B-A", 2, 0, 40, 38, Mesh::Kind::internal)},
                "the train cannot turn: around the loop crank B - B-A - crank A - A-I - idler - "
                "I-B - crank B the tooth numbers do not work out (the speed of its first shaft "
                "comes back 40/41 times, and it must be 1)");
  // Two meshes between the same shafts.
  check_message({mesh("one", 0, 1, 38, 30), mesh("two", 1, 0, 31, 38)},
                "the train cannot turn: around the loop idler - two - crank A - one - idler the "
                "tooth numbers do not work out (the speed of its first shaft comes back 31/30 "
                "times, and it must be 1)");

  const auto fault = loop_fault(3, {mesh("one", 0, 1, 38, 30), mesh("two", 1, 0, 31, 38)});
  REQUIRE(fault.has_value());
  CHECK(text_of(fault->product) == "31/30");
  CHECK_FALSE(fault->reversed);
  CHECK(fault->loop.steps.size() == 2);
  CHECK_FALSE(loop_fault(3, {mesh("one", 0, 1, 38, 30), mesh("two", 1, 0, 30, 38)}));
}

TEST_CASE("the first fault is found whatever loops that turn stand before it") {
  Draw draw(11);
  int found = 0;
  for (int i = 0; i < 200; ++i) {
    Made made = random_train(draw, 8, 6);
    const std::size_t spoilt = 7 + draw.index(6);
    if (draw.whole(0, 1) == 1) {
      made.meshes[spoilt].teeth_1 += 1;
    } else {
      Mesh::Kind& kind = made.meshes[spoilt].kind;
      kind = kind == Mesh::Kind::external ? Mesh::Kind::internal : Mesh::Kind::external;
    }
    const auto fault = loop_fault(8, made.meshes);
    REQUIRE(fault.has_value());
    CHECK(fault->loop.steps.front().mesh == spoilt);
    CHECK(fault->product != 1);
    CHECK(fault->reversed == (fault->product < 0));
    ++found;
    CHECK_THROWS_AS(Train(made.shafts, made.meshes), DomainError);
  }
  CHECK(found == 200);
}

TEST_CASE("a way has the fewest meshes, and of two the one over the meshes that come first") {
  // Two ways of two meshes from 0 to 3: over the meshes 0 and 3, and over 1 and 2.
  const Train square(names(4), {mesh("a", 0, 2, 20, 20), mesh("b", 0, 1, 20, 20),
                                mesh("c", 1, 3, 20, 20), mesh("d", 3, 2, 20, 20)});
  const std::vector<Step> way = square.way(0, 3);
  REQUIRE(way.size() == 2);
  CHECK(way[0].mesh == 0);
  CHECK(way[0].forward);
  CHECK(way[1].mesh == 3);
  CHECK_FALSE(way[1].forward);
  CHECK(square.way(2, 2).empty());

  Draw draw(5);
  for (int i = 0; i < 100; ++i) {
    const Made made = random_train(draw, 12, 8);
    const Train train(made.shafts, made.meshes);
    const std::size_t from = draw.index(12);
    const std::size_t to = draw.index(12);
    const std::vector<std::size_t> distance = distances(train, to, train.meshes().size());
    const std::vector<Step> steps = train.way(from, to);
    CHECK(steps.size() == distance[from]);
    std::size_t at = from;
    for (const Step& step : steps) {
      for (std::size_t other = 0; other < step.mesh; ++other) {
        const Mesh& one = train.meshes()[other];
        const bool leads_nearer = (one.shaft_1 == at && distance[one.shaft_2] < distance[at]) ||
                                  (one.shaft_2 == at && distance[one.shaft_1] < distance[at]);
        CHECK_FALSE(leads_nearer);
      }
      CHECK(shafts_of({step}, train).front() == at);
      at = end_of(step, train);
    }
    CHECK(at == to);
  }
}

TEST_CASE(
    "loops are simple, closed, as many as are independent, and the shortest when they close") {
  Draw draw(17);
  std::size_t loops = 0;
  for (int i = 0; i < 100; ++i) {
    const std::size_t shafts = 3 + draw.index(12);
    const std::size_t more = draw.index(12);
    const Made made = random_train(draw, shafts, more);
    const Train train(made.shafts, made.meshes);
    REQUIRE(train.loops().size() == more);
    std::vector<bool> on_a_loop(train.meshes().size(), false);
    std::size_t chord_before = 0;
    for (const Loop& loop : train.loops()) {
      const std::size_t chord = loop.steps.front().mesh;
      CHECK(loop.steps.front().forward);
      CHECK(chord > chord_before);
      chord_before = chord;
      const std::vector<std::size_t> passed = shafts_of(loop.steps, train);
      CHECK(std::set<std::size_t>(passed.begin(), passed.end()).size() == passed.size());
      for (std::size_t k = 0; k < loop.steps.size(); ++k) {
        // Every mesh but the chord was there before: each loop has one of its own, which makes
        // them independent.
        CHECK(loop.steps[k].mesh <= chord);
        CHECK(end_of(loop.steps[k], train) == passed[(k + 1) % passed.size()]);
        on_a_loop[loop.steps[k].mesh] = true;
      }
      const Mesh& closing = train.meshes()[chord];
      CHECK(loop.steps.size() == 1 + distances(train, closing.shaft_1, chord)[closing.shaft_2]);
      ++loops;
    }
    for (std::size_t k = 0; k < train.meshes().size(); ++k) {
      CHECK(train.on_a_loop(k) == on_a_loop[k]);
    }
  }
  CHECK(loops > 300);
}

TEST_CASE("blocks part where a single shaft holds two closed trains together") {
  // Two squares that share shaft 0, and a pair on its own way.
  const Train train(names(9),
                    {mesh("a", 0, 1, 20, 20), mesh("b", 1, 2, 20, 20), mesh("c", 2, 3, 20, 20),
                     mesh("d", 3, 0, 20, 20), mesh("e", 0, 4, 20, 20), mesh("f", 4, 5, 20, 20),
                     mesh("g", 5, 6, 20, 20), mesh("h", 6, 0, 20, 20), mesh("i", 6, 7, 20, 20),
                     mesh("j", 7, 8, 20, 20), mesh("k", 8, 7, 20, 20)});
  CHECK(train.blocks() == 4);
  CHECK(train.block(0) == train.block(3));
  CHECK(train.block(4) == train.block(7));
  CHECK(train.block(0) != train.block(4));
  CHECK(train.block(9) == train.block(10));  // two meshes between the same shafts
  CHECK(train.block(8) != train.block(9));
  CHECK_FALSE(train.on_a_loop(8));
  CHECK(train.on_a_loop(10));
  CHECK(text_of(train.loops().front(), train.shafts(), train.meshes()) ==
        "S3 - d - S0 - a - S1 - b - S2 - c - S3");
}
