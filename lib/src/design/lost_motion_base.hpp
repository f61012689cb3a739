#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <numbers>
#include <vector>

#include "carrier_run.hpp"
#include "lost_motion_run.hpp"
#include "mesh_states.hpp"
#include "train_model.hpp"

// What lost motion along open ways and through loops have in common.
namespace lashband::design {

/// A mesh at one state, as lost motion needs it.
struct LostMotionMesh {
  const band::kernel::MeshModel* model = nullptr;
  const band::kernel::StateModel* state = nullptr;
  const MeshState* result = nullptr;
  double base_radius_1 = 0.0;  // r_b1, grown
};

inline double mid_float(const MeshState& state) {
  return (state.float_1 ? state.float_1->nominal.value() : 0.0) +
         (state.float_2 ? state.float_2->nominal.value() : 0.0);
}

/// Everything that is the same for all pairs.
class LostMotionBase {
 public:
  explicit LostMotionBase(const LostMotionInput& input) : input_(input) {
    for (std::size_t shaft = 0; shaft < input.design.shafts.size(); ++shaft) {
      ratios_.push_back(train::nearest_double(input.train.ratio(shaft)));
    }
    const std::size_t meshes = input.design.meshes.size();
    known_.resize(meshes);
    for (std::size_t m = 0; m < meshes; ++m) {
      pitches_.push_back(pitches_per_revolution(input.train, m));
      axial_.push_back(input.run.models().axial_play(m));
      std::map<std::size_t, const MeshState*> by_state;
      for (const MeshState& state : input.results[m].states) {
        by_state[state.state] = &state;
      }
      for (std::size_t which = 0; which < input.meshes[m].usable.size(); ++which) {
        const std::size_t usable = input.meshes[m].usable[which];
        const auto found = by_state.find(input.run.usable()[usable].index);
        if (found != by_state.end()) {
          const band::kernel::MeshModel& model = input.meshes[m].model;
          const band::kernel::StateModel& state = model.states[which];
          known_[m][usable] = {&model, &state, found->second,
                               model.r_b1 * (1.0 + state.growth_1.constant)};
        }
      }
    }
  }

  [[nodiscard]] const LostMotionInput& input() const { return input_; }
  [[nodiscard]] std::size_t states() const { return input_.run.usable().size(); }
  [[nodiscard]] std::size_t state_index(std::size_t usable) const {
    return input_.run.usable()[usable].index;
  }
  [[nodiscard]] const band::kernel::LinearForm& axial(std::size_t mesh) const {
    return axial_[mesh];
  }
  // Empty where the mesh could not be worked out at the state.
  [[nodiscard]] const LostMotionMesh* at(std::size_t mesh, std::size_t usable) const {
    const auto found = known_[mesh].find(usable);
    return found == known_[mesh].end() ? nullptr : &found->second;
  }
  [[nodiscard]] double speed(std::size_t shaft) const { return std::abs(ratios_[shaft]); }
  // As pitches_per_revolution.
  [[nodiscard]] double pitches(std::size_t mesh) const { return pitches_[mesh]; }
  // Rotation of `of` for one metre along the line of action of the mesh.
  [[nodiscard]] double per_gap(std::size_t mesh, std::size_t usable, std::size_t of) const {
    const std::size_t shaft_1 = input_.train.meshes()[mesh].shaft_1;
    return speed(of) / (speed(shaft_1) * at(mesh, usable)->base_radius_1);
  }

 private:
  const LostMotionInput& input_;
  std::vector<double> ratios_;   // by shaft
  std::vector<double> pitches_;  // by mesh
  std::vector<band::kernel::LinearForm> axial_;
  std::vector<std::map<std::size_t, LostMotionMesh>> known_;
};

inline bool has_all(const LostMotionBase& run, const std::vector<std::size_t>& meshes,
                    std::size_t usable) {
  return std::all_of(meshes.begin(), meshes.end(),
                     [&](std::size_t mesh) { return run.at(mesh, usable) != nullptr; });
}

}  // namespace lashband::design
