#include "shown_states.hpp"

#include <vector>

#include "selection.hpp"

namespace lashband::report {
namespace {

// A soak sweep of more points than this is thinned in tables.
constexpr std::size_t soak_points_shown = 9;

// How many of the points of a sweep to show: as many as allowed that are evenly spaced, unless that
// would leave very few.
std::size_t thinned(std::size_t points) {
  if (points <= soak_points_shown) {
    return points;
  }
  for (std::size_t shown = soak_points_shown; shown >= 5; --shown) {
    if ((points - 1) % (shown - 1) == 0) {
      return shown;
    }
  }
  return soak_points_shown;
}

}  // namespace

ShownStates::ShownStates(const design::BacklashResult& result, const design::MeshResult& mesh,
                         const View& view) {
  std::vector<std::size_t> soak;
  for (std::size_t i = 0; i < mesh.states.size(); ++i) {
    const design::State& state = result.states[mesh.states[i].state];
    if (!shows_state(view, state)) {
      continue;
    }
    if (state.condition == "soak") {
      soak.push_back(i);
    } else {
      shown_.insert(i);
    }
  }
  soak_points_ = soak.size();
  const std::size_t points = view.condition ? soak.size() : thinned(soak.size());
  for (std::size_t k = 0; k < points; ++k) {
    shown_.insert(soak[points < 2 ? 0 : k * (soak.size() - 1) / (points - 1)]);
  }
  for (const auto& extreme : {mesh.least, mesh.greatest}) {
    if (extreme && shows_state(view, result.states[mesh.states[*extreme].state])) {
      shown_.insert(*extreme);
    }
  }
  for (const std::size_t i : soak) {
    soak_shown_ += shown_.count(i);
  }
}

std::string ShownStates::what_was_left_out() const {
  if (soak_shown_ == soak_points_) {
    return "";
  }
  return "  soak: " + std::to_string(soak_shown_) + " of " + std::to_string(soak_points_) +
         " points shown; --condition soak, or CSV and JSON, have all\n";
}

}  // namespace lashband::report
