#pragma once

#include <cstddef>
#include <set>
#include <vector>

namespace lashband::report {

/// What thinning may miss of what a curve sweeps: half a pixel in a panel 240 px high, where lines
/// are 2 px wide.
inline constexpr double thinning_share = 1.0 / 500.0;
/// As many samples a curve are drawn at most, where gaps do not ask for more: two a pixel would not
/// tell more.
inline constexpr std::size_t most_drawn = 400;

/// Places of the samples that draw `curves` (by curve, then by time; NaN where there is no value),
/// in rising order: both ends, the least and the greatest of each curve, `kept`, and those without
/// which straight lines would miss a curve by more than `thinning_share` of its sweep, the farthest
/// first until there are `most_drawn` (the split at the farthest sample of Ramer, Douglas and
/// Peucker, with the distance taken along the ordinate). A stretch where some curve has no value
/// has one place, so that lines break there. `times` rise.
[[nodiscard]] std::vector<std::size_t> drawn_samples(const std::vector<double>& times,
                                                     const std::vector<std::vector<double>>& curves,
                                                     const std::set<std::size_t>& kept);

}  // namespace lashband::report
