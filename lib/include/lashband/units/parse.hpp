#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

#include "lashband/error.hpp"
#include "lashband/units/quantity_kind.hpp"

/// Reading quantities from text such as "2.5 mm", "1.15e-05 1/K", "-40 degC" or "3000 N m/rad", by
/// the grammar of docs/quantities.md. The reader knows nothing of locales, and the dimension of the
/// text must be that of the type.
///
/// Accuracy. In a unit that is a power of ten of the SI unit (mm, MPa, kg/m3, L/s, %, ...) the
/// result is the double nearest to the decimal number that was written: "12.5 um" is the double
/// nearest to 1.25e-5. In other units (deg, rpm, min, in, psi, ...) it is within 0.51 units in the
/// last place, or within one in compound units so long that their exact factor outgrows a long
/// double. A value beyond the range of a double, and one that would become zero without being zero,
/// are errors.
namespace lashband::units {

/// Why a text is no quantity of the wanted kind.
struct ParseFailure {
  /// Where the trouble begins: the first character is 1, and characters are counted, not bytes.
  std::size_t column = 1;
  /// What is wrong and what is wanted, without a full stop at the end.
  std::string reason;
  /// A right form, where possible made of what was read.
  std::string example;

  /// Reason and example in one sentence: `<reason>, such as "<example>"`.
  [[nodiscard]] std::string message() const;
};

/// Thrown by `parse`: the text is no quantity of the wanted kind.
class ParseError : public DomainError {
 public:
  explicit ParseError(ParseFailure failure);

  [[nodiscard]] const ParseFailure& failure() const { return failure_; }
  [[nodiscard]] std::size_t column() const { return failure_.column; }
  [[nodiscard]] const std::string& reason() const { return failure_.reason; }
  [[nodiscard]] const std::string& example() const { return failure_.example; }

 private:
  ParseFailure failure_;
};

/// A value of type `T` or the reason why there is none.
template <class T>
class ParseResult {
 public:
  // Implicit, so that a function returns either.
  // NOLINTNEXTLINE(google-explicit-constructor)
  ParseResult(T value) : content_(std::in_place_index<0>, std::move(value)) {}
  // NOLINTNEXTLINE(google-explicit-constructor)
  ParseResult(ParseFailure failure) : content_(std::in_place_index<1>, std::move(failure)) {}

  [[nodiscard]] explicit operator bool() const { return content_.index() == 0; }

  /// The value; without one, throws a ParseError with the failure.
  [[nodiscard]] const T& value() const {
    if (content_.index() != 0) {
      throw ParseError(std::get<1>(content_));
    }
    return std::get<0>(content_);
  }

  /// The failure. There must be one; otherwise std::bad_variant_access is thrown.
  [[nodiscard]] const ParseFailure& failure() const { return std::get<1>(content_); }

 private:
  std::variant<T, ParseFailure> content_;
};

namespace detail {

/// The value of a quantity of this kind in SI units; for a temperature level in degrees Celsius.
[[nodiscard]] ParseResult<double> parse_value(std::string_view text, const QuantityKind& kind);

/// The SI value of the half width of a symmetric band.
[[nodiscard]] ParseResult<double> parse_half_width(std::string_view text, const QuantityKind& kind);

}  // namespace detail

/// Reads a quantity without throwing: `try_parse<Length>("2.5 mm")`. A `Temperature` is a level and
/// is read in degC, degF or K; a `TemperatureDifference` is read in K.
template <class Q>
[[nodiscard]] ParseResult<Q> try_parse(std::string_view text) {
  const ParseResult<double> result = detail::parse_value(text, quantity_kind<Q>);
  if (!result) {
    return result.failure();
  }
  return Q::from_value(result.value());
}

/// Reads a quantity: `parse<Length>("2.5 mm")`. Throws ParseError.
template <class Q>
[[nodiscard]] Q parse(std::string_view text) {
  return try_parse<Q>(text).value();
}

/// Reads a symmetric band, "±15 um" or "+-15 um", without throwing. The band of a half width of
/// zero is [0, 0].
template <class Q>
[[nodiscard]] ParseResult<Band<Q>> try_parse_symmetric_band(std::string_view text) {
  static_assert(!detail::is_level<Q>, "a band about zero is no band of temperature levels");
  const ParseResult<double> half_width = detail::parse_half_width(text, quantity_kind<Q>);
  if (!half_width) {
    return half_width.failure();
  }
  // 0 - x rather than -x, which would be -0 for x = 0.
  return Band<Q>{Q::from_value(0.0 - half_width.value()), Q::from_value(half_width.value())};
}

/// Reads a symmetric band, "±15 um" or "+-15 um". Throws ParseError.
template <class Q>
[[nodiscard]] Band<Q> parse_symmetric_band(std::string_view text) {
  return try_parse_symmetric_band<Q>(text).value();
}

}  // namespace lashband::units
