#include "judgement.hpp"

#include <functional>
#include <string>

namespace lashband::design {
namespace {

using units::Length;

enum class Side { at_least, at_most };

// A requirement: its name, which side is bad, and what is judged at one state on a basis.
struct Criterion {
  const char* what;
  RequirementRow::Kind kind;
  Side side;
  std::function<double(const MeshState&, Basis)> value;
};

double low_end(const ResultBand<Length>& band, Basis basis) {
  return (basis == Basis::nominal ? band.nominal : band.low).value();
}

double high_end(const ResultBand<Length>& band, Basis basis) {
  return (basis == Basis::nominal ? band.nominal : band.high).value();
}

double tip_clearance(const MeshState& state, Basis basis) {
  const Length nominal = state.c_1 < state.c_2 ? state.c_1 : state.c_2;
  return (basis == Basis::nominal ? nominal : state.tip_clearance_low).value();
}

void append(const MeshResult& mesh, const Criterion& criterion, double limit, Basis basis,
            const std::vector<State>& states, std::vector<RequirementRow>& rows) {
  if (mesh.states.empty()) {
    return;  // nothing could be computed; the failures say so
  }
  RequirementRow row;
  row.mesh = mesh.id;
  row.what = criterion.what;
  row.kind = criterion.kind;
  row.limit = limit;
  row.basis = basis;
  bool first = true;
  for (const MeshState& state : mesh.states) {
    const double value = criterion.value(state, basis);
    const bool worse = criterion.side == Side::at_least ? value < row.found : value > row.found;
    if (first || worse) {
      row.found = value;
      row.state = states[state.state].id;
      first = false;
    }
  }
  row.met = criterion.side == Side::at_least ? row.found >= limit : row.found <= limit;
  rows.push_back(row);
}

}  // namespace

void find_extremes(MeshResult& mesh) {
  const Basis basis = mesh.basis;
  Length lowest;
  Length highest;
  for (std::size_t i = 0; i < mesh.states.size(); ++i) {
    const auto& j_wt = mesh.states[i].gap.j_wt;
    if (!mesh.least || low_end(j_wt, basis) < low_end(mesh.states[*mesh.least].gap.j_wt, basis)) {
      mesh.least = i;
    }
    if (!mesh.greatest ||
        high_end(j_wt, basis) > high_end(mesh.states[*mesh.greatest].gap.j_wt, basis)) {
      mesh.greatest = i;
    }
    lowest = i == 0 || j_wt.nominal < lowest ? j_wt.nominal : lowest;
    highest = i == 0 || j_wt.nominal > highest ? j_wt.nominal : highest;
  }
  mesh.swing = highest - lowest;
}

void judge(const MeshResult& mesh, const MeshRequirements& require,
           const std::vector<State>& states, std::vector<RequirementRow>& rows) {
  using Kind = RequirementRow::Kind;
  const double running_gap =
      require.minimum_running_gap ? require.minimum_running_gap->value() : 0.0;
  const auto length = [&](const std::optional<Length>& limit, double added,
                          const Criterion& criterion) {
    if (limit) {
      append(mesh, criterion, limit->value() + added, require.basis, states, rows);
    }
  };

  // A running gap alone asks for that much backlash.
  std::optional<Length> least_backlash = require.least_backlash;
  if (!least_backlash && !require.least_normal_backlash && require.minimum_running_gap) {
    least_backlash = Length();
  }
  length(least_backlash, running_gap,
         {"least_backlash", Kind::length, Side::at_least,
          [](const MeshState& s, Basis b) { return low_end(s.gap.j_wt, b); }});
  length(require.greatest_backlash, 0.0,
         {"greatest_backlash", Kind::length, Side::at_most,
          [](const MeshState& s, Basis b) { return high_end(s.gap.j_wt, b); }});
  length(require.least_normal_backlash, running_gap,
         {"least_normal_backlash", Kind::length, Side::at_least,
          [](const MeshState& s, Basis b) { return low_end(s.gap.j_bn, b); }});
  length(require.greatest_normal_backlash, 0.0,
         {"greatest_normal_backlash", Kind::length, Side::at_most,
          [](const MeshState& s, Basis b) { return high_end(s.gap.j_bn, b); }});
  length(require.least_tip_clearance, 0.0,
         {"least_tip_clearance", Kind::length, Side::at_least, tip_clearance});
  if (require.least_contact_ratio) {
    append(mesh,
           {"least_contact_ratio", Kind::ratio, Side::at_least,
            [](const MeshState& s, Basis b) {
              return b == Basis::nominal ? s.eps_alpha : s.eps_alpha_low;
            }},
           *require.least_contact_ratio, require.basis, states, rows);
  }
  append(mesh,
         {"no_binding", Kind::length, Side::at_least,
          [](const MeshState& s, Basis b) { return low_end(s.gap.j_bind, b); }},
         0.0, require.basis, states, rows);
}

}  // namespace lashband::design
