#pragma once

#include <optional>
#include <string_view>

#include "io/decode.hpp"
#include "lashband/tolerance/toleranced.hpp"

/// Bands, and how the values of a toleranced dimension are spread over them. `Q` is a length or a
/// ratio.
namespace lashband::io {

/// A band: ["-110 um", "-70 um"], lower end first, or "±15 um".
template <class Q>
[[nodiscard]] std::optional<units::Band<Q>> read_band(const Field& field);

/// A tolerance: a band, or an object with `band` and `distribution`, or with the distribution
/// "tabulated" and `table`. Normal with the limits at +-3 sigma where no distribution is given.
/// `also` is what else the key takes, as the end of the sentence on what is allowed.
template <class Q>
[[nodiscard]] std::optional<tolerance::Toleranced<Q>> read_tolerance(const Field& field,
                                                                     std::string_view also = {});

/// A deviation without sign: a length for 0 up to it, or an object with `limit` (or `band`, or
/// `table`) and `distribution`. Truncated normal where no distribution is given.
[[nodiscard]] std::optional<tolerance::Toleranced<units::Length>> read_magnitude(
    const Field& field);

/// A size that is nowhere below 0, such as a float: a length for exactly that, or a tolerance.
[[nodiscard]] std::optional<tolerance::Toleranced<units::Length>> read_extent(const Field& field);

/// A deviation that may go either way, by its limit: a length, or an object with `limit` (or
/// `table`) and `distribution`. Normal where no distribution is given.
[[nodiscard]] std::optional<tolerance::Toleranced<units::Length>> read_signed_limit(
    const Field& field);

/// The keys `distribution`, `capability` and `mode` beside a band that the object gives in another
/// way; without the band, the mode is not compared with it. Nothing is tabulated.
[[nodiscard]] std::optional<tolerance::Shape> read_shape_keys(
    ObjectReader& object, const std::optional<units::Band<units::Length>>& band);

/// The keys `distribution` and `capability` of a band about zero.
[[nodiscard]] std::optional<tolerance::Shape> read_shape_about_zero(ObjectReader& object);

}  // namespace lashband::io
