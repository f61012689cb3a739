#pragma once

#include <string>

namespace lashband::report {

/// The number with the fewest digits that read back exactly, as JSON has it.
[[nodiscard]] std::string number_text(double number);

/// The number rounded to `digits` significant digits (1 to 15), without trailing zeros: "1.0789",
/// "2.5e-07". For tables where numbers of any size stand below each other.
[[nodiscard]] std::string rounded_number(double number, int digits);

}  // namespace lashband::report
