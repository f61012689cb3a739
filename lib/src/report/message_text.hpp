#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lashband/design/results.hpp"

// What stands around the tables.
namespace lashband::report {

/// The title of the input, or nothing.
[[nodiscard]] std::string title_lines(const design::Provenance& input);

/// "sampled: 1000000 units, seed 1, AVX2"; nothing where nothing was sampled.
[[nodiscard]] std::string sampling_line(const std::optional<design::Sampling>& sampling);

/// One warning on one line: kind, what it is about, what there is to say.
[[nodiscard]] std::string warning_text(const design::Warning& warning);

/// One state that could not be computed, on one line.
[[nodiscard]] std::string failure_text(const design::Failure& failure);

[[nodiscard]] std::string warning_lines(const std::vector<design::Warning>& warnings);

/// The states that could not be computed.
[[nodiscard]] std::string failure_lines(const std::vector<design::Failure>& failures);

}  // namespace lashband::report
