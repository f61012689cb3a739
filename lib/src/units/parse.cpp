#include "lashband/units/parse.hpp"

#include "units/parse_failure.hpp"
#include "units/quantity_text.hpp"

namespace lashband::units {

namespace detail {

namespace {

ParseResult<double> read_value(std::string_view text, const Wanted& wanted) {
  const QuantityText read = read_quantity(text, wanted.begin, *wanted.kind);
  if (read.verdict != Verdict::good) {
    return failure_of(read, text, wanted);
  }
  return read.value;
}

}  // namespace

ParseResult<double> parse_value(std::string_view text, const QuantityKind& kind) {
  return read_value(text, {.kind = &kind});
}

ParseResult<double> parse_half_width(std::string_view text, const QuantityKind& kind) {
  const std::size_t sign = skip_spaces(text, 0);
  Wanted wanted{.kind = &kind};
  for (const std::string_view band_sign : {"\u00B1", "+-"}) {
    if (text.substr(sign).starts_with(band_sign)) {
      wanted.band_sign = band_sign;
      wanted.begin = skip_spaces(text, sign + band_sign.size());
    }
  }
  if (wanted.band_sign.empty()) {
    return band_sign_failure(text, sign, kind);
  }
  const bool second_sign =
      wanted.begin < text.size() && (text[wanted.begin] == '+' || text[wanted.begin] == '-');
  if (second_sign) {
    return band_sign_failure(text, wanted.begin, kind);
  }
  return read_value(text, wanted);
}

}  // namespace detail

std::string ParseFailure::message() const {
  return reason + ", such as \"" + example + "\"";
}

ParseError::ParseError(ParseFailure failure)
    : DomainError("column " + std::to_string(failure.column) + ": " + failure.message()),
      failure_(std::move(failure)) {}

}  // namespace lashband::units
