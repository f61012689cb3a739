#include "band/worst_case.hpp"

#include <algorithm>
#include <cmath>

namespace lashband::band::kernel {
namespace {

// Puts the draws of a form at the ends that make it greatest (`upwards`) or least.
void push(const LinearForm& form, bool upwards, const Draws& draws, std::vector<double>& y) {
  const double sign = upwards ? 1.0 : -1.0;
  for (const LinearTerm& term : form.terms) {
    if (term.coefficient != 0.0) {
      y[term.draw] = std::copysign(sign, sign * term.coefficient);
    }
  }
  // Of a place in a round zone both coordinates count by their share of the direction.
  for (const auto& disc : draws.discs) {
    double length = 0.0;
    std::array<double, 2> share{};
    for (const LinearTerm& term : form.terms) {
      for (std::size_t i = 0; i < 2; ++i) {
        share.at(i) += term.draw == disc.at(i) ? term.coefficient : 0.0;
      }
    }
    length = std::hypot(share[0], share[1]);
    if (length > 0.0) {
      y[disc[0]] = sign * share[0] / length;
      y[disc[1]] = sign * share[1] / length;
    }
  }
}

void note_draws(const LinearForm& form, std::vector<bool>& used) {
  for (const LinearTerm& term : form.terms) {
    used[term.draw] = used[term.draw] || term.coefficient != 0.0;
  }
}

void note_draws(const StrainModel& carrier, std::vector<bool>& used) {
  note_draws(carrier.linear, used);
  for (const Knee& knee : carrier.knees) {
    note_draws(knee.argument, used);
  }
}

// Everything that goes one way, at the end wanted; draws of elongation are left alone.
void push_all(const MeshModel& mesh, const StateModel& state, const Draws& draws, Stance stance,
              bool high, const std::vector<std::size_t>& elongations, std::vector<double>& y) {
  std::vector<double> kept(elongations.size());
  std::transform(elongations.begin(), elongations.end(), kept.begin(),
                 [&y](std::size_t draw) { return y[draw]; });
  for (const LinearForm* thickness : {&mesh.E_1, &mesh.E_2, &mesh.pitch_1, &mesh.pitch_2}) {
    push(*thickness, !high, draws, y);
  }
  for (const LinearForm* opens : {&mesh.deviation, &mesh.wear, &mesh.other_a, &mesh.other_j}) {
    push(*opens, high, draws, y);
  }
  for (const LinearForm* run_out : {&mesh.run_out_1, &mesh.run_out_2}) {
    push(*run_out, high == (stance.run_out > 0.0), draws, y);
  }
  // More clearance is more float, more interference is less.
  for (const SeatModel& seat : state.seats) {
    const bool more_float = high == (stance.shafts * seat.weight > 0.0);
    push(seat.clearance, more_float, draws, y);
    push(seat.outer, !more_float, draws, y);
    push(seat.inner, !more_float, draws, y);
  }
  for (std::size_t i = 0; i < elongations.size(); ++i) {
    y[elongations[i]] = kept[i];
  }
}

// |M| at its end: the elongation draws as they stand, the others free.
double misalignment_at(const LinearForm& form, const std::vector<std::size_t>& elongations,
                       const std::vector<double>& y, bool greatest) {
  double fixed = form.constant;
  double free = 0.0;
  for (const LinearTerm& term : form.terms) {
    if (std::find(elongations.begin(), elongations.end(), term.draw) != elongations.end()) {
      fixed += term.coefficient * y[term.draw];
    } else {
      free += std::abs(term.coefficient);
    }
  }
  return greatest ? std::abs(fixed) + free : std::max(0.0, std::abs(fixed) - free);
}

}  // namespace

Range range_of(const LinearForm& form, const Draws& draws) {
  std::vector<double> y(draws.shapes.size(), 0.0);
  push(form, true, draws, y);
  const double high = form.at(y.data());
  push(form, false, draws, y);
  return {form.at(y.data()), high};
}

std::vector<std::size_t> elongation_draws(const StateModel& state, const Draws& draws) {
  std::vector<bool> used(draws.shapes.size(), false);
  note_draws(state.growth_1, used);
  note_draws(state.growth_2, used);
  note_draws(state.carrier_least, used);
  note_draws(state.carrier_greatest, used);
  note_draws(state.misalignment, used);
  for (const SeatModel& seat : state.seats) {
    note_draws(seat.clearance, used);
    note_draws(seat.outer, used);
    note_draws(seat.inner, used);
  }
  std::vector<std::size_t> found;
  for (std::size_t draw = 0; draw < used.size(); ++draw) {
    if (used[draw] && draws.elongation[draw]) {
      found.push_back(draw);
    }
  }
  return found;
}

std::vector<Corner> corners(const MeshModel& mesh, const StateModel& state,
                            const StrainModel& carrier, const Draws& draws, Stance stance,
                            End end) {
  const bool high = end == End::high;
  const std::vector<std::size_t> elongations = elongation_draws(state, draws);
  const auto at_ends = [&](std::vector<double> y) {
    push_all(mesh, state, draws, stance, high, elongations, y);
    Corner result;
    result.misalignment = misalignment_at(state.misalignment, elongations, y, !high);
    result.gap = gap_at(mesh, state, carrier, y.data(), stance, result.misalignment);
    result.y = std::move(y);
    return result;
  };

  std::vector<double> start(draws.shapes.size(), 0.0);
  if (elongations.size() <= most_tried_together) {
    std::vector<Corner> all;
    for (std::size_t choice = 0; choice < std::size_t{1} << elongations.size(); ++choice) {
      for (std::size_t i = 0; i < elongations.size(); ++i) {
        start[elongations[i]] = ((choice >> i) & 1U) != 0 ? 1.0 : -1.0;
      }
      all.push_back(at_ends(start));
    }
    return all;
  }
  // With more, by what each does to the gap and to the mismatch, both nearly linear: the mesh cycle
  // adds some multiple of the mismatch, so the ends for a row of multiples are tried.
  const auto mismatch = [&mesh](const Corner& at) {
    return mesh.p_b2 * at.gap.e_2 - mesh.p_b1 * at.gap.e_1;
  };
  struct Effect {
    double on_gap;
    double on_mismatch;
  };
  std::vector<Effect> effects;
  for (const std::size_t draw : elongations) {
    start[draw] = -1.0;
    const Corner below = at_ends(start);
    start[draw] = 1.0;
    const Corner above = at_ends(start);
    start[draw] = 0.0;
    effects.push_back({above.gap.j_bt - below.gap.j_bt, mismatch(above) - mismatch(below)});
  }
  constexpr int most_multiples = 16;
  constexpr double grain = 0.25;
  std::vector<Corner> all;
  for (int k = -most_multiples; k <= most_multiples; ++k) {
    const double multiple = grain * k;
    for (std::size_t i = 0; i < elongations.size(); ++i) {
      const bool rises = effects[i].on_gap + multiple * effects[i].on_mismatch > 0.0;
      start[elongations[i]] = rises == high ? 1.0 : -1.0;
    }
    all.push_back(at_ends(start));
  }
  return all;
}

Corner corner(const MeshModel& mesh, const StateModel& state, const StrainModel& carrier,
              const Draws& draws, Stance stance, End end) {
  std::vector<Corner> all = corners(mesh, state, carrier, draws, stance, end);
  const auto less = [](const Corner& a, const Corner& b) { return a.gap.j_bt < b.gap.j_bt; };
  return end == End::high ? *std::max_element(all.begin(), all.end(), less)
                          : *std::min_element(all.begin(), all.end(), less);
}

}  // namespace lashband::band::kernel
