#include "units/parse_failure.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <utility>
#include <vector>

#include "units/nearest_unit.hpp"

namespace lashband::units::detail {

namespace {

constexpr std::string_view plus_minus = "\u00B1";

bool is_continuation_byte(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

/// The column of a byte: characters in front of it, plus one.
std::size_t column_of(std::string_view text, std::size_t byte) {
  const std::string_view before = text.substr(0, byte);
  return 1 + static_cast<std::size_t>(std::count_if(
                 before.begin(), before.end(), [](char c) { return !is_continuation_byte(c); }));
}

/// The bytes of the UTF-8 character with which `text` begins (Unicode, table 3-7), or 0 where it
/// begins with none.
std::size_t character_length(std::string_view text) {
  const auto byte = [text](std::size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
  };
  const unsigned int lead = byte(0);
  if (lead < 0x80U) {
    return 1;
  }
  if (lead < 0xC2U || lead > 0xF4U) {
    return 0;
  }
  // The second byte of some characters is bounded further: overlong forms, surrogates, the end of
  // Unicode.
  const unsigned int second = byte(1);
  if ((lead == 0xE0U && second < 0xA0U) || (lead == 0xEDU && second > 0x9FU) ||
      (lead == 0xF0U && second < 0x90U) || (lead == 0xF4U && second > 0x8FU)) {
    return 0;
  }
  const std::size_t length = lead < 0xE0U ? 2U : (lead < 0xF0U ? 3U : 4U);
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0U) != 0x80U) {
      return 0;
    }
  }
  return length;
}

/// The text in quotation marks, fit for a message of one line: cut where it is long, and with
/// U+FFFD for control characters and for bytes that are not UTF-8.
std::string quoted(std::string_view text) {
  constexpr std::size_t most_characters = 40;
  std::string result = "\"";
  std::size_t characters = 0;
  for (std::size_t begin = 0; begin < text.size(); ++characters) {
    if (characters == most_characters) {
      result += "...";
      break;
    }
    const std::size_t length = character_length(text.substr(begin));
    const bool control = text[begin] == '\x7F' || (text[begin] >= '\0' && text[begin] < ' ');
    result += length == 0 || control ? "\uFFFD" : text.substr(begin, length);
    begin += length == 0 ? 1 : length;
  }
  return result + "\"";
}

/// Makes the failures of one text.
class FailureWriter {
 public:
  FailureWriter(std::string_view text, const Wanted& wanted) : text_(text), wanted_(wanted) {}

  [[nodiscard]] std::string_view text() const { return text_; }
  [[nodiscard]] const QuantityKind& kind() const { return *wanted_.kind; }
  [[nodiscard]] std::string name() const { return std::string(kind().name); }

  /// The reason as it is.
  [[nodiscard]] ParseFailure whole(std::size_t byte, std::string reason) const {
    return {.column = column_of(text_, byte),
            .reason = std::move(reason),
            .example = std::string(wanted_.band_sign).append(kind().example)};
  }

  /// The reason followed by what is wanted.
  [[nodiscard]] ParseFailure failure(std::size_t byte, const std::string& reason) const {
    return whole(byte, reason + "; " + name() + " is wanted");
  }

  /// Those texts that make the whole text right when they take the place of a part of it.
  [[nodiscard]] std::vector<std::string> right_replacements(
      std::size_t begin, std::size_t end, const std::vector<std::string>& replacements) const {
    std::vector<std::string> right;
    for (const std::string& replacement : replacements) {
      const QuantityText read =
          read_quantity(replaced(begin, end, replacement), wanted_.begin, kind());
      if (read.verdict == Verdict::good) {
        right.push_back(replacement);
      }
    }
    return right;
  }

  /// As `failure`, but the example is the text with a part replaced by the first of `replacements`
  /// that makes it right, if one does.
  [[nodiscard]] ParseFailure corrected(std::size_t begin, std::size_t end,
                                       const std::string& reason,
                                       const std::vector<std::string>& replacements) const {
    return with_correction(failure(begin, reason), begin, end, replacements);
  }

  [[nodiscard]] ParseFailure with_correction(ParseFailure failure, std::size_t begin,
                                             std::size_t end,
                                             const std::vector<std::string>& replacements) const {
    const std::vector<std::string> right = right_replacements(begin, end, replacements);
    if (!right.empty()) {
      failure.example = replaced(begin, end, right.front());
    }
    return failure;
  }

 private:
  [[nodiscard]] std::string replaced(std::size_t begin, std::size_t end,
                                     std::string_view replacement) const {
    return std::string(text_.substr(0, begin)).append(replacement).append(text_.substr(end));
  }

  std::string_view text_;
  Wanted wanted_;
};

ParseFailure comma_failure(const FailureWriter& writer, std::size_t comma) {
  const std::string reason =
      "a comma in a number; the decimal sign is a point, and thousands are not separated";
  const std::size_t behind_digits = writer.text().find_first_not_of("0123456789", comma + 1);
  const std::size_t digits = std::min(behind_digits, writer.text().size()) - comma - 1;
  // Three digits behind a comma may be thousands; what is meant cannot be known.
  return digits == 3 ? writer.failure(comma, reason)
                     : writer.corrected(comma, comma + 1, reason, {"."});
}

ParseFailure number_failure(const FailureWriter& writer, const NumberText& number) {
  const std::string_view text = writer.text();
  const std::size_t place = number.end;
  switch (number.fault) {
    case NumberFault::digit_missing:
      return writer.failure(place, "a digit must follow the decimal point");
    case NumberFault::exponent_missing:
      return writer.failure(place, "the exponent of the number has no digits");
    case NumberFault::comma:
      return comma_failure(writer, place);
    case NumberFault::second_point:
      return writer.failure(place, "a number has one decimal point, and none in its exponent");
    case NumberFault::typographic_minus: {
      std::size_t end = place + 1;
      while (end < text.size() && is_continuation_byte(text[end])) {
        ++end;
      }
      return writer.corrected(place, end, "this dash is not the minus sign \"-\"", {"-"});
    }
    case NumberFault::band_sign:
      return writer.failure(place, "a band stands here instead of a single value");
    case NumberFault::blank_after_sign:
      return writer.corrected(place, skip_spaces(text, place),
                              "a number follows its sign without a blank", {""});
    case NumberFault::no_number:
    case NumberFault::none:
      break;
  }
  return text.find_first_not_of(' ') == std::string_view::npos
             ? writer.failure(place, "an empty text")
             : writer.failure(place, "no number at the beginning of " + quoted(text));
}

ParseFailure unknown_symbol_failure(const FailureWriter& writer, std::size_t begin,
                                    std::size_t end) {
  const std::string_view symbol = writer.text().substr(begin, end - begin);
  const std::vector<std::string> nearest = nearest_units(symbol);
  const std::vector<std::string> right = writer.right_replacements(begin, end, nearest);
  const std::vector<std::string>& shown = right.empty() ? nearest : right;
  constexpr std::size_t most_shown = 2;
  std::string reason = "unknown unit " + quoted(symbol);
  for (std::size_t i = 0; i < std::min(shown.size(), most_shown); ++i) {
    reason += (i == 0 ? ", perhaps " : " or ") + quoted(shown[i]);
  }
  return writer.corrected(begin, end, reason, right);
}

ParseFailure bare_number_failure(const FailureWriter& writer, std::size_t byte) {
  const std::string reason = "a bare number; " + writer.name();
  // A ratio is the one quantity that may also be given as a plain number.
  return writer.whole(byte, writer.kind().dimension == dimensions::none
                                ? reason + " is a number without quotation marks, or written in %"
                                : reason + " is written with its unit");
}

ParseFailure unit_failure(const FailureWriter& writer, const QuantityText& read) {
  const UnitExpression& unit = read.unit;
  const std::size_t begin = read.unit_begin + unit.fault_begin;
  const std::size_t end = read.unit_begin + unit.fault_end;
  const std::string_view part = writer.text().substr(begin, end - begin);
  switch (unit.fault) {
    case UnitFault::missing:
      return bare_number_failure(writer, begin);
    case UnitFault::unknown_symbol:
      return unknown_symbol_failure(writer, begin, end);
    case UnitFault::prefix_on_non_si_unit:
      return writer.corrected(begin, end,
                              "only SI units take a prefix, so " + quoted(part) + " is no unit",
                              nearest_units(part));
    case UnitFault::level_in_compound:
      return writer.corrected(
          begin, end, quoted(part) + " is a temperature level and stands alone; elsewhere write K",
          {"K"});
    case UnitFault::missing_numerator:
      return writer.corrected(begin, end, R"(nothing stands in front of "/"; write 1 there)",
                              {"1/", " 1/"});
    case UnitFault::missing_factor:
      return writer.failure(begin, "a unit is missing here");
    case UnitFault::touching_units:
      return writer.corrected(begin, end, "two units touch; write a space between them", {" "});
    case UnitFault::second_division:
      return writer.failure(begin,
                            "a second \"/\"; all that divides stands in one parenthesis after the "
                            "first, as in \"W/(m K)\"");
    case UnitFault::factor_after_division:
      return writer.failure(begin,
                            "only one unit or one parenthesis follows \"/\"; all that divides "
                            "stands in the parenthesis, as in \"W/(m K)\"");
    case UnitFault::parenthesis_outside_division:
      return writer.failure(begin, "a parenthesis stands only right after \"/\"");
    case UnitFault::unclosed_parenthesis:
      return writer.corrected(writer.text().size(), writer.text().size(),
                              "the parenthesis is not closed", {")"});
    case UnitFault::unmatched_parenthesis:
      return writer.failure(begin, "this parenthesis was not opened");
    case UnitFault::one_is_not_a_unit:
      return writer.failure(begin, R"(1 is a unit only in front of "/", as in "1/K")");
    case UnitFault::number_in_unit:
      return writer.failure(begin,
                            "a digit where a unit should stand; a number has no blanks, separators "
                            "or fractions in it");
    case UnitFault::not_a_multiplication_sign:
      return writer.corrected(
          begin, end,
          quoted(part) + " is not a multiplication sign; write a space, \"*\" or \"\u00B7\"",
          {"", " "});
    case UnitFault::doubled_star:
      return writer.corrected(begin, end, R"("**" is not a power; write "^")", {"^"});
    case UnitFault::bad_power:
      return writer.failure(begin,
                            "a power is one digit from 2 to 9 right after a unit, as in \"mm2\"");
    case UnitFault::negative_power:
      return writer.failure(begin, "a negative power; divide instead, as in \"1/K\"");
    case UnitFault::not_a_plain_space:
      return writer.corrected(
          begin, end, "this blank is not a plain space (but a tab, a line end or a no-break space)",
          {" "});
    case UnitFault::too_many_factors:
      return writer.failure(begin, "more than " + std::to_string(most_unit_factors) + " units");
    case UnitFault::none:
    case UnitFault::unexpected_character:
      break;
  }
  return writer.failure(begin, "unexpected character " + quoted(part));
}

/// The dimension as a coherent SI unit, "kg m2/(s3 K)", for what has no name.
std::string spelled(const Dimension& dimension) {
  struct Factor {
    std::string_view symbol;
    int power;
  };
  const std::array factors{Factor{"kg", dimension.mass}, Factor{"m", dimension.length},
                           Factor{"s", dimension.time}, Factor{"K", dimension.temperature},
                           Factor{"rad", dimension.angle}};
  const auto product = [&factors](int sign) {
    std::string text;
    for (const Factor& factor : factors) {
      const int power = sign * factor.power;
      if (power > 0) {
        text.append(text.empty() ? "" : " ").append(factor.symbol);
        text.append(power > 1 ? std::to_string(power) : "");
      }
    }
    return text;
  };
  std::string above = product(+1);
  const std::string below = product(-1);
  if (below.empty()) {
    return above;
  }
  const bool several = below.find(' ') != std::string::npos;
  return (above.empty() ? "1" : above) + (several ? "/(" + below + ")" : "/" + below);
}

std::string name_of(const UnitExpression& unit) {
  if (is_level_only(unit)) {
    return std::string(temperature_level.name);
  }
  const QuantityKind* kind = find_kind(unit.dimension);
  return kind != nullptr ? std::string(kind->name_when_read)
                         : "a quantity in " + spelled(unit.dimension);
}

ParseFailure other_kind_failure(const FailureWriter& writer, const QuantityText& read) {
  const std::size_t begin = read.unit_begin;
  const std::size_t end = writer.text().size();
  const Dimension& wanted = writer.kind().dimension;
  if (is_level_kind(writer.kind()) && read.unit.dimension == dimensions::temperature) {
    return writer.whole(begin, "a temperature level is written in degC, degF or K alone");
  }
  if (is_level_only(read.unit) && wanted == dimensions::temperature) {
    ParseFailure failure =
        writer.whole(begin, "a temperature level is not a temperature difference; write K");
    // A step of 1 degC is one of 1 K; a degree Fahrenheit is not.
    return read.unit.level == LevelScale::celsius
               ? writer.with_correction(std::move(failure), begin, end, {"K"})
               : failure;
  }
  const std::string reason = "read " + quoted(writer.text()) + " which is " + name_of(read.unit);
  if (wanted == dimensions::angular_velocity && read.unit.dimension == dimensions::frequency) {
    ParseFailure failure =
        writer.whole(begin, reason + "; " + writer.name() + " is wanted, in rpm");
    const UnitScale& scale = read.unit.scale;
    const bool per_minute =
        scale.numerator == 1.0L && scale.denominator == 6.0L && scale.power_of_ten == -1;
    return per_minute ? writer.with_correction(std::move(failure), begin, end, {"rpm"}) : failure;
  }
  return writer.failure(begin, reason);
}

}  // namespace

ParseFailure failure_of(const QuantityText& read, std::string_view text, const Wanted& wanted) {
  const FailureWriter writer(text, wanted);
  switch (read.verdict) {
    case Verdict::bad_number:
      return number_failure(writer, read.number);
    case Verdict::bad_unit:
      return unit_failure(writer, read);
    case Verdict::other_kind:
      return other_kind_failure(writer, read);
    case Verdict::overflow:
      return writer.failure(read.number_begin, "read " + quoted(text) +
                                                   " which is beyond the range of numbers, 1.8e308 "
                                                   "in SI units");
    case Verdict::underflow:
      return writer.failure(read.number_begin,
                            "read " + quoted(text) + " which is too small to be told from zero");
    case Verdict::below_absolute_zero:
      return writer.failure(read.number_begin,
                            "read " + quoted(text) + " which is below absolute zero, -273.15 degC");
    case Verdict::good:
      break;
  }
  throw Error("a quantity that was read has no failure");
}

ParseFailure band_sign_failure(std::string_view text, std::size_t byte, const QuantityKind& kind) {
  const bool at_begin = byte == skip_spaces(text, 0);
  return {.column = column_of(text, byte),
          .reason = at_begin ? "\"\u00B1\" or \"+-\" is missing; " + std::string(kind.name) +
                                   " to both sides is wanted"
                             : "the half width of a band has no sign of its own",
          .example = std::string(plus_minus).append(kind.example)};
}

}  // namespace lashband::units::detail
