#pragma once

#include "lashband/design/design.hpp"
#include "lashband/geometry/gear_pair.hpp"
#include "lashband/geometry/toothed_body.hpp"

/// A mesh as drawn: every dimension at the mid of its band, at the reference temperature.
namespace lashband::design {

/// With the mid of its thickness allowance.
[[nodiscard]] geometry::ToothedBody drawn_body(const Gear& gear);

/// The mid of the deviation of the centre distance; 0 where none is given.
[[nodiscard]] units::Length drawn_deviation(const Mesh& mesh);

/// Throws as geometry::GearPair does.
[[nodiscard]] geometry::GearPair drawn_pair(const Design& design, const Mesh& mesh);

}  // namespace lashband::design
