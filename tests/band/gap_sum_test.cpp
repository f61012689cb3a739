// Sums of gaps: the exact sum, its ends and its root sum square by other routes.
#include "band/gap_sum.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "catch.hpp"
#include "mesh_examples.hpp"
#include "train_examples.hpp"

using namespace lashband::band::kernel;
using lashband::tolerance::Shape;

namespace {

constexpr double um = examples::um;
constexpr double gap_rounding = 1e-14;  // m; a gap is a difference of lengths of 0.1 m

// A unit within the bands, many of its draws at their ends, places on the rim of their zone.
std::vector<double> unit_within(const Draws& draws, std::mt19937_64& random) {
  std::uniform_real_distribution<double> within(-1.0, 1.0);
  std::bernoulli_distribution at_end(0.7);
  std::vector<double> y(draws.shapes.size());
  for (double& value : y) {
    value = within(random);
    value = at_end(random) ? std::copysign(1.0, value) : value;
  }
  for (const auto& disc : draws.discs) {
    const double angle = std::numbers::pi * within(random);
    y[disc[0]] = std::cos(angle);
    y[disc[1]] = std::sin(angle);
  }
  return y;
}

}  // namespace

TEST_CASE("the sum of one mesh whose shafts have no float is its gap") {
  std::mt19937_64 random(5);
  for (examples::Example e : examples::all()) {
    INFO(e.name);
    e.state.seats.clear();
    const GapSum sum{{{&e.mesh, &e.state, 1.0, 1.0}}, {}};
    for (int i = 0; i < 50; ++i) {
      const std::vector<double> y = unit_within(e.draws, random);
      const Gaps exact = gaps(e.mesh, e.state, y.data());
      CHECK_THAT(sum_at(sum, Over::least, y.data()), WithinAbs(exact.least, gap_rounding));
      CHECK_THAT(sum_at(sum, Over::greatest, y.data()), WithinAbs(exact.greatest, gap_rounding));
    }
  }
}

TEST_CASE("gaps, floats and what else there is add up by their weights") {
  const examples::Train train = examples::train_of(
      {.meshes = 3, .bearings = true, .misalignment = true, .uncertainty = 0.05});
  std::mt19937_64 random(6);
  const std::vector<double> y = unit_within(train.draws, random);
  GapSum sum{{}, train.other};
  double expected = train.other.at(y.data());
  double weight = 1.0;
  for (std::size_t m = 0; m < train.meshes.size(); ++m) {
    weight *= 0.6;
    sum.meshes.push_back({&train.meshes[m], &train.states[m], weight, 2.0 * weight});
    double slack = 0.0;
    for (const SeatModel& seat : train.states[m].seats) {
      slack += seat_float(seat, y.data());
    }
    // The shafts in the middle of their float: without seats.
    StateModel true_shafts = train.states[m];
    true_shafts.seats.clear();
    expected +=
        weight * gaps(train.meshes[m], true_shafts, y.data()).greatest + 2.0 * weight * slack;
  }
  CHECK_THAT(sum_at(sum, Over::greatest, y.data()), WithinAbs(expected, gap_rounding));
}

TEST_CASE("no unit within its bands leaves the worst case of a sum") {
  std::mt19937_64 random(12);
  for (const examples::Train& train : examples::trains()) {
    INFO(train.name);
    const GapSum sum = train.sum();
    for (const Over over : {Over::least, Over::greatest}) {
      const double low = worst_case(sum, train.draws, over, End::low);
      const double high = worst_case(sum, train.draws, over, End::high);
      for (int i = 0; i < 3000; ++i) {
        const std::vector<double> y = unit_within(train.draws, random);
        const double x = sum_at(sum, over, y.data());
        CHECK(x >= low - gap_rounding);
        CHECK(x <= high + gap_rounding);
      }
    }
  }
}

TEST_CASE("the worst case of a sum is a corner of the bands") {
  // Without misalignment, whose parts each stand at their own end, and with the places of the bores
  // true: every corner is tried.
  examples::Train train = examples::train_of({.meshes = 2, .uncertainty = 0.05});
  for (MeshModel& mesh : train.meshes) {
    mesh.deviation.terms.clear();
  }
  train.draws.discs.clear();
  const GapSum sum = train.sum();
  std::vector<std::size_t> used;
  const auto note = [&used](const LinearForm& form) {
    for (const LinearTerm& term : form.terms) {
      if (std::find(used.begin(), used.end(), term.draw) == used.end()) {
        used.push_back(term.draw);
      }
    }
  };
  note(train.other);
  for (std::size_t m = 0; m < train.meshes.size(); ++m) {
    const MeshModel& mesh = train.meshes[m];
    for (const LinearForm* form :
         {&mesh.E_1, &mesh.E_2, &mesh.run_out_1, &mesh.run_out_2, &mesh.pitch_1, &mesh.pitch_2}) {
      note(*form);
    }
    note(train.states[m].growth_1);
    note(train.states[m].carrier_least.linear);
  }
  REQUIRE(used.size() == 12);
  for (const Over over : {Over::least, Over::greatest}) {
    double low = 1.0;
    double high = -1.0;
    std::vector<double> y(train.draws.shapes.size(), 0.0);
    for (std::size_t choice = 0; choice < std::size_t{1} << used.size(); ++choice) {
      for (std::size_t i = 0; i < used.size(); ++i) {
        y[used[i]] = ((choice >> i) & 1U) != 0 ? 1.0 : -1.0;
      }
      const double x = sum_at(sum, over, y.data());
      low = std::min(low, x);
      high = std::max(high, x);
    }
    CHECK_THAT(worst_case(sum, train.draws, over, End::low), WithinAbs(low, gap_rounding));
    CHECK_THAT(worst_case(sum, train.draws, over, End::high), WithinAbs(high, gap_rounding));
  }
}

TEST_CASE("the place of an idler's bore reaches as far as it tells in both meshes together") {
  examples::Train train = examples::train_of({.meshes = 2});
  const GapSum sum = train.sum();
  std::vector<double> y(train.draws.shapes.size(), 0.0);
  const auto slope = [&](std::size_t draw) {
    y[draw] = 1e-3;
    const double above = sum_at(sum, Over::greatest, y.data());
    y[draw] = -1e-3;
    const double below = sum_at(sum, Over::greatest, y.data());
    y[draw] = 0.0;
    return (above - below) / 2e-3;
  };
  double reach = 0.0;
  for (const auto& disc : train.draws.discs) {
    reach += std::hypot(slope(disc[0]), slope(disc[1]));
  }
  CHECK(reach > 10.0 * um);
  examples::Train true_places = train;
  for (MeshModel& mesh : true_places.meshes) {
    mesh.deviation.terms.clear();
  }
  const GapSum without = true_places.sum();
  // The curve of the involute, over 24 um: 0.03 a mm of it.
  constexpr double curve = 5e-8;
  CHECK_THAT(worst_case(sum, train.draws, Over::greatest, End::high) -
                 worst_case(without, train.draws, Over::greatest, End::high),
             WithinAbs(reach, curve));
  CHECK_THAT(worst_case(without, train.draws, Over::greatest, End::low) -
                 worst_case(sum, train.draws, Over::greatest, End::low),
             WithinAbs(reach, curve));
}

TEST_CASE("misalignment takes from every mesh at the low end and nothing at the high end") {
  const examples::TrainOptions options{.meshes = 3};
  examples::TrainOptions tilted_options = options;
  tilted_options.misalignment = true;
  const examples::Train plain = examples::train_of(options);
  const examples::Train tilted = examples::train_of(tilted_options);
  // 2 + 6 + 7 + 5 um a mesh, of which 1, 0.8 and 0.64 arrive.
  CHECK_THAT(worst_case(plain.sum(), plain.draws, Over::least, End::low) -
                 worst_case(tilted.sum(), tilted.draws, Over::least, End::low),
             WithinAbs(2.44 * 20.0 * um, gap_rounding));
  CHECK_THAT(
      worst_case(plain.sum(), plain.draws, Over::least, End::high),
      WithinAbs(worst_case(tilted.sum(), tilted.draws, Over::least, End::high), gap_rounding));
}

TEST_CASE("more elongations than are tried together end a sum at the same place") {
  const examples::Train few =
      examples::train_of({.meshes = 3, .bearings = true, .uncertainty = 0.1, .fits_follow = true});
  examples::Train many = few;
  for (int i = 0; i < 12; ++i) {
    const std::size_t draw = many.add(Shape::normal(), true);
    many.states.front().carrier_least.linear.terms.push_back({draw, 1e-12});
    many.states.front().carrier_greatest.linear.terms.push_back({draw, 1e-12});
  }
  REQUIRE(elongation_draws(many.sum(), many.draws).size() > most_tried_together);
  constexpr double twelve_tiny_strains = 1e-11;
  for (const Over over : {Over::least, Over::greatest}) {
    for (const End end : {End::low, End::high}) {
      CHECK_THAT(worst_case(many.sum(), many.draws, over, end),
                 WithinAbs(worst_case(few.sum(), few.draws, over, end), twelve_tiny_strains));
    }
  }
}

TEST_CASE("the root sum square of a sum counts what an idler does in both meshes once") {
  examples::Train train = examples::train_of({.meshes = 2});
  GapSum sum = train.sum();
  sum.meshes[0].per_gap = sum.meshes[1].per_gap = 1.0;
  const LinearSpread spread = linear_spread(sum, train.draws, Over::least);
  const std::size_t idler = train.meshes[0].E_2.terms[0].draw;
  const std::size_t first = train.meshes[0].E_1.terms[0].draw;
  const double growth = 1.0 + train.states[0].growth_1.constant;
  const double one = -train.meshes[0].kappa * growth * 12.5 * um / 3.0;
  constexpr double of_rounding = 1e-7;  // of the central differences
  CHECK_THAT(spread.parts[first], WithinRel(one, of_rounding));
  CHECK_THAT(spread.parts[idler], WithinRel(2.0 * one, of_rounding));
  double square = 0.0;
  for (const double part : spread.parts) {
    square += part * part;
  }
  CHECK_THAT(spread.sigma, WithinRel(std::sqrt(square), 1e-12));

  // Thicknesses cut to one size scatter as one.
  train.draws.correlations = {{first, idler, 1.0}};
  const LinearSpread tied = linear_spread(sum, train.draws, Over::least);
  CHECK_THAT(tied.sigma * tied.sigma - square, WithinRel(2.0 * one * 2.0 * one, 1e-6));
}

TEST_CASE("a sum of nothing is what else there is") {
  Draws draws;
  draws.shapes = {Shape::uniform()};
  draws.elongation = {false};
  const GapSum sum{{}, {3.0 * um, {{0, 2.0 * um}}}};
  const double y = 0.5;
  CHECK_THAT(sum_at(sum, Over::least, &y), WithinAbs(4.0 * um, gap_rounding));
  CHECK_THAT(worst_case(sum, draws, Over::least, End::low), WithinAbs(1.0 * um, gap_rounding));
  CHECK_THAT(worst_case(sum, draws, Over::least, End::high), WithinAbs(5.0 * um, gap_rounding));
  CHECK_THAT(linear_spread(sum, draws, Over::least).sigma,
             WithinRel(2.0 * um / std::sqrt(3.0), 1e-9));
}
