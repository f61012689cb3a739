#pragma once

#include <array>
#include <cstddef>
#include <memory>
#include <utility>
#include <vector>

#include "band/float_measure.hpp"
#include "band/gap_model.hpp"
#include "tolerance/sum_distribution.hpp"

// The distribution of a gap over built units, without sampling.
//
// At fixed elongations a gap is a sum of independent terms: the thickness side, the deviations of
// the teeth, and the centre distance through the involute. The elongations are taken at the nodes
// of a Gauss quadrature, one dimension for each draw. Derived in docs/theory/band.md.
//
// Simplifications: contributors are independent (correlated ones are for Monte Carlo). The mesh
// cycle's part is that of the mid of all tolerances, times the mismatch of the unit. Between
// branches of uncertain elongation all terms of one side scale alike: 1e-7 mm. An elongation that
// makes more than half of the variance by itself is taken to first order (1e-6 mm), unless it acts
// on a float, on |M| or through a knee of the carrier. What elongations do to floats and |M| they
// do by mean and variance, about the centres of pieces: 2e-3 of the standard deviation with
// uncertainties of 5 %, 1e-2 with 10 %. Where a float or |M| meets few other terms, none of them
// normal, percentiles are good to 2e-4 of the spread.
namespace lashband::band::kernel {

enum class Gap { least, greatest, bind };

/// One gap of one mesh at one state. Keeps what one question leaves to the next, so it must not be
/// shared between threads; an answer does not depend on the questions before it.
class GapDistribution {
 public:
  /// `floats` is shared by the gaps of one state. Throws ComputationError where the elongations
  /// have too many draws for quadrature; the draws must not be correlated.
  GapDistribution(const MeshModel& mesh, const StateModel& state, const Draws& draws, Gap gap,
                  FloatMeasures& floats);

  /// P(gap in this measure <= x).
  [[nodiscard]] double below(GapMeasure measure, double x) const;
  /// P(gap in this measure > x).
  [[nodiscard]] double above(GapMeasure measure, double x) const;
  /// Its p quantile, to 1e-12 m.
  [[nodiscard]] double quantile(GapMeasure measure, double p) const;
  /// Mean and standard deviation of the gap in this measure: 1e-7 relative, and to first order in a
  /// dominant elongation.
  [[nodiscard]] tolerance::kernel::Moments moments(GapMeasure measure = GapMeasure::j_bt) const;
  /// False where nothing varies.
  [[nodiscard]] bool varies() const { return varies_; }

 private:
  // What a branch needs so that a measure's divisor can be taken into account.
  struct Side {
    GapAt at;
    double scale;  ///< of the centre distance's deviations
  };

  // An elongation that is a term of the sum instead of branches: what it does to the gap and to the
  // divisors over half its band.
  struct Dominant {
    const tolerance::Shape* shape;
    double reach;
    std::array<double, 4> divisor_reach;  ///< by GapMeasure
  };

  // Where a measure is expected to have the quantile at which j_bt has the value `gap`, and its
  // divisor there.
  struct Expected {
    double x;
    double divisor;
  };

  // What all branches of a part have in common.
  struct Piece {
    std::vector<Side> sides;  ///< by branch
    double plain_mean;        ///< of the other terms
    double curved_mean;       ///< of the terms on the centre distance
    double curved_variance;
  };

  // The branches of "gap - x * divisor", part by part: its distribution at 0 is that of the measure
  // at x.
  [[nodiscard]] std::vector<std::vector<tolerance::kernel::Branch>> branches_for(GapMeasure measure,
                                                                                 double x) const;
  [[nodiscard]] std::vector<tolerance::kernel::Part> parts_for(GapMeasure measure, double x) const;
  [[nodiscard]] double transverse_quantile(double p) const;
  template <class Question>
  [[nodiscard]] double asked(GapMeasure measure, double x, const Question& question) const;
  [[nodiscard]] Expected expected(GapMeasure measure, double gap) const;

  std::shared_ptr<const std::vector<tolerance::Shape>> shapes_;  ///< what the parts point to
  std::vector<tolerance::kernel::Part> parts_;
  std::vector<Piece> pieces_;           ///< by part
  tolerance::kernel::Support support_;  ///< of j_bt
  std::vector<Dominant> dominant_;
  MeshModel mesh_;  ///< its base circles, all that a divisor needs
  bool varies_ = false;
  std::vector<tolerance::kernel::Part> transverse_parts_;        ///< what the next one refers to
  std::unique_ptr<tolerance::kernel::Distribution> transverse_;  ///< of j_bt
  /// Of j_bt: p and its quantile. Every measure starts from the same.
  mutable std::vector<std::pair<double, double>> known_quantiles_;
};

}  // namespace lashband::band::kernel
