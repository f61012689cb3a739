#pragma once

#include <cstddef>
#include <optional>

#include "io/decode.hpp"
#include "io/measured_files.hpp"
#include "lashband/heat/schedule.hpp"

namespace lashband::io {

/// The fewest and the most points of a schedule that stand in the input itself; a longer one is a
/// file.
inline constexpr std::size_t fewest_schedule_points = 2;
inline constexpr std::size_t most_schedule_points = 10000;

/// A quantity over time: one value, a list of points, or a column of a file beside its column
/// `time`. `rule` holds for every value. Defined for temperature levels, speeds of rotation, powers
/// and ratios, which are numbers.
template <class Q>
[[nodiscard]] std::optional<heat::Schedule<Q>> read_schedule(MeasuredFiles& files,
                                                             const Field& field,
                                                             const ValueRule& rule);

}  // namespace lashband::io
