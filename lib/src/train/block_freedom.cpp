#include "train/block_freedom.hpp"

#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/dijkstra_shortest_paths.hpp>
#include <boost/graph/visitors.hpp>
#include <cmath>
#include <limits>
#include <utility>

#include "lashband/error.hpp"
#include "train/rolling.hpp"

namespace lashband::train::kernel {
namespace {

constexpr std::size_t none = std::numeric_limits<std::size_t>::max();
constexpr long double infinity = std::numeric_limits<long double>::infinity();
// A way is shorter only where it is so by more than what an arc adds to it can be rounded.
constexpr long double rounding = 4.0L * std::numeric_limits<long double>::epsilon();
// Speeds beyond leave no room for products of two of them.
constexpr long double greatest_speed = 1e4000L;

}  // namespace

BlockFreedom::BlockFreedom(const std::vector<Mesh>& meshes, const std::vector<Play>& play,
                           std::vector<std::size_t> block)
    : meshes_(meshes), play_(play), block_(std::move(block)) {
  for (const std::size_t mesh : block_) {
    shafts_.push_back(meshes_[mesh].shaft_1);
    shafts_.push_back(meshes_[mesh].shaft_2);
  }
  std::sort(shafts_.begin(), shafts_.end());
  shafts_.erase(std::unique(shafts_.begin(), shafts_.end()), shafts_.end());
  find_speeds();
  find_offsets();
  make_arcs();
  find_tightest();
}

std::size_t BlockFreedom::place_of(std::size_t shaft) const {
  return static_cast<std::size_t>(std::lower_bound(shafts_.begin(), shafts_.end(), shaft) -
                                  shafts_.begin());
}

void BlockFreedom::find_speeds() {
  std::vector<std::vector<Step>> steps_from(shafts_.size());
  for (const std::size_t mesh : block_) {
    steps_from[place_of(meshes_[mesh].shaft_1)].push_back({mesh, true});
    steps_from[place_of(meshes_[mesh].shaft_2)].push_back({mesh, false});
  }
  speed_.assign(shafts_.size(), 0.0L);
  depth_.assign(shafts_.size(), none);
  back_.resize(shafts_.size());
  speed_[0] = 1.0L;
  depth_[0] = 0;
  std::vector<std::size_t> reached{0};
  for (std::size_t i = 0; i < reached.size(); ++i) {
    const std::size_t at = reached[i];
    for (const Step& step : steps_from[at]) {
      const std::size_t next = place_of(end_of(meshes_[step.mesh], step.forward));
      if (depth_[next] == none) {
        depth_[next] = depth_[at] + 1;
        back_[next] = Step{step.mesh, !step.forward};
        speed_[next] = passed_on(meshes_[step.mesh], step.forward, speed_[at]);
        const long double magnitude = std::abs(speed_[next]);
        if (!(magnitude < greatest_speed && magnitude > 1.0L / greatest_speed)) {
          throw DomainError(
              "the speeds of the shafts of one closed train differ by more than 1e4000");
        }
        reached.push_back(next);
      }
    }
  }
}

long double BlockFreedom::pitches(std::size_t mesh) const {
  return pitches_passed(meshes_[mesh], true, speed_[place_of(meshes_[mesh].shaft_1)]);
}

// The rotations q are counted from where the meshes of a tree are at the middle of their gaps. Then
// other meshes alone have offsets, those of the loops that they close, each summed up at its own
// scale; and what paths through the tree would add and take off again is not there.
void BlockFreedom::find_offsets() {
  offset_.assign(block_.size(), 0.0L);
  for (std::size_t i = 0; i < block_.size(); ++i) {
    const std::size_t chord = block_[i];
    const long double own = pitches(chord);
    const std::size_t first = place_of(meshes_[chord].shaft_1);
    const std::size_t second = place_of(meshes_[chord].shaft_2);
    const auto is_back_of = [&](std::size_t place) {
      return back_[place] && back_[place]->mesh == chord;
    };
    if (is_back_of(first) || is_back_of(second)) {
      continue;
    }
    long double sum = play_[chord].offset;
    std::size_t ahead = second;  // on the way from shaft 2 up the tree
    std::size_t behind = first;  // on the way from shaft 1, passed the other way round
    while (ahead != behind) {
      const bool up = depth_[ahead] >= depth_[behind];
      std::size_t& at = up ? ahead : behind;
      const Step step = *back_[at];
      const long double share = play_[step.mesh].offset * (own / pitches(step.mesh));
      sum += step.forward == up ? share : -share;
      at = place_of(end_of(meshes_[step.mesh], step.forward));
    }
    offset_[i] = sum;
  }
}

void BlockFreedom::make_arcs() {
  arcs_.reserve(2 * block_.size());
  for (std::size_t i = 0; i < block_.size(); ++i) {
    const std::size_t mesh = block_[i];
    const long double growth = 0.5L / (play_[mesh].base_pitch * std::abs(pitches(mesh)));
    const long double half_gap = play_[mesh].gap * growth;
    const long double middle = offset_[i] / pitches(mesh);
    const std::size_t first = place_of(meshes_[mesh].shaft_1);
    const std::size_t second = place_of(meshes_[mesh].shaft_2);
    arcs_.push_back({first, second, {mesh, true}, half_gap - middle, growth});
    arcs_.push_back({second, first, {mesh, false}, half_gap + middle, growth});
  }
}

// Bellman and Ford's method from all shafts at once, with every gap enlarged by `shortfall`: the
// arcs of a negative cycle in their order, or nothing, and then the potentials are those distances.
// The arcs by which shafts were reached are looked through after every round: that there is a cycle
// among them shows long before the last round. (Boost's form of it goes through all rounds.)
std::vector<std::size_t> BlockFreedom::negative_cycle(long double shortfall) {
  std::vector<long double> distance(shafts_.size(), 0.0L);
  std::vector<std::size_t> parent(shafts_.size(), none);
  for (std::size_t round = 0; round <= shafts_.size(); ++round) {
    bool better = false;
    for (std::size_t i = 0; i < arcs_.size(); ++i) {
      const Arc& arc = arcs_[i];
      const long double wider = shortfall * arc.growth;
      const long double found = distance[arc.from] + (arc.cost + wider);
      const long double slack =
          rounding * (std::abs(distance[arc.from]) + std::abs(arc.cost) + std::abs(wider));
      if (found < distance[arc.to] - slack) {
        distance[arc.to] = found;
        parent[arc.to] = i;
        better = true;
      }
    }
    if (!better) {
      break;
    }
    std::vector<std::size_t> cycle = cycle_of_parents(parent);
    if (!cycle.empty()) {
      return cycle;
    }
  }
  potential_ = std::move(distance);
  return {};
}

std::vector<std::size_t> BlockFreedom::cycle_of_parents(
    const std::vector<std::size_t>& parent) const {
  std::vector<std::size_t> seen_from(parent.size(), none);
  for (std::size_t start = 0; start < parent.size(); ++start) {
    std::size_t at = start;
    while (seen_from[at] == none && parent[at] != none) {
      seen_from[at] = start;
      at = arcs_[parent[at]].from;
    }
    if (parent[at] == none || seen_from[at] != start) {
      continue;
    }
    std::vector<std::size_t> cycle;
    const std::size_t end = at;
    do {
      cycle.push_back(parent[at]);
      at = arcs_[parent[at]].from;
    } while (at != end);
    std::reverse(cycle.begin(), cycle.end());
    return cycle;
  }
  return {};
}

// The least ratio of cost to growth over all cycles: a cycle that binds with every gap enlarged by
// the shortfall so far has a greater one (Dinkelbach's method), and there are finitely many cycles.
void BlockFreedom::find_tightest() {
  std::vector<std::size_t> cycle = negative_cycle(0.0L);
  if (cycle.empty()) {
    return;
  }
  // A mesh there and back lacks what its gap is below 0. Meshes come in twos of arcs.
  std::size_t least = 0;
  for (std::size_t i = 0; i < block_.size(); ++i) {
    if (play_[block_[i]].gap < play_[block_[least]].gap) {
      least = i;
    }
  }
  const auto keep = [this](const std::vector<std::size_t>& arcs) {
    long double cost = 0.0L;
    long double growth = 0.0L;
    Cycle found;
    found.steps.reserve(arcs.size());
    for (const std::size_t i : arcs) {
      cost += arcs_[i].cost;
      growth += arcs_[i].growth;
      found.steps.push_back(arcs_[i].step);
    }
    found.shortfall = -cost / growth;
    const long double before = tightest_ ? tightest_->shortfall : 0.0L;
    const bool tighter = found.shortfall > before;
    if (tighter) {
      tightest_ = std::move(found);
    }
    return tighter;
  };
  if (play_[block_[least]].gap < 0.0L) {
    tightest_ = Cycle{{{block_[least], true}, {block_[least], false}}, -play_[block_[least]].gap};
  }
  (void)keep(cycle);
  // The cycle that gave the shortfall has a sum of 0 now. Where rounding makes less of it, it would
  // hide others, and the next try is wider by that rounding.
  long double tried = tightest_ ? tightest_->shortfall : 0.0L;
  for (cycle = negative_cycle(tried); !cycle.empty(); cycle = negative_cycle(tried)) {
    long double rounded = 0.0L;
    long double growth = 0.0L;
    for (const std::size_t i : cycle) {
      rounded += rounding * (std::abs(arcs_[i].cost) + tried * arcs_[i].growth);
      growth += arcs_[i].growth;
    }
    tried = keep(cycle) ? tightest_->shortfall : tried + 2.0L * (rounded / growth);
  }
}

std::vector<Step> BlockFreedom::shortest_path(std::size_t from, std::size_t to) const {
  using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::directedS,
                                      boost::no_property, std::size_t>;
  using Edge = boost::graph_traits<Graph>::edge_descriptor;
  Graph graph(shafts_.size());
  // With the potentials no arc costs less than nothing, but for rounding.
  std::vector<long double> reduced;
  reduced.reserve(arcs_.size());
  for (std::size_t i = 0; i < arcs_.size(); ++i) {
    const Arc& arc = arcs_[i];
    boost::add_edge(arc.from, arc.to, i, graph);
    reduced.push_back(std::max(0.0L, arc.cost + (potential_[arc.from] - potential_[arc.to])));
  }
  const auto arc_of = boost::get(boost::edge_bundle, graph);
  std::vector<Edge> reached_by(shafts_.size());
  boost::dijkstra_shortest_paths(
      graph, from,
      boost::weight_map(boost::make_iterator_property_map(reduced.begin(), arc_of))
          .distance_inf(infinity)
          .visitor(boost::make_dijkstra_visitor(boost::record_edge_predecessors(
              boost::make_iterator_property_map(reached_by.begin(),
                                                boost::get(boost::vertex_index, graph)),
              boost::on_edge_relaxed()))));

  std::vector<Step> steps;
  for (std::size_t at = to; at != from;) {
    const Arc& arc = arcs_[graph[reached_by[at]]];
    steps.push_back(arc.step);
    at = arc.from;
  }
  std::reverse(steps.begin(), steps.end());
  return steps;
}

long double BlockFreedom::revolutions(std::size_t of, std::size_t held) const {
  const std::size_t from = place_of(of);
  const std::size_t to = place_of(held);
  const std::vector<Step> out = shortest_path(from, to);
  std::vector<Step> home = shortest_path(to, from);
  std::reverse(home.begin(), home.end());

  // Both ways are passed from `of`, whose speed is 1. The costs are for q rising with the first
  // shaft of the block, which may turn the other way.
  const long double sense = speed_[from] < 0.0L ? -1.0L : 1.0L;
  const auto sum = [this, sense](const std::vector<Step>& steps, bool reversed) {
    long double total = 0.0L;
    long double speed = sense;
    for (const Step& step : steps) {
      const Mesh& mesh = meshes_[step.mesh];
      const bool forward = step.forward != reversed;
      const long double passed = pitches_passed(mesh, forward, speed);
      const Play& play = play_[step.mesh];
      const auto place = static_cast<std::size_t>(
          std::lower_bound(block_.begin(), block_.end(), step.mesh) - block_.begin());
      const long double middle = offset_[place] / passed;
      total += 0.5L * play.gap / (play.base_pitch * std::abs(passed)) +
               (step.forward ? -middle : middle);
      speed = passed_on(mesh, forward, speed);
    }
    return total;
  };
  return sum(out, false) + sum(home, true);
}

}  // namespace lashband::train::kernel
