#pragma once

#include <vector>

#include "tolerance/part_distribution.hpp"

namespace lashband::tolerance::kernel {

/// The transform of side (X - centre) along s = c + i k h, k = 0, 1, ...: all that the probability
/// at any x needs.
struct PartDistribution::Contour {
  bool failed = false;  ///< the transform falls too slowly
  double c = 0.0;
  double h = 0.0;
  double centre = 0.0;            ///< as a value of X
  double first_alias = 0.0;       ///< what the trapezoid rule adds: weight / (e^{2 pi c/h} - 1)
  double curve_error = 0.0;       ///< bound of what the powers left out amount to, over e^{c z}
  std::vector<double> over_s_re;  ///< transform / s
  std::vector<double> over_s_im;
  std::vector<double> re;  ///< transform
  std::vector<double> im;
};

}  // namespace lashband::tolerance::kernel
