// Any text, read as each of several kinds of quantity. What must hold for every text:
//   a value that is read is finite, and reads back bit by bit after it is written in the same unit;
//   a level is not below absolute zero; a band lies about zero;
//   a failure names a column within the text, has a message of one line of UTF-8, and its example
//   is a quantity of the kind that was wanted.
// A breach ends the program.

#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "lashband/units/format.hpp"
#include "lashband/units/parse.hpp"
#include "lashband/units/unit_expression.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

using namespace lashband::units;

void require(bool holds, const char* what, std::string_view text) {
  if (!holds) {
    std::fprintf(stderr, "breach: %s\ntext: %.*s\n", what, static_cast<int>(text.size()),
                 text.data());
    std::abort();
  }
}

/// Characters of well-formed UTF-8 (RFC 3629, section 4), or -1.
std::ptrdiff_t count_characters(std::string_view text) {
  struct Form {
    unsigned int first_low;
    unsigned int first_high;
    unsigned int second_low;
    unsigned int second_high;
    std::size_t length;
  };
  constexpr std::array<Form, 9> forms{{{0x00, 0x7F, 0, 0, 1},
                                       {0xC2, 0xDF, 0x80, 0xBF, 2},
                                       {0xE0, 0xE0, 0xA0, 0xBF, 3},
                                       {0xE1, 0xEC, 0x80, 0xBF, 3},
                                       {0xED, 0xED, 0x80, 0x9F, 3},
                                       {0xEE, 0xEF, 0x80, 0xBF, 3},
                                       {0xF0, 0xF0, 0x90, 0xBF, 4},
                                       {0xF1, 0xF3, 0x80, 0xBF, 4},
                                       {0xF4, 0xF4, 0x80, 0x8F, 4}}};
  std::ptrdiff_t characters = 0;
  const auto byte = [text](std::size_t i) -> unsigned int {
    return static_cast<unsigned char>(text[i]);
  };
  for (std::size_t begin = 0; begin < text.size(); ++characters) {
    std::size_t length = 0;
    for (const Form& form : forms) {
      const bool first = byte(begin) >= form.first_low && byte(begin) <= form.first_high;
      if (!first || begin + form.length > text.size()) {
        continue;
      }
      bool good = form.length == 1 ||
                  (byte(begin + 1) >= form.second_low && byte(begin + 1) <= form.second_high);
      for (std::size_t i = 2; i < form.length; ++i) {
        good = good && byte(begin + i) >= 0x80 && byte(begin + i) <= 0xBF;
      }
      length = good ? form.length : length;
    }
    if (length == 0) {
      return -1;
    }
    begin += length;
  }
  return characters;
}

void check_failure(const ParseFailure& failure, std::string_view text) {
  require(failure.column >= 1 && failure.column <= text.size() + 1, "column outside the text",
          text);
  if (const std::ptrdiff_t characters = count_characters(text); characters >= 0) {
    require(failure.column <= static_cast<std::size_t>(characters) + 1,
            "column counts more than characters", text);
  }
  const std::string message = failure.message();
  require(count_characters(message) > 0, "message is not UTF-8", text);
  for (const char c : message) {
    // The example may repeat blanks of the text that was read, but no control character.
    require(static_cast<unsigned char>(c) >= 0x20 && c != 0x7F, "message of several lines", text);
  }
}

bool same_bits(double a, double b) {
  return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

/// The unit of a text that was read: all behind the number.
std::string_view unit_of(std::string_view text) {
  for (std::size_t begin = 0; begin < text.size(); ++begin) {
    const std::string_view rest = text.substr(begin);
    const bool behind_digit = begin > 0 && text[begin - 1] >= '0' && text[begin - 1] <= '9';
    const bool behind_blank = begin > 0 && text[begin - 1] == ' ';
    if ((behind_digit || behind_blank) && unit_expression(rest).fault == UnitFault::none) {
      return rest;
    }
  }
  return {};
}

template <class Q>
void check_single(std::string_view text) {
  const ParseResult<Q> result = try_parse<Q>(text);
  if (!result) {
    check_failure(result.failure(), text);
    require(static_cast<bool>(try_parse<Q>(result.failure().example)),
            "the example is not of the wanted kind", text);
    return;
  }
  const double value = result.value().value();
  require(std::isfinite(value), "a value that is not finite", text);
  if constexpr (std::is_same_v<Q, Temperature>) {
    require(value >= absolute_zero_in_celsius, "below absolute zero", text);
    require(same_bits(parse<Q>(format(result.value())).value(), value),
            "a level that does not read back", text);
  } else {
    const std::string_view unit = unit_of(text);
    const UnitExpression read = unit_expression(unit);
    require(read.fault == UnitFault::none, "a unit that is read once only", text);
    const std::string written = detail::format_si(value, read.scale, unit);
    const ParseResult<Q> again = try_parse<Q>(written);
    require(again && same_bits(again.value().value(), value), "a value that does not read back",
            text);
  }
}

template <class Q>
void check_band(std::string_view text) {
  const ParseResult<Band<Q>> result = try_parse_symmetric_band<Q>(text);
  if (!result) {
    check_failure(result.failure(), text);
    require(static_cast<bool>(try_parse_symmetric_band<Q>(result.failure().example)),
            "the example is not a band of the wanted kind", text);
    return;
  }
  const double low = result.value().low.value();
  const double high = result.value().high.value();
  require(std::isfinite(high) && high >= 0.0, "a half width that is negative or not finite", text);
  require(low == -high && !std::signbit(high), "a band that is not about zero", text);
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(data, data + size);
  check_single<Length>(text);
  check_single<Ratio>(text);
  check_single<Angle>(text);
  check_single<AngularVelocity>(text);
  check_single<Pressure>(text);
  check_single<TorsionalStiffness>(text);
  check_single<SpecificHeat>(text);
  check_single<TemperatureDifference>(text);
  check_single<Temperature>(text);
  check_band<Length>(text);
  check_band<TemperatureDifference>(text);
  return 0;
}
