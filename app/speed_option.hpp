#pragma once

#include <string_view>

#include "lashband/units/quantities.hpp"

namespace lashband::app {

/// The speed that --speed names, "1800 rpm". Throws UsageError where it is none above 0.
[[nodiscard]] units::AngularVelocity speed_asked(std::string_view text);

}  // namespace lashband::app
