#include "closed_ways.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <set>

#include "lashband/train/freedom.hpp"
#include "train_model.hpp"

namespace lashband::design {
namespace {

using units::from_si;
using units::Length;

// Ways beyond this are more work than shortest paths.
constexpr std::size_t most_ways = 32;
constexpr std::size_t most_steps = 20000;

}  // namespace

ClosedWays::ClosedWays(const train::Train& train, std::size_t of, std::size_t held)
    : train_(train),
      of_(of),
      held_(held),
      ratio_(std::abs(train::nearest_double(train.ratio(of)))) {
  pitches_.reserve(train.meshes().size());
  for (std::size_t mesh = 0; mesh < train.meshes().size(); ++mesh) {
    pitches_.push_back(pitches_per_revolution(train, mesh));
  }
  list_ways();
  std::set<std::size_t> meshes;
  for (const Way& way : ways_) {
    for (const Passed& passed : way) {
      meshes.insert(passed.mesh);
    }
  }
  if (ways_.empty()) {
    for (std::size_t mesh = 0; mesh < train.meshes().size(); ++mesh) {
      if (train.group(train.meshes()[mesh].shaft_1) == train.group(of)) {
        meshes.insert(mesh);
      }
    }
  }
  meshes_.assign(meshes.begin(), meshes.end());
  for (const train::Loop& loop : train.loops()) {
    const bool among = std::all_of(loop.steps.begin(), loop.steps.end(),
                                   [&](const auto& step) { return meshes.contains(step.mesh); });
    if (among) {
      Way passed;
      passed.reserve(loop.steps.size());
      for (const train::Step& step : loop.steps) {
        passed.push_back({step.mesh, step.forward ? 1.0 : -1.0});
      }
      loops_.push_back(passed);
    }
  }
  // Of several loops sums can bind that none of the listed ones does.
  if (loops_.size() > 1) {
    ways_.clear();
  }
}

void ClosedWays::list_ways() {
  std::vector<std::vector<std::pair<std::size_t, Passed>>> neighbours(train_.shafts().size());
  for (std::size_t mesh = 0; mesh < train_.meshes().size(); ++mesh) {
    const train::Mesh& pair = train_.meshes()[mesh];
    neighbours[pair.shaft_1].push_back({pair.shaft_2, {mesh, 1.0}});
    neighbours[pair.shaft_2].push_back({pair.shaft_1, {mesh, -1.0}});
  }
  // Depth first, each shaft once, with a stack of its own: trains may be long.
  std::vector<std::size_t> shafts{of_};
  std::vector<std::size_t> next{0};
  std::vector<bool> passed(train_.shafts().size(), false);
  passed[of_] = true;
  Way way;
  std::size_t steps = 0;
  while (!shafts.empty()) {
    const std::size_t shaft = shafts.back();
    if (++steps > most_steps || ways_.size() > most_ways) {
      ways_.clear();
      return;
    }
    if (shaft == held_) {
      ways_.push_back(way);
    }
    if (shaft == held_ || next.back() == neighbours[shaft].size()) {
      passed[shaft] = false;
      shafts.pop_back();
      next.pop_back();
      if (!way.empty()) {
        way.pop_back();
      }
      continue;
    }
    const auto& [to, by] = neighbours[shaft][next.back()++];
    if (!passed[to]) {
      passed[to] = true;
      shafts.push_back(to);
      next.push_back(0);
      way.push_back(by);
    }
  }
}

double ClosedWays::freedom(const std::vector<double>& half_gap,
                           const std::vector<double>& offset) const {
  if (ways_.empty()) {
    return solved(half_gap, offset);
  }
  for (const std::size_t mesh : meshes_) {
    if (half_gap[mesh] < 0.0) {
      return 0.0;
    }
  }
  for (const Way& loop : loops_) {
    double room = 0.0;
    double off = 0.0;
    for (const Passed& passed : loop) {
      room += half_gap[passed.mesh];
      off += passed.direction * offset[passed.mesh];
    }
    if (room < std::abs(off)) {
      return 0.0;
    }
  }
  double upper = std::numeric_limits<double>::infinity();
  double lower = std::numeric_limits<double>::infinity();
  for (const Way& way : ways_) {
    double room = 0.0;
    double off = 0.0;
    for (const Passed& passed : way) {
      room += half_gap[passed.mesh];
      off += passed.direction * offset[passed.mesh];
    }
    upper = std::min(upper, room + off);
    lower = std::min(lower, room - off);
  }
  return std::max(0.0, upper + lower);
}

double ClosedWays::solved(const std::vector<double>& half_gap,
                          const std::vector<double>& offset) const {
  // With a base pitch of one metre, gaps are pitches.
  std::vector<train::MeshFreedom> meshes(train_.meshes().size(),
                                         {Length(), from_si<Length>(1.0), 0.0});
  for (const std::size_t mesh : meshes_) {
    const double w = pitches_[mesh];
    meshes[mesh].gap = from_si<Length>(2.0 * half_gap[mesh] * std::abs(w));
    meshes[mesh].offset = offset[mesh] * w;
  }
  const train::Freedom freedom(train_, meshes);
  const auto angle = freedom.lost_motion(of_, held_);
  return angle ? angle->value() / (2.0 * std::numbers::pi * ratio_) : 0.0;
}

}  // namespace lashband::design
