#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "band/correlation_factor.hpp"
#include "band/gap_model.hpp"
#include "band/involute_curve.hpp"
#include "band/monte_carlo.hpp"

// The gap model prepared for many samples: what the sampling kernel runs through for each chunk of
// samples. Draws and whatever is shared by several states are columns of a table with one row a
// sample; column k < draws is draw k.
namespace lashband::band::kernel {

/// constant + sum of coefficient * column.
struct ColumnSum {
  double constant = 0.0;
  struct Term {
    std::size_t column;
    double coefficient;
  };
  std::vector<Term> terms;

  [[nodiscard]] bool varies() const { return !terms.empty(); }
};

// --- draws ---------------------------------------------------------------------------------------

/// Two normal draws by the transform of Box and Muller: radius from the number of draw `first`,
/// angle from that of `second`.
struct NormalPair {
  std::size_t first = 0;
  std::size_t second = 0;  ///< may be one past the last draw: only its number is used then
  double first_scale = 1.0;
  double second_scale = 1.0;
};

/// Any other draw, by the inverse of its distribution.
struct InverseDraw {
  std::size_t draw = 0;
  tolerance::Shape::Kind kind = tolerance::Shape::Kind::uniform;
  /// Tied draws get their probability from a normal score in their column.
  bool from_score = false;
  double mode = 0.0;                      ///< triangular
  double limit_in_sigma = 0.0;            ///< truncated normal: 3 C_p
  double tail = 0.0;                      ///< truncated normal: what is sorted out at each end
  double within = 1.0;                    ///< and what is left
  std::vector<double> y, density, below;  ///< tabulated: points, and P(Y <= y) there
};

struct DrawPlan {
  std::uint64_t key = 0;
  std::size_t draws = 0;
  std::vector<NormalPair> normals;
  CorrelationFactor tied;
  std::vector<double> tied_scale;  ///< of each tied draw, from score to y; 1 where it is inverted
  std::vector<InverseDraw> inverted;

  /// Numbers of the random sequence that one sample takes.
  [[nodiscard]] std::uint64_t stride() const { return draws + 1; }
};

// --- meshes --------------------------------------------------------------------------------------

/// Gap of one kind where bodies and carrier do not vary in their elongation:
/// j_bt = T + curve(u), a/B = ratio_0 + ratio_1 u, u = shift -+ run-out.
struct FixedGap {
  Curve curve;
  double ratio_0 = 1.0;
  double ratio_1 = 0.0;
};

/// A state at which growths, strains and seats are numbers, not sums with draws.
struct FixedState {
  ColumnSum linear;                       ///< T, without constant
  ColumnSum shift_least, shift_greatest;  ///< of the centre distance, without constant
  bool one_shift = false;                 ///< both are the same
  ColumnSum run_out;                      ///< without constant
  FixedGap least, greatest, bind;
};

struct KneeSum {
  double gain = 0.0;
  ColumnSum argument;
  double low = 0.0;
  double high = 0.0;
};

struct StrainSum {
  ColumnSum linear;
  std::vector<KneeSum> knees;
};

struct SeatSum {
  ColumnSum clearance, outer, inner;
  double outer_factor = 0.0;
  double inner_factor = 0.0;
  double weight = 1.0;
};

/// Any state. The curve is h(t) over t - t_centre.
struct AnyState {
  ColumnSum growth_1, growth_2;
  StrainSum carrier_least, carrier_greatest;
  bool one_carrier = false;
  std::vector<SeatSum> seats;
  ColumnSum misalignment;
  double cycle_least = 0.0;
  double cycle_greatest = 0.0;
  double t_centre = 0.0;
  Curve curve;
};

struct StatePlan {
  std::optional<FixedState> fixed;
  AnyState any;  ///< filled where `fixed` is empty
};

/// Columns that a mesh works out once a chunk, for all its states.
struct DerivedColumn {
  enum class Kind { sum, magnitude, cosine, sine };
  Kind kind = Kind::sum;
  ColumnSum argument;  ///< cosine and sine: in radians
  std::size_t column = 0;
};

struct MeshPlan {
  double L = 0.0;
  double r_b1 = 0.0, r_b2 = 0.0, p_b1 = 0.0, p_b2 = 0.0, s_b1 = 0.0, s_b2 = 0.0;
  double cos_beta_b = 1.0;
  /// j_bt = p_b2 e_2 - s_b1 e_1 - s_b2 e_2 + side_1 e_1 + side_2 e_2 + other - |M|/cos_beta_b + ...
  ColumnSum side_1, side_2, other;
  ColumnSum deviation, other_a;
  ColumnSum run_out_1, run_out_2;
  bool has_phase = false;
  ColumnSum phase_cosine, phase_sine;
  std::vector<DerivedColumn> derived;
  std::vector<StatePlan> states;
  Limits limits;
};

struct SamplePlan {
  DrawPlan draws;
  std::vector<MeshPlan> meshes;
  std::size_t columns = 0;
  std::size_t states = 0;  ///< of all meshes
};

/// Throws DomainError for an input that is none: a draw that is not there, correlations of no
/// distribution, limits that do not match the meshes.
[[nodiscard]] SamplePlan sample_plan(const std::vector<MeshModel>& meshes, const Draws& draws,
                                     const std::vector<Limits>& limits, std::uint64_t seed);

}  // namespace lashband::band::kernel
