#include "band/gap_model.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/involute_kernel.hpp"

namespace lashband::band::kernel {
namespace {

// Everything of a gap that does not depend on where the shafts stand.
struct Unit {
  double e_1, e_2;
  double B;
  double constant;  // the gap but for 2 B h(a/B) and the misalignment
};

Unit unit_of(const MeshModel& mesh, const StateModel& state, const double* y) {
  Unit unit{};
  unit.e_1 = 1.0 + state.growth_1.at(y);
  unit.e_2 = 1.0 + state.growth_2.at(y);
  unit.B = mesh.r_b1 * unit.e_1 + mesh.r_b2 * unit.e_2;
  const double pitch = mesh.pitch_1.at(y) * unit.e_1 + mesh.pitch_2.at(y) * unit.e_2;
  unit.constant = mesh.p_b2 * unit.e_2 - mesh.s_b1 * unit.e_1 - mesh.s_b2 * unit.e_2 -
                  mesh.kappa * (mesh.E_1.at(y) * unit.e_1 + mesh.E_2.at(y) * unit.e_2) +
                  (mesh.wear.at(y) + mesh.other_j.at(y) - pitch) / mesh.cos_beta_b;
  return unit;
}

// 2 B h(a/B) with h(t) = sqrt(t^2 - 1) - acos(1/t), the involute function of the working pressure
// angle.
double opening(double B, double a) {
  const double t = a / B;
  return 2.0 * B * geometry::kernel::involute_of_tangent(std::sqrt((t - 1.0) * (t + 1.0)));
}

double float_of(const StateModel& state, const double* y) {
  double sum = 0.0;
  for (const SeatModel& seat : state.seats) {
    sum += seat_float(seat, y);
  }
  return sum;
}

double run_out_of(const MeshModel& mesh, const Unit& unit, const double* y) {
  const double one = mesh.run_out_1.at(y) * unit.e_1;
  const double two = mesh.run_out_2.at(y) * unit.e_2;
  if (!mesh.run_out_phase) {
    return 0.5 * (one + two);
  }
  const double phase = mesh.run_out_phase->at(y);
  // |one + two exp(i phase)|, without cancellation where they stand against each other.
  const double half = std::cos(0.5 * phase);
  const double difference = one - two;
  return 0.5 * std::sqrt(difference * difference + 4.0 * one * two * half * half);
}

}  // namespace

double strain(const StrainModel& carrier, const double* y) {
  double sum = carrier.linear.at(y);
  for (const Knee& knee : carrier.knees) {
    const double x = knee.argument.at(y);
    sum += knee.gain * (x < knee.low ? x - knee.low : x > knee.high ? x - knee.high : 0.0);
  }
  return sum;
}

double seat_float(const SeatModel& seat, const double* y) {
  const double outer = seat.outer.at(y);
  const double inner = seat.inner.at(y);
  const double clearance = seat.clearance.at(y) - seat.outer_factor * std::max(0.0, outer) -
                           seat.inner_factor * std::max(0.0, inner);
  return seat.weight * (std::max(0.0, clearance) + std::max(0.0, -outer) + std::max(0.0, -inner));
}

double divisor(GapMeasure measure, const MeshModel& mesh, const GapAt& gap) {
  switch (measure) {
    case GapMeasure::j_wt:
      return gap.B / gap.a;
    case GapMeasure::phi_1:
      return mesh.r_b1 * gap.e_1;
    case GapMeasure::phi_2:
      return std::abs(mesh.r_b2) * gap.e_2;
    case GapMeasure::j_bt:
      break;
  }
  return 1.0;
}

GapAt gap_at(const MeshModel& mesh, const StateModel& state, const StrainModel& carrier,
             const double* y, Stance stance, double misalignment) {
  const Unit unit = unit_of(mesh, state, y);
  const double run_out = 0.5 * (mesh.run_out_1.at(y) * unit.e_1 + mesh.run_out_2.at(y) * unit.e_2);
  const double a = (mesh.L + mesh.deviation.at(y)) * (1.0 + strain(carrier, y)) +
                   mesh.other_a.at(y) + 0.5 * stance.shafts * float_of(state, y) +
                   stance.run_out * run_out;
  return {unit.constant - misalignment / mesh.cos_beta_b + opening(unit.B, a), a, unit.B, unit.e_1,
          unit.e_2};
}

GapAt opened(GapAt gap, double distance) {
  gap.j_bt += opening(gap.B, gap.a + distance) - opening(gap.B, gap.a);
  gap.a += distance;
  return gap;
}

Gaps gaps(const MeshModel& mesh, const StateModel& state, const double* y) {
  const Unit unit = unit_of(mesh, state, y);
  const double constant = unit.constant - std::abs(state.misalignment.at(y)) / mesh.cos_beta_b;
  const double drawn = mesh.L + mesh.deviation.at(y);
  const double other = mesh.other_a.at(y);
  const double slack = 0.5 * float_of(state, y);
  const double run_out = run_out_of(mesh, unit, y);
  const double mismatch = std::abs(mesh.p_b2 * unit.e_2 - mesh.p_b1 * unit.e_1);
  const double a_least = drawn * (1.0 + strain(state.carrier_least, y)) + other;
  const double a_greatest = drawn * (1.0 + strain(state.carrier_greatest, y)) + other;

  const double together_at = a_least - slack - run_out;
  const double apart_at = a_greatest + slack + run_out;
  Gaps result;
  result.least = constant + opening(unit.B, together_at) + state.cycle_least * mismatch;
  result.greatest = constant + opening(unit.B, apart_at) + state.cycle_greatest * mismatch;
  result.bind =
      constant + opening(unit.B, a_greatest + slack - run_out) + state.cycle_least * mismatch;
  result.least_ratio = together_at / unit.B;
  result.greatest_ratio = apart_at / unit.B;
  return result;
}

}  // namespace lashband::band::kernel
