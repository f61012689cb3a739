#include "lashband/train/freedom.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "train/block_freedom.hpp"
#include "train/message.hpp"
#include "train/rolling.hpp"

namespace lashband::train {
namespace {

using kernel::Play;
using kernel::require;
using kernel::require_count;

std::vector<Play> play_of(const Train& train, const std::vector<MeshFreedom>& meshes) {
  require_count("freedom of the meshes of a train", meshes.size(), train.meshes().size());
  std::vector<Play> play;
  play.reserve(meshes.size());
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    const MeshFreedom& one = meshes[i];
    const std::string& id = train.meshes()[i].id;
    require(one.base_pitch.value() > 0.0 && std::isfinite(one.base_pitch.value()),
            {"mesh '", id, "': the base pitch must be above 0 m and finite, not ",
             std::to_string(one.base_pitch.value()), " m"});
    require(std::isfinite(one.gap.value()), {"mesh '", id, "': the gap must be finite, not ",
                                             std::to_string(one.gap.value()), " m"});
    require(std::isfinite(one.offset), {"mesh '", id, "': the offset must be finite, not ",
                                        std::to_string(one.offset), " pitches"});
    play.push_back({static_cast<long double>(one.gap.value()),
                    static_cast<long double>(one.base_pitch.value()),
                    static_cast<long double>(one.offset)});
  }
  return play;
}

}  // namespace

class Freedom::State {
 public:
  State(const Train& train, std::vector<Play> play)
      : train_(train), play_(std::move(play)), binding_(train.groups()), closed_(train.blocks()) {
    std::vector<std::vector<std::size_t>> meshes_of_block(train_.blocks());
    for (std::size_t i = 0; i < train_.meshes().size(); ++i) {
      meshes_of_block[train_.block(i)].push_back(i);
    }
    for (const std::vector<std::size_t>& block : meshes_of_block) {
      const std::size_t first = block.front();
      const std::size_t group = train_.group(train_.meshes()[first].shaft_1);
      if (block.size() > 1) {
        auto& closed = closed_[train_.block(first)];
        closed.emplace(train_.meshes(), play_, block);
        if (closed->tightest()) {
          keep(group, seen_from_group(*closed, closed->tightest()->steps),
               closed->tightest()->shortfall);
        }
      } else if (play_[first].gap < 0.0L) {
        keep(group, {{first, true}, {first, false}}, -play_[first].gap);
      }
    }
  }
  // The blocks refer to the train and the play in here.
  State(const State&) = delete;
  State& operator=(const State&) = delete;
  State(State&&) = delete;
  State& operator=(State&&) = delete;
  ~State() = default;

  [[nodiscard]] const Train& train() const { return train_; }
  [[nodiscard]] const std::vector<std::optional<BindingCycle>>& binding() const { return binding_; }

  // Revolutions of shaft `of`, along a way from it. Between its blocks a way has no choice.
  [[nodiscard]] long double revolutions(std::size_t of, const std::vector<Step>& way) const {
    long double total = 0.0L;
    long double speed = 1.0L;
    std::size_t at = of;
    for (std::size_t i = 0; i < way.size();) {
      const std::size_t block = train_.block(way[i].mesh);
      const std::size_t entry = at;
      const long double speed_at_entry = speed;
      long double plain = 0.0L;  // the revolutions of a block of one mesh
      for (; i < way.size() && train_.block(way[i].mesh) == block; ++i) {
        const Mesh& mesh = train_.meshes()[way[i].mesh];
        const Play& play = play_[way[i].mesh];
        plain = play.gap /
                (play.base_pitch * std::abs(kernel::pitches_passed(mesh, way[i].forward, speed)));
        speed = kernel::passed_on(mesh, way[i].forward, speed);
        at = kernel::end_of(mesh, way[i].forward);
      }
      total += closed_[block] ? closed_[block]->revolutions(entry, at) / std::abs(speed_at_entry)
                              : plain;
    }
    return total;
  }

 private:
  // The cycle of a block is passed as the rotations q of the block rise. Those of the group may
  // rise the other way.
  [[nodiscard]] std::vector<Step> seen_from_group(const kernel::BlockFreedom& block,
                                                  std::vector<Step> steps) const {
    if (train_.ratio(block.first_shaft()) < 0) {
      std::reverse(steps.begin(), steps.end());
      for (Step& step : steps) {
        step.forward = !step.forward;
      }
    }
    return steps;
  }

  void keep(std::size_t group, std::vector<Step> steps, long double shortfall) {
    std::optional<BindingCycle>& kept = binding_[group];
    const auto in_metres = static_cast<double>(shortfall);
    if (!kept || in_metres > kept->shortfall.value()) {
      kept = BindingCycle{std::move(steps), units::from_si<units::Length>(in_metres)};
    }
  }

  Train train_;
  std::vector<Play> play_;
  std::vector<std::optional<BindingCycle>> binding_;         // by group
  std::vector<std::optional<kernel::BlockFreedom>> closed_;  // by block, where it has loops
};

Freedom::Freedom(const Train& train, const std::vector<MeshFreedom>& meshes)
    : state_(std::make_shared<const State>(train, play_of(train, meshes))) {}

const std::optional<BindingCycle>& Freedom::binding(std::size_t group) const {
  const std::size_t groups = state_->binding().size();
  require(group < groups,
          {"there is no group ", std::to_string(group), " among ", std::to_string(groups)});
  return state_->binding()[group];
}

std::optional<units::Angle> Freedom::lost_motion(std::size_t of, std::size_t held) const {
  const std::vector<Step> way = state_->train().way(of, held);
  if (state_->binding()[state_->train().group(of)]) {
    return std::nullopt;
  }
  const auto angle =
      static_cast<double>(2.0L * std::numbers::pi_v<long double> * state_->revolutions(of, way));
  require(std::isfinite(angle),
          {"shaft '", state_->train().shafts()[of], "' turns further against shaft '",
           state_->train().shafts()[held], "' than a number can hold"});
  return units::from_si<units::Angle>(angle);
}

units::Length loop_margin(const Train& train, const Loop& loop,
                          const std::vector<MeshFreedom>& meshes) {
  const std::vector<Play> play = play_of(train, meshes);
  long double room = 0.0L;
  long double away = 0.0L;
  long double growth = 0.0L;
  long double speed = 1.0L;
  for (const Step& step : loop.steps) {
    const Mesh& mesh = train.meshes()[step.mesh];
    const long double passed = kernel::pitches_passed(mesh, step.forward, speed);
    const long double one = 0.5L / (play[step.mesh].base_pitch * std::abs(passed));
    room += play[step.mesh].gap * one;
    growth += one;
    away += (step.forward ? 1.0L : -1.0L) * play[step.mesh].offset / passed;
    speed = kernel::passed_on(mesh, step.forward, speed);
  }
  return units::from_si<units::Length>(static_cast<double>((room - std::abs(away)) / growth));
}

double loop_offset(const Train& train, const Loop& loop,
                   const std::vector<double>& offset_by_mesh) {
  require_count("offsets of the meshes of a train", offset_by_mesh.size(), train.meshes().size());
  long double sum = 0.0L;
  long double first = 0.0L;
  long double speed = 1.0L;
  for (const Step& step : loop.steps) {
    const Mesh& mesh = train.meshes()[step.mesh];
    const long double passed =
        (step.forward ? 1.0L : -1.0L) * kernel::pitches_passed(mesh, step.forward, speed);
    if (first == 0.0L) {
      first = passed;
    }
    sum += static_cast<long double>(offset_by_mesh[step.mesh]) * (first / passed);
    speed = kernel::passed_on(mesh, step.forward, speed);
  }
  return static_cast<double>(sum);
}

}  // namespace lashband::train
