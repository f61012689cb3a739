#include "lashband/limits/iso_492.hpp"

#include <array>
#include <cstddef>

#include "size_range.hpp"

namespace lashband::limits {
namespace {

using units::Band;
using units::Length;

constexpr double bores_start_in_mm = 2.5;
constexpr std::array<double, 11> bore_ends_in_mm = {10,  18,  30,  50,  80, 120,
                                                    180, 250, 315, 400, 500};
// Micrometres below the nominal size; the upper deviations are 0.
constexpr std::array<double, 11> bore_depths = {8, 8, 10, 12, 15, 20, 25, 30, 35, 40, 45};

constexpr double outside_starts_in_mm = 6;
constexpr std::array<double, 11> outside_ends_in_mm = {18,  30,  50,  80,  120, 150,
                                                       180, 250, 315, 400, 500};
constexpr std::array<double, 11> outside_depths = {8, 9, 11, 13, 15, 18, 25, 30, 35, 40, 45};

std::size_t row_of_bore(Length bore) {
  return kernel::row_of(bore, bores_start_in_mm, bore_ends_in_mm, "the bearing bore of ISO 492");
}

Band<Length> below_nominal(double depth) {
  return {kernel::micrometres(-depth), kernel::micrometres(0.0)};
}

}  // namespace

Band<Length> mean_bore_deviation(Length bore) {
  return below_nominal(bore_depths[row_of_bore(bore)]);
}

Certainty mean_bore_deviation_certainty(Length bore) {
  static_cast<void>(row_of_bore(bore));  // throws for a bore outside the table
  const bool seen = !kernel::up_to(bore, 30.0) && kernel::up_to(bore, 180.0);
  return seen ? Certainty::seen : Certainty::memory;
}

Band<Length> mean_outside_diameter_deviation(Length outside_diameter) {
  return below_nominal(
      outside_depths[kernel::row_of(outside_diameter, outside_starts_in_mm, outside_ends_in_mm,
                                    "the outside diameter of a bearing of ISO 492")]);
}

}  // namespace lashband::limits
