#pragma once

#include <string>
#include <vector>

namespace lashband::app {

/// How a sentence about an unknown name ends: `; did you mean "backlash"?`, or a full stop where no
/// known name is near.
[[nodiscard]] std::string suggestion(const std::string& written,
                                     const std::vector<std::string>& known);

}  // namespace lashband::app
