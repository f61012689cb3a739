#include "judgement.hpp"

#include <algorithm>
#include <functional>
#include <string>
#include <utility>

namespace lashband::design {
namespace {

using units::Length;

double tip_clearance(const MeshState& state, Basis basis) {
  const Length nominal = state.c_1 < state.c_2 ? state.c_1 : state.c_2;
  return (basis == Basis::nominal ? nominal : state.tip_clearance_low).value();
}

// Tip clearance and contact ratio have no statistics: what is not nominal is the worst case.
Basis geometrical(Basis basis) {
  return basis == Basis::nominal ? Basis::nominal : Basis::worst_case;
}

}  // namespace

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

std::vector<Criterion> criteria_of(const MeshRequirements& require) {
  using Kind = RequirementRow::Kind;
  using Side = Criterion::Side;
  std::vector<Criterion> criteria;
  const auto length = [&](const char* what, const std::optional<Length>& limit, Side side,
                          Basis basis, std::function<double(const MeshState&, Basis)> value) {
    if (limit) {
      criteria.push_back({what, Kind::length, side, limit->value(), basis, std::move(value)});
    }
  };
  const AskedLeast asked = asked_least(require);
  length("least_backlash", asked.backlash, Side::at_least, require.basis,
         [](const MeshState& s, Basis b) { return low_end(s.gap.j_wt, b).value(); });
  length("greatest_backlash", require.greatest_backlash, Side::at_most, require.basis,
         [](const MeshState& s, Basis b) { return high_end(s.gap.j_wt, b).value(); });
  length("least_normal_backlash", asked.normal_backlash, Side::at_least, require.basis,
         [](const MeshState& s, Basis b) { return low_end(s.gap.j_bn, b).value(); });
  length("greatest_normal_backlash", require.greatest_normal_backlash, Side::at_most, require.basis,
         [](const MeshState& s, Basis b) { return high_end(s.gap.j_bn, b).value(); });
  length("least_tip_clearance", require.least_tip_clearance, Side::at_least,
         geometrical(require.basis), tip_clearance);
  if (require.least_contact_ratio) {
    criteria.push_back({"least_contact_ratio", Kind::ratio, Side::at_least,
                        *require.least_contact_ratio, geometrical(require.basis),
                        [](const MeshState& s, Basis b) {
                          return b == Basis::nominal ? s.eps_alpha : s.eps_alpha_low;
                        }});
  }
  length("no_binding", Length(), Side::at_least, require.basis,
         [](const MeshState& s, Basis b) { return low_end(s.gap.j_bind, b).value(); });
  return criteria;
}

void judge(const MeshResult& mesh, const MeshRequirements& require,
           const std::vector<State>& states, std::vector<RequirementRow>& rows) {
  if (mesh.states.empty()) {
    return;  // nothing could be computed; the failures say so
  }
  for (const Criterion& criterion : criteria_of(require)) {
    const auto worst = std::min_element(mesh.states.begin(), mesh.states.end(),
                                        [&criterion](const MeshState& a, const MeshState& b) {
                                          return criterion.margin(a) < criterion.margin(b);
                                        });
    RequirementRow row;
    row.mesh = mesh.id;
    row.what = criterion.what;
    row.kind = criterion.kind;
    row.limit = criterion.limit;
    row.basis = criterion.basis;
    row.found = criterion.at(*worst);
    row.state = states[worst->state].id;
    row.met = criterion.side == Criterion::Side::at_least ? row.found >= row.limit
                                                          : row.found <= row.limit;
    rows.push_back(row);
  }
}

}  // namespace lashband::design
