#include "loops_run.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "drawn_pair.hpp"
#include "lashband/error.hpp"
#include "lashband/geometry/mesh_cycle.hpp"
#include "lashband/train/freedom.hpp"
#include "loop_model.hpp"
#include "train_model.hpp"

namespace lashband::design {
namespace {

using train::ClosedBy;
using train::Closure;
using train::Loop;
using train::Train;
using units::from_si;
using units::Length;

// The basis of a loop's requirement: that of its meshes where they agree. The root sum square
// stands for percentiles: a margin is the least of two sums, whose distribution is known by
// sampling alone.
Basis basis_of(const Design& design, const Loop& loop) {
  const Basis first = design.meshes[loop.steps.front().mesh].require.basis;
  for (const train::Step& step : loop.steps) {
    if (design.meshes[step.mesh].require.basis != first) {
      return Basis::worst_case;
    }
  }
  return first == Basis::percentile ? Basis::rss : first;
}

// Whether the teeth of a loop meet at the reference temperature, as drawn; `offsets` are those of
// all meshes. Empty where a mesh has no gap to speak of.
std::optional<bool> can_be_assembled(const Design& design, const Train& train, const Loop& loop,
                                     const std::vector<double>& offsets) {
  // Of meshes that are not on the loop nothing but a valid pitch is asked.
  std::vector<train::MeshFreedom> freedoms(design.meshes.size(),
                                           {Length(), from_si<Length>(1.0), 0.0});
  try {
    for (const train::Step& step : loop.steps) {
      const geometry::GearPair pair = drawn_pair(design, design.meshes[step.mesh]);
      freedoms[step.mesh] = {geometry::same_tooth_gap(pair), pair.gear_1().base_pitch(),
                             offsets[step.mesh]};
    }
  } catch (const Error&) {
    return std::nullopt;
  }
  return train::loop_margin(train, loop, freedoms) >= Length();
}

// What is needed of every mesh, by mesh and usable state: its place in MeshModels::usable and its
// result.
struct Known {
  std::size_t which = 0;
  const MeshState* result = nullptr;
};

class LoopsAt {
 public:
  LoopsAt(const Design& design, const CarrierRun& run, const std::vector<MeshModels>& meshes,
          const std::vector<MeshResult>& results)
      : design_(design),
        run_(run),
        meshes_(meshes),
        train_(train_model(design)),
        closure_(closure_model(design, train_)),
        drawn_offsets_(closure_.offsets(drawn_places(design))) {
    known_.resize(meshes.size());
    for (std::size_t m = 0; m < meshes.size(); ++m) {
      std::map<std::size_t, const MeshState*> by_state;
      for (const MeshState& state : results[m].states) {
        by_state[state.state] = &state;
      }
      for (std::size_t which = 0; which < meshes[m].usable.size(); ++which) {
        const std::size_t usable = meshes[m].usable[which];
        const auto found = by_state.find(run.usable()[usable].index);
        if (found != by_state.end()) {
          known_[m][usable] = {which, found->second};
        }
      }
    }
  }

  [[nodiscard]] std::vector<LoopResult> all() const {
    std::vector<LoopResult> results;
    results.reserve(train_.loops().size());
    for (std::size_t i = 0; i < train_.loops().size(); ++i) {
      results.push_back(examined(train_.loops()[i], closure_.loops()[i]));
    }
    for (const Loop& loop : sums_that_bind()) {
      train::LoopClosure closed;
      closed.by = ClosedBy::places;
      closed.offset = train::loop_offset(train_, loop, drawn_offsets_);
      results.push_back(examined(loop, closed));
    }
    return results;
  }

 private:
  // Two loops that share a mesh are a third one around both, which can bind where neither does: it
  // has the offsets of both and less room. Those that bind with every mesh at its own low end are
  // looked at like the others.
  [[nodiscard]] std::vector<Loop> sums_that_bind() const {
    std::vector<Loop> found;
    const bool all_known =
        std::none_of(closure_.loops().begin(), closure_.loops().end(),
                     [](const train::LoopClosure& one) { return one.by == ClosedBy::unknown; });
    if (train_.loops().size() < 2 || !all_known) {
      return found;
    }
    std::set<std::set<std::size_t>> seen;
    for (const Loop& loop : train_.loops()) {
      seen.insert(meshes_of(loop.steps));
    }
    for (std::size_t usable = 0; usable < run_.usable().size(); ++usable) {
      std::vector<train::MeshFreedom> freedoms;
      for (std::size_t mesh = 0; mesh < meshes_.size(); ++mesh) {
        const auto known = known_[mesh].find(usable);
        if (known == known_[mesh].end()) {
          break;  // the failure of the mesh is told already
        }
        const band::kernel::MeshModel& model = meshes_[mesh].model;
        const double e_1 = 1.0 + model.states[known->second.which].growth_1.constant;
        freedoms.push_back({known->second.result->gap.j_bt.low, from_si<Length>(model.p_b1 * e_1),
                            drawn_offsets_[mesh]});
      }
      if (freedoms.size() != meshes_.size()) {
        continue;
      }
      const train::Freedom freedom(train_, freedoms);
      for (std::size_t group = 0; group < train_.groups(); ++group) {
        const auto& binding = freedom.binding(group);
        if (binding && meshes_of(binding->steps).size() > 1 &&
            seen.insert(meshes_of(binding->steps)).second) {
          found.push_back({binding->steps});
        }
      }
    }
    return found;
  }

  [[nodiscard]] static std::set<std::size_t> meshes_of(const std::vector<train::Step>& steps) {
    std::set<std::size_t> meshes;
    for (const train::Step& step : steps) {
      meshes.insert(step.mesh);
    }
    return meshes;
  }

  [[nodiscard]] LoopResult examined(const Loop& loop, const train::LoopClosure& closed) const {
    LoopResult result;
    for (const train::Step& step : loop.steps) {
      const train::Mesh& mesh = train_.meshes()[step.mesh];
      result.shafts.push_back(train_.shafts()[step.forward ? mesh.shaft_1 : mesh.shaft_2]);
      result.meshes.push_back(mesh.id);
    }
    result.closed_by = closed.by;
    result.offset = closed.offset;
    for (const std::size_t shaft : closed.set_on) {
      result.set_on.push_back(train_.shafts()[shaft]);
    }
    result.basis = basis_of(design_, loop);
    if (closed.by == ClosedBy::unknown) {
      return result;
    }
    result.can_be_assembled = can_be_assembled(design_, train_, loop, drawn_offsets_);
    for (std::size_t usable = 0; usable < run_.usable().size(); ++usable) {
      if (const auto state = at(loop, result, usable)) {
        result.states.push_back(*state);
      }
    }
    const auto least = std::min_element(
        result.states.begin(), result.states.end(), [&](const LoopState& a, const LoopState& b) {
          return margin_on(a, result.basis) < margin_on(b, result.basis);
        });
    if (least != result.states.end()) {
      result.least = static_cast<std::size_t>(least - result.states.begin());
    }
    return result;
  }

  [[nodiscard]] std::optional<LoopState> at(const Loop& loop, const LoopResult& named,
                                            std::size_t usable) const {
    std::vector<LoopMesh> parts;
    std::vector<band::kernel::LinearForm> axial;
    for (const train::Step& step : loop.steps) {
      const auto known = known_[step.mesh].find(usable);
      if (known == known_[step.mesh].end()) {
        return std::nullopt;
      }
      axial.push_back(run_.models().axial_play(step.mesh));
      parts.push_back(part(step, known->second, axial.back()));
    }
    const LoopModel model(design_, run_, closure_, std::move(parts), std::move(axial));
    const auto length = [](std::optional<double> value) {
      return value ? std::optional(from_si<Length>(*value)) : std::nullopt;
    };
    using Float = LoopModel::Float;
    LoopState state;
    state.state = run_.usable()[usable].index;
    state.margin = from_si<Length>(model.nominal(Float::centred));
    state.margin_low = from_si<Length>(model.worst_low(Float::centred));
    state.margin_rss_low = length(model.rss_low(Float::centred));
    state.taken_up = from_si<Length>(model.nominal(Float::taken_up));
    state.taken_up_low = from_si<Length>(model.worst_low(Float::taken_up));
    state.taken_up_rss_low = length(model.rss_low(Float::taken_up));
    if (const auto reserve = model.bore_reserve()) {
      state.bore_reserve = from_si<Length>(reserve->distance);
      const auto shaft =
          std::find(named.shafts.begin(), named.shafts.end(), design_.shafts[reserve->shaft].id);
      state.bore = static_cast<std::size_t>(shaft - named.shafts.begin());
    }
    return state;
  }

  [[nodiscard]] LoopMesh part(const train::Step& step, const Known& known,
                              const band::kernel::LinearForm& axial) const {
    const Mesh& mesh = design_.meshes[step.mesh];
    const band::kernel::MeshModel& model = meshes_[step.mesh].model;
    const band::kernel::StateModel& state = model.states[known.which];
    const double e_1 = 1.0 + state.growth_1.constant;
    const double e_2 = 1.0 + state.growth_2.constant;
    const auto mid = [](const std::optional<ResultBand<Length>>& band) {
      return band ? band->nominal.value() : 0.0;
    };
    LoopMesh part;
    part.mesh = step.mesh;
    part.model = &model;
    part.state = &state;
    part.direction = step.forward ? 1.0 : -1.0;
    part.pitches = pitches_per_revolution(train_, step.mesh);
    part.base_pitch = model.p_b1 * e_1;
    part.gap = known.result->gap.j_bt.nominal.value();
    part.slack = mid(known.result->float_1) + mid(known.result->float_2) + axial.constant;
    part.a = side_of(design_, mesh) * known.result->a.value();
    part.base_radii = model.r_b1 * e_1 + model.r_b2 * e_2;
    part.growth = known.result->a.value() / mesh.centre_distance.value();
    return part;
  }

  const Design& design_;
  const CarrierRun& run_;
  const std::vector<MeshModels>& meshes_;
  Train train_;
  Closure closure_;
  std::vector<double> drawn_offsets_;  // by mesh
  std::vector<std::map<std::size_t, Known>> known_;
};

}  // namespace

std::vector<LoopResult> loops_at(const Design& design, const CarrierRun& run,
                                 const std::vector<MeshModels>& meshes,
                                 const std::vector<MeshResult>& results) {
  return LoopsAt(design, run, meshes, results).all();
}

Length margin_on(const LoopState& state, Basis basis) {
  switch (basis) {
    case Basis::nominal:
      return state.margin;
    case Basis::rss:
    case Basis::percentile:
      return state.margin_rss_low.value_or(state.margin_low);
    case Basis::worst_case:
      break;
  }
  return state.margin_low;
}

Length taken_up_on(const LoopState& state, Basis basis) {
  switch (basis) {
    case Basis::nominal:
      return state.taken_up;
    case Basis::rss:
    case Basis::percentile:
      return state.taken_up_rss_low.value_or(state.taken_up_low);
    case Basis::worst_case:
      break;
  }
  return state.taken_up_low;
}

void judge_loop(const LoopResult& loop, const std::vector<State>& states,
                std::vector<RequirementRow>& rows) {
  if (loop.states.empty()) {
    return;  // a finding says why
  }
  const auto worst = std::min_element(
      loop.states.begin(), loop.states.end(), [&loop](const LoopState& a, const LoopState& b) {
        return taken_up_on(a, loop.basis) < taken_up_on(b, loop.basis);
      });
  RequirementRow row;
  row.mesh = "loop " + loop_name(loop.meshes);
  row.what = "no_loop_binding";
  row.basis = loop.basis;
  row.found = taken_up_on(*worst, loop.basis).value();
  row.state = states[worst->state].id;
  row.met = row.found >= 0.0;
  rows.push_back(row);
}

}  // namespace lashband::design
