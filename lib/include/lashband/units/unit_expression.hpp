#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <string_view>

#include "lashband/units/unit_symbols.hpp"

/// The grammar by which unit symbols combine: "N m/rad", "W/(m K)", "1/K". It is set out in
/// docs/quantities.md. Everything here works at compile time too, so that a unit in the source of a
/// program is checked by the compiler.
namespace lashband::units {

/// What is wrong with a written unit.
enum class UnitFault {
  none,
  missing,                       ///< nothing where the unit should stand
  unknown_symbol,                ///< not in the table
  prefix_on_non_si_unit,         ///< "mbar"
  level_in_compound,             ///< "W/(m degC)"
  missing_numerator,             ///< "/K"
  missing_factor,                ///< "N m/", "N * "
  touching_units,                ///< "mm2K"
  second_division,               ///< "m/s/s"
  factor_after_division,         ///< "J/kg K"
  parenthesis_outside_division,  ///< "(N m)/rad"
  unclosed_parenthesis,          ///< "W/(m K"
  unmatched_parenthesis,         ///< "m)"
  one_is_not_a_unit,             ///< "1 m" after the number, or "1" alone
  number_in_unit,                ///< "000 mm"
  not_a_multiplication_sign,     ///< "N.m"
  doubled_star,                  ///< "mm**2"
  bad_power,                     ///< "mm^1", "mm10"
  negative_power,                ///< "s^-1"
  not_a_plain_space,             ///< a tab, a no-break space
  unexpected_character,
  too_many_factors,
};

/// A unit that was read from text. With a fault, only `fault` and its place mean anything.
struct UnitExpression {
  Dimension dimension;
  UnitScale scale;
  /// Other than `none` only where the unit is a single symbol that can give a level.
  LevelScale level = LevelScale::none;
  UnitFault fault = UnitFault::none;
  /// Where the fault stands, in bytes from the beginning of the text.
  std::size_t fault_begin = 0;
  std::size_t fault_end = 0;
};

/// The most factors that a written unit may have. It keeps every power of a dimension and every
/// scale far inside the range of its type.
inline constexpr int most_unit_factors = 16;

namespace detail {

/// Characters of more than one byte that the grammar or its messages know.
inline constexpr std::string_view middle_dot = "\u00B7";
inline constexpr std::string_view superscript_minus = "\u207B";
inline constexpr std::array<std::string_view, 10> superscript_digits{
    "\u2070", "\u00B9", "\u00B2", "\u00B3", "\u2074",
    "\u2075", "\u2076", "\u2077", "\u2078", "\u2079"};
inline constexpr std::array<std::string_view, 6> wrong_multiplication_signs{
    ".", ",", "-", "\u00D7", "\u22C5", "\u2022"};
/// Tab, line ends, and the no-break, figure, thin and narrow no-break spaces.
inline constexpr std::array<std::string_view, 7> wrong_blanks{"\t",     "\n",     "\r",    "\u00A0",
                                                              "\u2007", "\u2009", "\u202F"};

[[nodiscard]] constexpr bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

[[nodiscard]] constexpr bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/// Whether `text` begins with one of the characters.
[[nodiscard]] constexpr bool begins_with_any(std::string_view text,
                                             std::span<const std::string_view> characters) {
  for (const std::string_view character : characters) {
    if (text.starts_with(character)) {
      return true;
    }
  }
  return false;
}

/// Reads one written unit from the beginning of the text to its end.
class UnitScanner {
 public:
  constexpr explicit UnitScanner(std::string_view text) : text_(text) {}

  [[nodiscard]] constexpr UnitExpression scan() {
    skip_spaces();
    if (at_end()) {
      fail(UnitFault::missing, position_, position_);
    } else if (numerator()) {
      skip_spaces();
      if (!at_end()) {
        divisor();
      }
    }
    if (factors_ != 1) {
      result_.level = LevelScale::none;
    }
    return result_;
  }

 private:
  // Each of the functions below reads its part and returns false once there is a fault.

  /// Everything up to the end or to a "/".
  [[nodiscard]] constexpr bool numerator() {
    if (text_[position_] == '/') {
      const bool fraction = position_ + 1 < text_.size() && is_digit(text_[position_ + 1]);
      return fraction ? fail_at(UnitFault::number_in_unit, position_ + 1)
                      : fail_at(UnitFault::missing_numerator, position_);
    }
    if (text_[position_] != '1') {
      return product(+1);
    }
    const std::size_t one = position_++;
    skip_spaces();
    if (!at_end() && text_[position_] == '/') {
      return true;
    }
    const bool longer_number = position_ == one + 1 && !at_end() && is_digit(text_[position_]);
    return longer_number ? fail_at(UnitFault::number_in_unit, one)
                         : fail(UnitFault::one_is_not_a_unit, one, one + 1);
  }

  /// The "/" behind the numerator and what it divides by.
  constexpr bool divisor() {
    const std::size_t sign_begin = position_++;
    skip_spaces();
    if (at_end()) {
      return fail(UnitFault::missing_factor, sign_begin, position_);
    }
    if (text_[position_] == '(') {
      const std::size_t open = position_++;
      skip_spaces();
      if (!product(-1)) {
        return false;
      }
      if (at_end()) {
        return fail(UnitFault::unclosed_parenthesis, open, open + 1);
      }
      if (text_[position_] != ')') {
        return fail_at(UnitFault::second_division, position_);
      }
      ++position_;
    } else if (!factor(-1)) {
      return false;
    }
    return end_of_unit();
  }

  [[nodiscard]] constexpr bool end_of_unit() {
    const bool joined = !at_end() && text_[position_] != ' ';
    skip_spaces();
    if (at_end()) {
      return true;
    }
    const char c = text_[position_];
    if (c == '/') {
      return fail_at(UnitFault::second_division, position_);
    }
    if (c == '*' || here(middle_dot) || c == '(') {
      return fail_at(UnitFault::factor_after_division, position_);
    }
    const UnitFault fault = fault_here();
    const bool power_of_parenthesis =
        joined && (fault == UnitFault::bad_power || fault == UnitFault::number_in_unit);
    if (power_of_parenthesis) {
      return fail_at(UnitFault::bad_power, position_);
    }
    return fail_at(fault == UnitFault::none ? UnitFault::factor_after_division : fault, position_);
  }

  /// Factors up to the end, a "/" or a ")".
  [[nodiscard]] constexpr bool product(int sign) {
    while (true) {
      if (!factor(sign)) {
        return false;
      }
      const std::size_t factor_end = position_;
      skip_spaces();
      if (at_end() || text_[position_] == '/' || text_[position_] == ')') {
        // A ")" is asked for only where a "(" was read, that is in a divisor.
        if (!at_end() && text_[position_] == ')' && sign > 0) {
          return fail_at(UnitFault::unmatched_parenthesis, position_);
        }
        return true;
      }
      const std::size_t sign_begin = position_;
      if (text_[position_] == '*') {
        ++position_;
        if (!at_end() && text_[position_] == '*') {
          return fail(UnitFault::doubled_star, sign_begin, sign_begin + 2);
        }
      } else if (here(middle_dot)) {
        position_ += middle_dot.size();
      } else if (position_ == factor_end && fault_here() == UnitFault::none) {
        return fail(UnitFault::touching_units, position_, position_);
      }
      skip_spaces();
      if (at_end()) {
        return fail(UnitFault::missing_factor, sign_begin, position_);
      }
    }
  }

  [[nodiscard]] constexpr bool factor(int sign) {
    if (at_end()) {
      return fail(UnitFault::missing_factor, position_, position_);
    }
    if (const UnitFault fault = fault_here(); fault != UnitFault::none) {
      return fail_at(fault, position_);
    }
    const std::size_t begin = position_;
    while (!at_end() && fault_here() == UnitFault::none) {
      position_ += character_length(position_);
    }
    const std::size_t end = position_;
    const PrefixedSymbol found = find_prefixed_symbol(text_.substr(begin, end - begin));
    if (!found.is_known()) {
      return fail(UnitFault::unknown_symbol, begin, end);
    }
    if (!found.is_unit()) {
      return fail(UnitFault::prefix_on_non_si_unit, begin, end);
    }
    int power = 1;
    if (!read_power(power)) {
      return false;
    }
    return apply(found, sign * power, begin, end);
  }

  /// A power right behind a symbol: "2", "^2" or a superscript.
  [[nodiscard]] constexpr bool read_power(int& power) {
    const std::size_t begin = position_;
    const bool caret = !at_end() && text_[position_] == '^';
    if (caret) {
      ++position_;
    }
    const bool minus = !at_end() && text_[position_] == '-' && position_ + 1 < text_.size() &&
                       is_digit(text_[position_ + 1]);
    if (minus || here(superscript_minus)) {
      return fail_at(UnitFault::negative_power, begin);
    }
    int digits = 0;
    int value = 0;
    for (int digit = digit_here(); digit >= 0; digit = digit_here()) {
      // One digit is all that a power may have; more are only counted.
      value = digits == 0 ? digit : value;
      ++digits;
      position_ += character_length(position_);
    }
    if (digits == 0 && !caret) {
      return true;
    }
    if (digits != 1 || value < 2) {
      return fail(UnitFault::bad_power, begin, position_);
    }
    power = value;
    return true;
  }

  [[nodiscard]] constexpr bool apply(const PrefixedSymbol& found, int power, std::size_t begin,
                                     std::size_t end) {
    ++factors_;
    if (factors_ > most_unit_factors) {
      return fail(UnitFault::too_many_factors, begin, end);
    }
    const UnitSymbol& symbol = found.symbol();
    const bool level_only =
        symbol.level == LevelScale::celsius || symbol.level == LevelScale::fahrenheit;
    if (level_only) {
      level_begin_ = begin;
      level_end_ = end;
      has_level_only_ = true;
    }
    if (has_level_only_ && (factors_ > 1 || power != 1)) {
      return fail(UnitFault::level_in_compound, level_begin_, level_end_);
    }
    if (power == 1 && !found.has_prefix) {
      result_.level = symbol.level;
    }
    result_.dimension = times_power(result_.dimension, symbol.dimension, power);
    UnitScale& scale = result_.scale;
    scale.power_of_pi += power * symbol.scale.power_of_pi;
    scale.power_of_ten += power * (symbol.scale.power_of_ten + found.power_of_ten);
    for (int i = 0; i < (power < 0 ? -power : power); ++i) {
      scale.numerator *= power > 0 ? symbol.scale.numerator : symbol.scale.denominator;
      scale.denominator *= power > 0 ? symbol.scale.denominator : symbol.scale.numerator;
    }
    return true;
  }

  /// What would be wrong with a symbol that begins or goes on at this place; `none` for a character
  /// that a symbol may hold.
  [[nodiscard]] constexpr UnitFault fault_here() const {
    const char c = text_[position_];
    if (is_letter(c) || c == '%') {
      return UnitFault::none;
    }
    if (is_digit(c)) {
      return UnitFault::number_in_unit;
    }
    switch (c) {
      case ' ':
      case '*':
      case '/':
        return UnitFault::missing_factor;
      case '(':
        return UnitFault::parenthesis_outside_division;
      case ')':
        return UnitFault::unmatched_parenthesis;
      case '^':
        return UnitFault::bad_power;
      default:
        break;
    }
    if (here(middle_dot)) {
      return UnitFault::missing_factor;
    }
    if (here_any(superscript_digits) || here(superscript_minus)) {
      return UnitFault::bad_power;
    }
    if (here_any(wrong_multiplication_signs)) {
      return UnitFault::not_a_multiplication_sign;
    }
    if (here_any(wrong_blanks)) {
      return UnitFault::not_a_plain_space;
    }
    // Quotation marks and degree signs are read as symbols, since people write them as units; the
    // message on an unknown symbol knows them.
    const bool beyond_ascii = static_cast<unsigned char>(c) >= 0x80;
    return beyond_ascii || c == '\'' || c == '"' || c == '_' ? UnitFault::none
                                                             : UnitFault::unexpected_character;
  }

  [[nodiscard]] constexpr bool here(std::string_view character) const {
    return text_.substr(position_).starts_with(character);
  }

  [[nodiscard]] constexpr bool here_any(std::span<const std::string_view> characters) const {
    return begins_with_any(text_.substr(position_), characters);
  }

  /// The digit, plain or superscript, at this place, or -1.
  [[nodiscard]] constexpr int digit_here() const {
    if (at_end()) {
      return -1;
    }
    if (is_digit(text_[position_])) {
      return text_[position_] - '0';
    }
    for (std::size_t digit = 0; digit < superscript_digits.size(); ++digit) {
      if (here(superscript_digits[digit])) {
        return static_cast<int>(digit);
      }
    }
    return -1;
  }

  /// Bytes of the UTF-8 character at `position`: it reaches up to the next byte that begins one.
  [[nodiscard]] constexpr std::size_t character_length(std::size_t position) const {
    std::size_t length = 1;
    while (position + length < text_.size() &&
           (static_cast<unsigned char>(text_[position + length]) & 0xC0U) == 0x80U) {
      ++length;
    }
    return length;
  }

  [[nodiscard]] constexpr bool at_end() const { return position_ == text_.size(); }

  constexpr void skip_spaces() {
    while (!at_end() && text_[position_] == ' ') {
      ++position_;
    }
  }

  constexpr bool fail(UnitFault fault, std::size_t begin, std::size_t end) {
    result_.fault = fault;
    result_.fault_begin = begin;
    result_.fault_end = end;
    return false;
  }

  /// A fault of the one character at `begin`.
  constexpr bool fail_at(UnitFault fault, std::size_t begin) {
    return fail(fault, begin, begin + character_length(begin));
  }

  std::string_view text_;
  std::size_t position_ = 0;
  UnitExpression result_;
  int factors_ = 0;
  bool has_level_only_ = false;
  std::size_t level_begin_ = 0;
  std::size_t level_end_ = 0;
};

}  // namespace detail

/// The unit written in `text`, without a number: "mm", "N m/rad", "1/K". A fault is reported in the
/// result. Exact, as far as UnitScale is.
[[nodiscard]] constexpr UnitExpression unit_expression(std::string_view text) {
  return detail::UnitScanner(text).scan();
}

}  // namespace lashband::units
