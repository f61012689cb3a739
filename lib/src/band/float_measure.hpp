#pragma once

#include <map>
#include <vector>

#include "band/gap_model.hpp"
#include "tolerance/sum_distribution.hpp"

namespace lashband::band::kernel {

/// The distribution of the float that one seat leaves, weight included:
///   weight * (max(0, G - f_o max(0,I_o) - f_i max(0,I_i)) + max(0,-I_o) + max(0,-I_i))
/// with G, I_o and I_i independent. Exact but for the quadrature, 1e-10 of the float's range;
/// derived in docs/theory/band.md.
[[nodiscard]] tolerance::kernel::Measure float_measure(const SeatModel& seat, const Draws& draws);

/// Measures of floats, each worked out once: gaps, meshes and states ask for the same again, and
/// the two bearings of a shaft are often alike. Holds a bounded number of them.
class FloatMeasures {
 public:
  /// As `float_measure`.
  [[nodiscard]] tolerance::kernel::Measure of(const SeatModel& seat, const Draws& draws);

 private:
  // What the measure depends on: the numbers of the seat and the shapes of its draws, not which
  // draws they are; without the weight.
  using Key = std::vector<double>;
  [[nodiscard]] static Key key_of(const SeatModel& seat, const Draws& draws);

  std::map<Key, tolerance::kernel::Measure> known_;
};

}  // namespace lashband::band::kernel
