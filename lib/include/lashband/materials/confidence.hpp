#pragma once

#include <optional>
#include <string_view>

namespace lashband::materials {

/// How well a value is known, in the words of the material files.
enum class Confidence {
  seen,        ///< read in the source named
  seen_proxy,  ///< read in the source named, for a closely related grade
  seen2,       ///< read in a transcription of the source named
  memory,      ///< recalled, not looked up: verify before it decides anything
  derived,     ///< worked out from other values; the source text says how
};

/// The word of the material files: "seen_proxy". Throws DomainError for a value outside the enum.
[[nodiscard]] std::string_view confidence_word(Confidence confidence);

/// The confidence with that word; empty for any other text.
[[nodiscard]] std::optional<Confidence> confidence_named(std::string_view word);

}  // namespace lashband::materials
