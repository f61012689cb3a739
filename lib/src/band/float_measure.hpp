#pragma once

#include <map>
#include <vector>

#include "band/gap_model.hpp"
#include "tolerance/sum_distribution.hpp"

namespace lashband::band::kernel {

/// The distribution of the float that one seat leaves, weight included:
///   weight * (max(0, G - f_o max(0,I_o) - f_i max(0,I_i)) + max(0,-I_o) + max(0,-I_i))
/// with G, I_o and I_i independent. Exact but for the quadrature: 1e-10 of the float's range where
/// G is normal, 1e-7 where the shapes have ends or corners. Derived in docs/theory/band.md.
/// For sums with at least `grain` of a standard deviation, as MeasureBuilder has it.
[[nodiscard]] tolerance::kernel::Measure float_measure(const SeatModel& seat, const Draws& draws,
                                                       double grain = 0.0);

struct FloatMoments {
  double mean = 0.0;
  double variance = 0.0;
};

/// Mean and variance of it alone, which take a small part of the time, as accurate.
[[nodiscard]] FloatMoments float_moments(const SeatModel& seat, const Draws& draws);

/// Measures of floats and of run-outs that keep their phase, each worked out once: gaps, meshes and
/// states ask for the same again, and the two bearings of a shaft are often alike. Holds a bounded
/// number of them.
class FloatMeasures {
 public:
  /// As `float_measure`, of a grain that may be finer.
  [[nodiscard]] tolerance::kernel::Measure of(const SeatModel& seat, const Draws& draws,
                                              double grain = 0.0);
  /// As `phased_run_out` (band/gap_terms.hpp).
  [[nodiscard]] tolerance::kernel::Measure run_out_of(const MeshModel& mesh, const Draws& draws,
                                                      double e_1, double e_2);
  /// As `float_moments`.
  [[nodiscard]] FloatMoments moments_of(const SeatModel& seat, const Draws& draws);

 private:
  // What the measure depends on: the numbers of the seat and the shapes of its draws, not which
  // draws they are; without the weight.
  using Key = std::vector<double>;
  [[nodiscard]] static Key key_of(const SeatModel& seat, const Draws& draws);
  static void append(Key& key, const LinearForm& form, const Draws& draws);

  std::map<Key, tolerance::kernel::Measure> known_;
  std::map<Key, FloatMoments> known_moments_;
  std::map<Key, tolerance::kernel::Measure> known_run_outs_;  ///< at e_1 = 1
};

}  // namespace lashband::band::kernel
