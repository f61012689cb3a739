#pragma once

#include <cstddef>
#include <vector>

namespace lashband::design {

/// Indexes of the samples without which straight lines between the others would miss some curve by
/// more than `tolerance`, both ends included, in rising order (the split at the farthest sample of
/// Ramer, Douglas and Peucker, with the distance taken along the ordinate). `times` rise;
/// `curves[i]` holds the value of every curve at times[i].
[[nodiscard]] std::vector<std::size_t> thinned(const std::vector<double>& times,
                                               const std::vector<std::vector<double>>& curves,
                                               double tolerance);

}  // namespace lashband::design
