#pragma once

#include <optional>

#include "io/decode.hpp"
#include "lashband/losses/oil_viscosity.hpp"

namespace lashband::io {

/// The key `viscosity` of an oil: two points, each a temperature level and a kinematic viscosity.
[[nodiscard]] std::optional<losses::OilViscosity> read_viscosity(const Field& field);

}  // namespace lashband::io
