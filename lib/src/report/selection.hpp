#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>

#include "lashband/design/results.hpp"
#include "lashband/design/warmup.hpp"
#include "lashband/report/view.hpp"

// Which meshes and states a view shows.
namespace lashband::report {

[[nodiscard]] inline bool shows_mesh(const View& view, const std::string& mesh) {
  return !view.mesh || *view.mesh == mesh;
}

/// A loop is shown with each of its meshes.
[[nodiscard]] inline bool shows_loop(const View& view, const design::LoopResult& loop) {
  return !view.mesh ||
         std::find(loop.meshes.begin(), loop.meshes.end(), *view.mesh) != loop.meshes.end();
}

[[nodiscard]] inline bool shows_state(const View& view, const design::State& state) {
  return !view.condition || *view.condition == state.condition || *view.condition == state.id;
}

[[nodiscard]] inline bool shows_history(const View& view, const design::HistoryResult& history) {
  return !view.condition || *view.condition == history.id;
}

/// Whether a budget is that of all states together.
[[nodiscard]] inline bool is_envelope(const design::Budget& budget) {
  return budget.state == "envelope";
}

[[nodiscard]] inline bool shows_budget(const View& view, const design::BudgetResult& result,
                                       const design::Budget& budget) {
  if (!shows_mesh(view, budget.mesh)) {
    return false;
  }
  if (!view.condition) {
    return true;
  }
  const auto& states = result.backlash.states;
  return std::any_of(states.begin(), states.end(), [&](const design::State& state) {
    return state.id == budget.state && shows_state(view, state);
  });
}

/// What was sampled for any carrier: seed and samples are the same for all.
[[nodiscard]] inline std::optional<design::Sampling> sampling_of(
    const design::CarriersResult& result) {
  for (const design::CarrierRow& row : result.rows) {
    if (row.result.sampling) {
      return row.result.sampling;
    }
  }
  return std::nullopt;
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

/// The mesh of that id; null where there is none.
[[nodiscard]] inline const design::MeshResult* mesh_of(const design::BacklashResult& result,
                                                       const std::string& id) {
  const auto found = std::find_if(result.meshes.begin(), result.meshes.end(),
                                  [&id](const design::MeshResult& mesh) { return mesh.id == id; });
  return found == result.meshes.end() ? nullptr : &*found;
}

/// The word of the input and of JSON.
[[nodiscard]] inline const char* basis_word(design::Basis basis) {
  switch (basis) {
    case design::Basis::nominal:
      return "nominal";
    case design::Basis::rss:
      return "rss";
    case design::Basis::percentile:
      return "percentile";
    case design::Basis::worst_case:
      break;
  }
  return "worst_case";
}

}  // namespace lashband::report
