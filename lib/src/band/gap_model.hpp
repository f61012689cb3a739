#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "lashband/tolerance/shape.hpp"

// The gap of one mesh as a function of the draws of one built unit, with everything that does not
// change from unit to unit worked out beforehand. SI doubles. Draw k is the standard variable y_k
// of contributor k (tolerance/shape.hpp); y_k = 0 is the mid of its band.
//
//   strain       carrier strain s = linear + sum over the knees of gain * dead(argument)
//                dead(x) = x - low below low, x - high above high, else 0
//   e_i        = 1 + growth_i                        B = r_b1 e_1 + r_b2 e_2
//   a          = (L + delta_a) (1 + s) + other_a
//   float      = sum over the seats of weight * (max(0, G - f_o max(0,I_o) - f_i max(0,I_i))
//                                               + max(0, -I_o) + max(0, -I_i))
//   run_out    = (F_r1 e_1 + F_r2 e_2) / 2, or the length of the vector sum where the phase stays
//   R          = f_pb1 e_1 + f_pb2 e_2 + |M|          (normal section)
//
//   gap(a)     = p_b2 e_2 - s_b1 e_1 - s_b2 e_2 - kappa (E_1 e_1 + E_2 e_2) + 2 B h(a/B)
//                + (wear + other_j - R) / cos_beta_b            h(t) = sqrt(t^2-1) - acos(1/t)
//   j_least    = gap(a - float/2 - run_out) + cycle_least    |p_b2 e_2 - p_b1 e_1|
//   j_greatest = gap(a + float/2 + run_out) + cycle_greatest |p_b2 e_2 - p_b1 e_1|
//   j_bind     = gap(a + float/2 - run_out) + cycle_least    |p_b2 e_2 - p_b1 e_1|
//
// all as j_bt. A ring gear's pair has r_b2, L and whatever moves the axes apart negative, as ISO
// 21771 has it: a and B are negative then, a/B is not, and everything above holds as it stands.
// j_least takes `carrier_least`, the other two `carrier_greatest`: they differ only by
// what a friction joint's history can do. Working circumferential backlash: j_wt = j_bt a/B with
// the `a` of the same gap (float and run-out included).
namespace lashband::band::kernel {

struct LinearTerm {
  std::size_t draw;
  double coefficient;
};

/// constant + sum of coefficient * y[draw]
struct LinearForm {
  double constant = 0.0;
  std::vector<LinearTerm> terms;

  [[nodiscard]] double at(const double* y) const {
    double sum = constant;
    for (const LinearTerm& term : terms) {
      sum += term.coefficient * y[term.draw];
    }
    return sum;
  }
};

struct Knee {
  double gain = 0.0;
  LinearForm argument;
  double low = 0.0;
  double high = 0.0;
};

struct StrainModel {
  LinearForm linear;
  std::vector<Knee> knees;  ///< none, or one for each insert with a joint that is not elastic
};

/// One bearing seat at one state. All diametral.
struct SeatModel {
  LinearForm clearance;     ///< G before the fits take from it, thermal terms included
  LinearForm outer;         ///< I_o at the state
  LinearForm inner;         ///< I_i at the state
  double outer_factor = 0;  ///< f_o, contraction of the raceway per interference
  double inner_factor = 0;  ///< f_i
  /// Share of the seat's float that arrives at the gear; below 0 where load holds the shaft on the
  /// side that closes the gap.
  double weight = 1.0;
};

struct StateModel {
  LinearForm growth_1;
  LinearForm growth_2;
  StrainModel carrier_least;
  StrainModel carrier_greatest;
  std::vector<SeatModel> seats;  ///< of both shafts
  LinearForm misalignment;       ///< M, signed, normal section, over the common face width
  double cycle_least = 0.0;
  double cycle_greatest = 0.0;
};

struct MeshModel {
  double L = 0.0;                 ///< negative with a ring gear
  double r_b1 = 0.0, r_b2 = 0.0;  ///< r_b2 negative of a ring gear
  double p_b1 = 0.0, p_b2 = 0.0;
  double s_b1 = 0.0, s_b2 = 0.0;  ///< at E_sn = 0; of a ring gear 2 r_b (psi - inv alpha_t)
  double kappa = 0.0;             ///< cos alpha_t / cos beta
  double cos_beta_b = 1.0;
  LinearForm E_1, E_2;              ///< E_sn
  LinearForm deviation;             ///< delta_a
  LinearForm run_out_1, run_out_2;  ///< F_r
  /// Pairs with a ratio of 1:1 keep the phase of their run-outs: the run-out is then
  /// |F_r1 e_1 + F_r2 e_2 exp(i phase)| / 2. The phase as given, or drawn uniformly over 0..2 pi:
  /// phase = pi (1 + y) with a uniform draw.
  std::optional<LinearForm> run_out_phase;
  LinearForm pitch_1, pitch_2;  ///< f_pb, 0 or more
  LinearForm wear;              ///< normal section
  LinearForm other_a;           ///< the user's own terms on the centre distance
  LinearForm other_j;           ///< and on the normal backlash
  std::vector<StateModel> states;
};

/// What the draws are like. Index = draw.
struct Draws {
  std::vector<tolerance::Shape> shapes;
  /// Which of them stand for an elongation. Those may turn up in many places and act either way;
  /// every other draw turns up once and moves the gap one way.
  std::vector<bool> elongation;
  struct Correlation {
    std::size_t first;
    std::size_t second;
    double coefficient;  ///< of the normal scores: the draws are tied by a normal copula
  };
  std::vector<Correlation> correlations;
  /// Pairs of draws that are the two coordinates of a place in a round zone: in the worst case
  /// their length is 1, not each of them.
  std::vector<std::array<std::size_t, 2>> discs;
};

/// The three gaps as j_bt, and a/B of each (j_wt = j_bt * a/B).
struct Gaps {
  double least = 0.0, greatest = 0.0, bind = 0.0;
  double least_ratio = 1.0, greatest_ratio = 1.0;
};

/// The exact gaps of one unit with the draws `y` (as many as Draws::shapes).
[[nodiscard]] Gaps gaps(const MeshModel& mesh, const StateModel& state, const double* y);

/// Where the shafts stand in their float and how the run-outs stand, as factors of float/2 and of
/// the run-out on the centre distance.
struct Stance {
  double shafts;
  double run_out;
};
inline constexpr Stance together{-1.0, -1.0};  ///< j_least
inline constexpr Stance apart{1.0, 1.0};       ///< j_greatest
inline constexpr Stance taken_up{1.0, -1.0};   ///< j_bind

/// A gap before the mesh cycle's part is added, and what it came from.
struct GapAt {
  double j_bt;
  double a;  ///< float and run-out included
  double B;
  double e_1, e_2;
};

/// The gap of one unit with the run-outs added up as in a hunting pair and a misalignment |M| given
/// apart: the pieces of a worst case.
[[nodiscard]] GapAt gap_at(const MeshModel& mesh, const StateModel& state,
                           const StrainModel& carrier, const double* y, Stance stance,
                           double misalignment);

/// The same unit with its axes further apart by `distance`.
[[nodiscard]] GapAt opened(GapAt gap, double distance);

/// The measures of a gap: each is j_bt divided by something of the same unit.
enum class GapMeasure { j_bt, j_wt, phi_1, phi_2 };

/// What j_bt is divided by to get the measure: 1, B/a, r_b1 e_1, |r_b2| e_2.
[[nodiscard]] double divisor(GapMeasure measure, const MeshModel& mesh, const GapAt& gap);

/// Radial float at the gear of one seat, weight included.
[[nodiscard]] double seat_float(const SeatModel& seat, const double* y);

/// Strain of the centre distance.
[[nodiscard]] double strain(const StrainModel& carrier, const double* y);

}  // namespace lashband::band::kernel
