#pragma once

#include <cstddef>
#include <string_view>

#include "lashband/units/parse.hpp"
#include "units/quantity_text.hpp"

/// The words for what is wrong with a text that should be a quantity.
namespace lashband::units::detail {

/// What is wanted where a text stands.
struct Wanted {
  const QuantityKind* kind = nullptr;
  /// Byte at which the quantity begins, behind the sign of a band.
  std::size_t begin = 0;
  /// The sign of a band, for examples, or empty.
  std::string_view band_sign{};
};

/// The failure of a text that was read with a verdict other than good.
[[nodiscard]] ParseFailure failure_of(const QuantityText& read, std::string_view text,
                                      const Wanted& wanted);

/// The failure of a text whose sign of a band is missing, or is followed by another sign, at
/// `byte`.
[[nodiscard]] ParseFailure band_sign_failure(std::string_view text, std::size_t byte,
                                             const QuantityKind& kind);

}  // namespace lashband::units::detail
