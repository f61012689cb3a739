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

double tip_clearance(const MeshState& state, Basis basis) {
  const Length nominal = state.c_1 < state.c_2 ? state.c_1 : state.c_2;
  return (basis == Basis::nominal ? nominal : state.tip_clearance_low).value();
}

// Tip clearance and contact ratio have no statistics: what is not nominal is the worst case.
Basis geometrical(Basis basis) {
  return basis == Basis::nominal ? Basis::nominal : Basis::worst_case;
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

Length low_end(const ResultBand<Length>& band, Basis basis) {
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

Length high_end(const ResultBand<Length>& band, Basis basis) {
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

AskedLeast asked_least(const MeshRequirements& require) {
  const Length running_gap = require.minimum_running_gap.value_or(Length());
  AskedLeast asked;
  if (require.least_backlash) {
    asked.backlash = *require.least_backlash + running_gap;
  }
  if (require.least_normal_backlash) {
    asked.normal_backlash = *require.least_normal_backlash + running_gap;
  }
  // A running gap alone asks for that much backlash.
  if (!asked.backlash && !asked.normal_backlash && require.minimum_running_gap) {
    asked.backlash = running_gap;
  }
  return asked;
}

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
  const auto length = [&](const std::optional<Length>& limit, Basis basis,
                          const Criterion& criterion) {
    if (limit) {
      append(mesh, criterion, limit->value(), basis, states, rows);
    }
  };
  const AskedLeast asked = asked_least(require);
  length(asked.backlash, require.basis,
         {"least_backlash", Kind::length, Side::at_least,
          [](const MeshState& s, Basis b) { return low_end(s.gap.j_wt, b).value(); }});
  length(require.greatest_backlash, require.basis,
         {"greatest_backlash", Kind::length, Side::at_most,
          [](const MeshState& s, Basis b) { return high_end(s.gap.j_wt, b).value(); }});
  length(asked.normal_backlash, require.basis,
         {"least_normal_backlash", Kind::length, Side::at_least,
          [](const MeshState& s, Basis b) { return low_end(s.gap.j_bn, b).value(); }});
  length(require.greatest_normal_backlash, require.basis,
         {"greatest_normal_backlash", Kind::length, Side::at_most,
          [](const MeshState& s, Basis b) { return high_end(s.gap.j_bn, b).value(); }});
  length(require.least_tip_clearance, geometrical(require.basis),
         {"least_tip_clearance", Kind::length, Side::at_least, tip_clearance});
  if (require.least_contact_ratio) {
    append(mesh,
           {"least_contact_ratio", Kind::ratio, Side::at_least,
            [](const MeshState& s, Basis b) {
              return b == Basis::nominal ? s.eps_alpha : s.eps_alpha_low;
            }},
           *require.least_contact_ratio, geometrical(require.basis), states, rows);
  }
  append(mesh,
         {"no_binding", Kind::length, Side::at_least,
          [](const MeshState& s, Basis b) { return low_end(s.gap.j_bind, b).value(); }},
         0.0, require.basis, states, rows);
}

}  // namespace lashband::design
