#include "lashband/train/train.hpp"

#include <algorithm>
#include <limits>
#include <numeric>
#include <utility>

#include "train/blocks.hpp"
#include "train/message.hpp"
#include "train/rolling.hpp"

namespace lashband::train {
namespace {

using boost::multiprecision::cpp_int;
using kernel::end_of;
using kernel::require;
using kernel::start_of;

constexpr std::size_t not_reached = std::numeric_limits<std::size_t>::max();

void check_meshes(std::size_t shafts, const std::vector<Mesh>& meshes) {
  for (const Mesh& mesh : meshes) {
    const std::size_t last = std::max(mesh.shaft_1, mesh.shaft_2);
    require(last < shafts, {"mesh '", mesh.id, "': there is no shaft ", std::to_string(last),
                            " among ", std::to_string(shafts)});
    require(mesh.shaft_1 != mesh.shaft_2, {"mesh '", mesh.id, "' joins a shaft to itself"});
    const int least = std::min(mesh.teeth_1, mesh.teeth_2);
    require(least >= 1, {"mesh '", mesh.id, "': a gear must have 1 tooth or more, not ",
                         std::to_string(least)});
  }
}

std::vector<std::vector<std::size_t>> meshes_by_shaft(std::size_t shafts,
                                                      const std::vector<Mesh>& meshes) {
  std::vector<std::vector<std::size_t>> by_shaft(shafts);
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    by_shaft[meshes[i].shaft_1].push_back(i);
    by_shaft[meshes[i].shaft_2].push_back(i);
  }
  return by_shaft;
}

// Breadth-first search over the meshes before a given one. What it marks is kept from one search to
// the next, so that a short way in a large train costs no more than the shafts around it.
class WaySearch {
 public:
  WaySearch(const std::vector<Mesh>& meshes, const std::vector<std::vector<std::size_t>>& by_shaft)
      : meshes_(meshes), by_shaft_(by_shaft), distance_(by_shaft.size(), not_reached) {}

  // A way of fewest meshes, of those that of lowest numbers, over meshes before `end`; empty where
  // there is none.
  [[nodiscard]] std::vector<Step> way(std::size_t from, std::size_t to, std::size_t end) {
    measure(from, to, end);
    std::vector<Step> steps;
    if (distance_[from] != not_reached) {
      steps.reserve(distance_[from]);
      for (std::size_t at = from; at != to;) {
        steps.push_back(step_towards(at));
        at = end_of(meshes_[steps.back().mesh], steps.back().forward);
      }
    }
    for (const std::size_t shaft : seen_) {
      distance_[shaft] = not_reached;
    }
    return steps;
  }

 private:
  // Distances to `to`, as far out as `from`.
  void measure(std::size_t from, std::size_t to, std::size_t end) {
    seen_.assign(1, to);
    distance_[to] = 0;
    for (std::size_t i = 0; i < seen_.size() && distance_[from] == not_reached; ++i) {
      const std::size_t at = seen_[i];
      for (const std::size_t mesh : by_shaft_[at]) {
        if (mesh >= end) {
          break;
        }
        const std::size_t next = other_end(mesh, at);
        if (distance_[next] == not_reached) {
          distance_[next] = distance_[at] + 1;
          seen_.push_back(next);
        }
      }
    }
  }

  [[nodiscard]] Step step_towards(std::size_t at) const {
    for (const std::size_t mesh : by_shaft_[at]) {
      // The first that leads nearer is among those allowed: others reach no shaft that was not
      // reached by one before.
      const std::size_t next = other_end(mesh, at);
      if (distance_[next] != not_reached && distance_[next] + 1 == distance_[at]) {
        return {mesh, meshes_[mesh].shaft_1 == at};
      }
    }
    throw ComputationError("the way over meshes was lost");
  }

  [[nodiscard]] std::size_t other_end(std::size_t mesh, std::size_t shaft) const {
    const Mesh& one = meshes_[mesh];
    return one.shaft_1 == shaft ? one.shaft_2 : one.shaft_1;
  }

  const std::vector<Mesh>& meshes_;
  const std::vector<std::vector<std::size_t>>& by_shaft_;
  std::vector<std::size_t> distance_;
  std::vector<std::size_t> seen_;
};

// Sets of shafts that are joined.
class JoinedShafts {
 public:
  explicit JoinedShafts(std::size_t count) : parent_(count) {
    std::iota(parent_.begin(), parent_.end(), std::size_t{0});
  }

  // False where they were joined before.
  bool join(std::size_t a, std::size_t b) {
    const std::size_t first = root(a);
    const std::size_t second = root(b);
    parent_[std::max(first, second)] = std::min(first, second);
    return first != second;
  }

 private:
  std::size_t root(std::size_t of) {
    while (parent_[of] != of) {
      parent_[of] = parent_[parent_[of]];
      of = parent_[of];
    }
    return of;
  }

  std::vector<std::size_t> parent_;
};

std::vector<Loop> loops_of(std::size_t shafts, const std::vector<Mesh>& meshes) {
  const std::vector<std::vector<std::size_t>> by_shaft = meshes_by_shaft(shafts, meshes);
  WaySearch search(meshes, by_shaft);
  JoinedShafts joined(shafts);
  std::vector<Loop> loops;
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    if (!joined.join(meshes[i].shaft_1, meshes[i].shaft_2)) {
      Loop loop;
      loop.steps.push_back({i, true});
      const std::vector<Step> back = search.way(meshes[i].shaft_2, meshes[i].shaft_1, i);
      loop.steps.insert(loop.steps.end(), back.begin(), back.end());
      loops.push_back(std::move(loop));
    }
  }
  return loops;
}

std::optional<LoopFault> fault_of(const Loop& loop, const std::vector<Mesh>& meshes) {
  cpp_int driving = 1;
  cpp_int driven = 1;
  for (const Step& step : loop.steps) {
    const Mesh& mesh = meshes[step.mesh];
    driving *= kernel::sense_of(mesh) * (step.forward ? mesh.teeth_1 : mesh.teeth_2);
    driven *= step.forward ? mesh.teeth_2 : mesh.teeth_1;
  }
  if (driving == driven) {
    return std::nullopt;
  }
  return LoopFault{loop, ExactRatio(driving, driven), driving < 0};
}

std::optional<LoopFault> first_fault(const std::vector<Loop>& loops,
                                     const std::vector<Mesh>& meshes) {
  for (const Loop& loop : loops) {
    std::optional<LoopFault> fault = fault_of(loop, meshes);
    if (fault) {
      return fault;
    }
  }
  return std::nullopt;
}

std::string message_of(const LoopFault& fault, const std::vector<std::string>& shafts,
                       const std::vector<Mesh>& meshes) {
  std::string text = "the train cannot turn: around the loop ";
  text += text_of(fault.loop, shafts, meshes);
  if (fault.reversed) {
    text +=
        " the number of external meshes is odd, so that its first shaft would have to turn "
        "against itself (its speed comes back ";
  } else {
    text += " the tooth numbers do not work out (the speed of its first shaft comes back ";
  }
  text += text_of(fault.product);
  text += " times, and it must be 1)";
  return text;
}

}  // namespace

std::optional<LoopFault> loop_fault(std::size_t shafts, const std::vector<Mesh>& meshes) {
  check_meshes(shafts, meshes);
  return first_fault(loops_of(shafts, meshes), meshes);
}

std::string text_of(const Loop& loop, const std::vector<std::string>& shafts,
                    const std::vector<Mesh>& meshes) {
  std::string text;
  for (const Step& step : loop.steps) {
    const Mesh& mesh = meshes[step.mesh];
    if (text.empty()) {
      text += shafts[start_of(mesh, step.forward)];
    }
    text += " - ";
    text += mesh.id;
    text += " - ";
    text += shafts[end_of(mesh, step.forward)];
  }
  return text;
}

Train::Train(std::vector<std::string> shafts, std::vector<Mesh> meshes)
    : shafts_(std::move(shafts)), meshes_(std::move(meshes)) {
  check_meshes(shafts_.size(), meshes_);
  loops_ = loops_of(shafts_.size(), meshes_);
  if (const std::optional<LoopFault> fault = first_fault(loops_, meshes_)) {
    throw DomainError(message_of(*fault, shafts_, meshes_));
  }
  meshes_at_ = meshes_by_shaft(shafts_.size(), meshes_);

  // Ratios are passed on from the first shaft of a group, over the fewest meshes: the numbers stay
  // as short as they can.
  group_.assign(shafts_.size(), not_reached);
  ratio_.assign(shafts_.size(), ExactRatio(1));
  for (std::size_t first = 0; first < shafts_.size(); ++first) {
    if (group_[first] != not_reached) {
      continue;
    }
    const std::size_t group = first_shafts_.size();
    first_shafts_.push_back(first);
    group_[first] = group;
    std::vector<std::size_t> reached{first};
    for (std::size_t i = 0; i < reached.size(); ++i) {
      const std::size_t at = reached[i];
      for (const std::size_t mesh : meshes_at_[at]) {
        const bool forward = meshes_[mesh].shaft_1 == at;
        const std::size_t next = end_of(meshes_[mesh], forward);
        if (group_[next] == not_reached) {
          group_[next] = group;
          ratio_[next] = kernel::passed_on(meshes_[mesh], forward, ratio_[at]);
          reached.push_back(next);
        }
      }
    }
  }

  kernel::Blocks blocks = kernel::blocks_of(shafts_.size(), meshes_);
  blocks_ = blocks.count;
  block_ = std::move(blocks.of_mesh);
  std::vector<std::size_t> meshes_of_block(blocks_, 0);
  for (const std::size_t block : block_) {
    ++meshes_of_block[block];
  }
  on_a_loop_.reserve(meshes_.size());
  for (const std::size_t block : block_) {
    on_a_loop_.push_back(meshes_of_block[block] > 1);
  }
}

ExactRatio Train::ratio(std::size_t of, std::size_t to) const {
  require(of < shafts_.size() && to < shafts_.size(),
          {"there is no shaft ", std::to_string(std::max(of, to)), " among ",
           std::to_string(shafts_.size())});
  require(group_[of] == group_[to],
          {"no way over meshes joins shaft '", shafts_[of], "' to shaft '", shafts_[to], "'"});
  return ratio_[of] / ratio_[to];
}

std::vector<Step> Train::way(std::size_t from, std::size_t to) const {
  require(from < shafts_.size() && to < shafts_.size(),
          {"there is no shaft ", std::to_string(std::max(from, to)), " among ",
           std::to_string(shafts_.size())});
  require(group_[from] == group_[to],
          {"no way over meshes joins shaft '", shafts_[from], "' to shaft '", shafts_[to], "'"});
  return WaySearch(meshes_, meshes_at_).way(from, to, meshes_.size());
}

}  // namespace lashband::train
