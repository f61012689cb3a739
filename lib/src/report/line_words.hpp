#pragma once

#include <string>

#include "lashband/spectrum/lines.hpp"

// Lines of a spectrum in words.
namespace lashband::report {

/// The word of JSON and CSV: "shaft", "mesh", "sideband", "hunting_tooth", ...
[[nodiscard]] const char* kind_word(spectrum::LineKind kind);

/// What a line comes from: "shaft crank A", "mesh A-B", "bearing input front", "excitation blades".
[[nodiscard]] std::string source_words(const spectrum::Line& line);

/// Which line of its source it is: "n", "2 n", "f_z", "2 f_z - n crank A", "hunting tooth",
/// "2 x inner race", "order 3.5".
[[nodiscard]] std::string multiple_words(const spectrum::Line& line);

/// The line in one phrase: "mesh A-B, 2 f_z".
[[nodiscard]] std::string line_words(const spectrum::Line& line);

}  // namespace lashband::report
