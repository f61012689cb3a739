#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "lashband/design/requirements.hpp"
#include "lashband/design/results.hpp"

namespace lashband::design {

/// The least backlash that a mesh must keep, the running gap added.
struct AskedLeast {
  std::optional<units::Length> backlash;         ///< j_wt
  std::optional<units::Length> normal_backlash;  ///< j_bn
};
[[nodiscard]] AskedLeast asked_least(const MeshRequirements& require);

/// The ends of a band on a basis; where a basis was not worked out (nothing varies), those of the
/// worst case.
template <class Q>
[[nodiscard]] Q low_end(const ResultBand<Q>& band, Basis basis) {
  switch (basis) {
    case Basis::nominal:
      return band.nominal;
    case Basis::rss:
      return band.rss_low.value_or(band.low);
    case Basis::percentile:
      return band.least ? band.least->low : band.low;
    case Basis::worst_case:
      break;
  }
  return band.low;
}
template <class Q>
[[nodiscard]] Q high_end(const ResultBand<Q>& band, Basis basis) {
  switch (basis) {
    case Basis::nominal:
      return band.nominal;
    case Basis::rss:
      return band.rss_high.value_or(band.high);
    case Basis::percentile:
      return band.greatest ? band.greatest->high : band.high;
    case Basis::worst_case:
      break;
  }
  return band.high;
}

/// A requirement of a mesh as it is judged: its name, which side is bad, and what is judged at one
/// state.
struct Criterion {
  enum class Side { at_least, at_most };
  const char* what = "";
  RequirementRow::Kind kind = RequirementRow::Kind::length;
  Side side = Side::at_least;
  double limit = 0.0;  ///< SI
  Basis basis = Basis::worst_case;
  std::function<double(const MeshState&, Basis)> value;

  [[nodiscard]] double at(const MeshState& state) const { return value(state, basis); }
  /// By how much the state keeps the limit; negative where it does not.
  [[nodiscard]] double margin(const MeshState& state) const {
    return side == Side::at_least ? at(state) - limit : limit - at(state);
  }
};

/// Everything that is asked of a mesh, binding last, which nobody has to ask for.
[[nodiscard]] std::vector<Criterion> criteria_of(const MeshRequirements& require);

/// Marks the states with the lowest low end and the highest high end of j_wt on the mesh's basis,
/// and what temperature alone makes of the nominal j_wt.
void find_extremes(MeshResult& mesh);

/// Appends a row for each criterion of the mesh.
void judge(const MeshResult& mesh, const MeshRequirements& require,
           const std::vector<State>& states, std::vector<RequirementRow>& rows);

}  // namespace lashband::design
