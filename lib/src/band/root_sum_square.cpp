#include "band/root_sum_square.hpp"

#include <algorithm>
#include <cmath>

namespace lashband::band::kernel {

LinearSpread linear_spread(const MeshModel& mesh, const StateModel& state,
                           const StrainModel& carrier, const Draws& draws, Stance stance,
                           double cycle, GapMeasure measure) {
  std::vector<double> y;
  y.reserve(draws.shapes.size());
  for (const tolerance::Shape& shape : draws.shapes) {
    y.push_back(shape.mean());
  }
  const double misalignment = std::abs(state.misalignment.constant);
  const auto gap = [&] {
    const GapAt at = gap_at(mesh, state, carrier, y.data(), stance, misalignment);
    return (at.j_bt + cycle * std::abs(mesh.p_b2 * at.e_2 - mesh.p_b1 * at.e_1)) /
           divisor(measure, mesh, at);
  };

  LinearSpread spread;
  spread.mean = gap();
  const double misalignment_rate =
      1.0 / (mesh.cos_beta_b *
             divisor(measure, mesh, gap_at(mesh, state, carrier, y.data(), stance, misalignment)));
  spread.parts.assign(y.size(), 0.0);
  // Central differences over a thousandth of the band: the curve of the involute is a part in 1e6
  // of the slope there, and rounding 1e-9.
  constexpr double step = 1e-3;
  for (std::size_t draw = 0; draw < y.size(); ++draw) {
    const double mean = y[draw];
    y[draw] = mean + step;
    const double above = gap();
    y[draw] = mean - step;
    const double below = gap();
    y[draw] = mean;
    spread.parts[draw] = (above - below) / (2.0 * step) * draws.shapes[draw].sigma();
  }
  for (const LinearTerm& term : state.misalignment.terms) {
    spread.parts[term.draw] -=
        std::abs(term.coefficient) * draws.shapes[term.draw].sigma() * misalignment_rate;
  }
  double variance = 0.0;
  for (const double part : spread.parts) {
    variance += part * part;
  }
  for (const Draws::Correlation& tie : draws.correlations) {
    variance += 2.0 * tie.coefficient * spread.parts[tie.first] * spread.parts[tie.second];
  }
  spread.sigma = std::sqrt(std::max(0.0, variance));
  return spread;
}

}  // namespace lashband::band::kernel
