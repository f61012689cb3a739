#pragma once

#include <algorithm>

#include "lashband/design/results.hpp"
#include "lashband/report/view.hpp"

// Which meshes and states a view shows.
namespace lashband::report {

[[nodiscard]] inline bool shows_mesh(const View& view, const std::string& mesh) {
  return !view.mesh || *view.mesh == mesh;
}

[[nodiscard]] inline bool shows_state(const View& view, const design::State& state) {
  return !view.condition || *view.condition == state.condition || *view.condition == state.id;
}

/// The carrier at the state with that index; null where it could not be computed. Looks in the
/// order of states, since a sweep may have thousands.
[[nodiscard]] inline const thermal::CarrierState* carrier_at(const design::BacklashResult& result,
                                                             std::size_t state) {
  const auto found = std::lower_bound(
      result.carrier_states.begin(), result.carrier_states.end(), state,
      [](const design::CarrierStateResult& at, std::size_t index) { return at.state < index; });
  return found == result.carrier_states.end() || found->state != state ? nullptr : &found->carrier;
}

[[nodiscard]] inline const char* basis_word(design::Basis basis) {
  return basis == design::Basis::nominal ? "nominal" : "worst_case";
}

}  // namespace lashband::report
