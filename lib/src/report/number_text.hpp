#pragma once

#include <string>

namespace lashband::report {

/// The number with the fewest digits that read back exactly, as JSON has it.
[[nodiscard]] std::string number_text(double number);

}  // namespace lashband::report
