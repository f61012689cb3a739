#include "lashband/spectrum/coincidences.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <limits>
#include <map>
#include <random>
#include <string>
#include <tuple>
#include <vector>

#include "catch.hpp"
#include "lashband/error.hpp"
#include "machines.hpp"

using namespace lashband;
using namespace lashband::spectrum;
using namespace lashband::test;

namespace {

using Triple = std::tuple<double, std::size_t, std::size_t>;

/// Every pair asked for one by one, as the header has it.
std::vector<Triple> pair_by_pair(const std::vector<Line>& lines, double within) {
  std::map<std::string, double> order_of_mesh;
  for (const Line& line : lines) {
    if (line.kind == LineKind::mesh && line.harmonic == 1) {
      order_of_mesh[line.source] = line.order;
    }
  }
  const auto first_of_its_order = [&lines](std::size_t i) {
    for (std::size_t j = 0; j < i; ++j) {
      if (lines[j].kind == lines[i].kind && lines[j].order == lines[i].order) {
        return false;
      }
    }
    return true;
  };
  std::vector<Triple> found;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (std::size_t j = 0; j < lines.size(); ++j) {
      const bool mesh_1 = lines[i].kind == LineKind::mesh;
      const bool mesh_2 = lines[j].kind == LineKind::mesh;
      const double apart = std::abs(lines[j].order / lines[i].order - 1.0);
      if (!mesh_1 || apart > within || i == j || !first_of_its_order(i)) {
        continue;
      }
      if (lines[j].kind == LineKind::excitation && first_of_its_order(j)) {
        found.emplace_back(apart, i, j);
      }
      if (mesh_2 && order_of_mesh[lines[i].source] != order_of_mesh[lines[j].source]) {
        const bool higher = lines[j].order > lines[i].order && first_of_its_order(j);
        const bool exact = lines[j].order == lines[i].order;
        // Of exact ones each unlike mesh once.
        bool told = false;
        for (std::size_t k = 0; k < j; ++k) {
          told = told ||
                 (k != i && lines[k].kind == LineKind::mesh && lines[k].order == lines[j].order &&
                  order_of_mesh[lines[k].source] == order_of_mesh[lines[j].source]);
        }
        if (higher || (exact && !told)) {
          found.emplace_back(apart, i, j);
        }
      }
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

std::vector<Triple> as_triples(const Coincidences& coincidences) {
  std::vector<Triple> triples;
  for (const Coincidence& one : coincidences) {
    triples.emplace_back(one.apart, one.line_1, one.line_2);
  }
  std::sort(triples.begin(), triples.end());
  return triples;
}

Machine random_machine(unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_int_distribution<int> teeth(17, 60);
  std::vector<std::pair<int, int>> pairs;
  int z = teeth(random);
  for (int i = 0; i < 8; ++i) {
    // Some idlers, and some gears that are alike.
    const int z_2 = i % 3 == 2 ? z : teeth(random);
    pairs.emplace_back(z, z_2);
    z = i % 2 == 0 ? z_2 : teeth(random);
  }
  Machine machine = chain(pairs);
  machine.excitations.push_back({"vanes", 0, {static_cast<double>(pairs[0].first), 12.0, 31.0}});
  machine.excitations.push_back({"vanes too", 0, {31.0, 62.5}});
  return machine;
}

}  // namespace

TEST_CASE("coincidences are those found pair by pair") {
  std::size_t number = 0;
  std::size_t exact = 0;
  for (unsigned seed = 1; seed <= 120; ++seed) {
    const double within = std::vector<double>{0.0, 0.02, 0.1, 0.5}.at(seed % 4);
    INFO("seed " << seed << ", within " << within);
    const std::vector<Line> of_machine = lines(random_machine(seed), {.harmonics = 4});
    const Coincidences found = coincidences(of_machine, {.within = within, .most = 100000});
    const std::vector<Triple> expected = pair_by_pair(of_machine, within);
    CHECK(found.more == 0);
    CHECK(as_triples(found) == expected);
    CHECK(std::is_sorted(found.begin(), found.end(),
                         [](const auto& a, const auto& b) { return a.apart < b.apart; }));
    number += found.size();
    exact += static_cast<std::size_t>(std::count_if(
        found.begin(), found.end(), [](const Coincidence& one) { return one.apart == 0.0; }));

    // With fewer asked for, the closest of the same, and the rest counted.
    const std::size_t most = std::max<std::size_t>(1, expected.size() / 3);
    const Coincidences closest = coincidences(of_machine, {.within = within, .most = most});
    CHECK(closest.size() <= most);
    CHECK(closest.size() + closest.more == expected.size());
    for (const Coincidence& one : closest) {
      CHECK(std::binary_search(expected.begin(), expected.end(),
                               Triple(one.apart, one.line_1, one.line_2)));
    }
    if (!closest.empty() && closest[closest.size() - 1].apart > 0.0) {
      // Nothing that is closer has been passed over.
      const double widest = closest[closest.size() - 1].apart;
      const auto closer =
          std::count_if(expected.begin(), expected.end(),
                        [widest](const Triple& one) { return std::get<0>(one) < widest; });
      CHECK(static_cast<std::size_t>(closer) <= closest.size());
    }
  }
  CHECK(number > 1500);
  CHECK(exact > 20);
}

TEST_CASE("an idler's meshes are no coincidence, harmonics of unlike meshes are") {
  // 20-30-45: one tooth frequency all along.
  CHECK(coincidences(lines(chain({{20, 30}, {30, 45}}), {}), {.within = 0.3}).empty());
  // 20/40, then 20 on the same shaft: 20 and 10 a turn. The second harmonic of the slow one is the
  // first of the quick one.
  const std::vector<Line> of_two = lines(chain({{20, 40}, {20, 50}}), {.harmonics = 3});
  const Coincidences found = coincidences(of_two, {.within = 0.02});
  REQUIRE(found.size() == 1);
  CHECK(of_two[found[0].line_1].source == "m0");
  CHECK(of_two[found[0].line_1].harmonic == 1);
  CHECK(of_two[found[0].line_2].source == "m1");
  CHECK(of_two[found[0].line_2].harmonic == 2);
  CHECK(found[0].apart == 0.0);
}

TEST_CASE("three thousand meshes that all but coincide do not blow up") {
  // All pinions are on one shaft; orders 300 to 302 in steps of no simple pattern, so that nearly
  // every pair of nine million falls together.
  std::mt19937 random(5);
  std::uniform_real_distribution<double> order(300.0, 302.0);
  std::vector<Line> many;
  for (int i = 0; i < 3000; ++i) {
    const double f_z = order(random);
    for (int k = 1; k <= 3; ++k) {
      many.push_back({.source = "m" + std::to_string(i), .harmonic = k, .order = k * f_z});
      many.back().kind = LineKind::mesh;
    }
  }
  const auto begin = std::chrono::steady_clock::now();
  const Coincidences found = coincidences(many, {.within = 0.02});
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
  CHECK(found.size() <= 1000);
  CHECK(found.size() > 900);  // three harmonics of a pair are equally far apart
  // Every pair of meshes falls together at each of its three harmonics.
  CHECK(found.size() + found.more == 3U * 3000U * 2999U / 2U);
  CHECK(elapsed.count() < 10.0);  // below 0.01 s on one core
}

TEST_CASE("coincidences refuse options and lines that cannot be") {
  const std::vector<Line> of_pair = lines(chain({{20, 30}}), {});
  CHECK_THROWS_MATCHES(
      coincidences(of_pair, {.within = 0.6}), DomainError,
      Message("coincidences: the greatest distance of lines must be from 0 to 0.5, not 0.6"));
  CHECK_THROWS_AS(coincidences(of_pair, {.within = std::numeric_limits<double>::quiet_NaN()}),
                  DomainError);
  CHECK_THROWS_AS(coincidences(of_pair, {.most = 0}), DomainError);
  std::vector<Line> bad = of_pair;
  for (Line& line : bad) {
    line.order = -1.0;
  }
  CHECK_THROWS_AS(coincidences(bad, {}), DomainError);
  CHECK(coincidences({}, {}).empty());
}
