#include "units/number_text.hpp"

#include <algorithm>
#include <cstdint>

#include "lashband/units/unit_expression.hpp"

namespace lashband::units::detail {

namespace {

// The minus sign of typography, and the two dashes that stand in for it.
constexpr std::array<std::string_view, 3> typographic_minuses{"\u2212", "\u2013", "\u2014"};
constexpr std::array<std::string_view, 2> band_signs{"\u00B1", "+-"};

/// Walks over the text of one number.
class NumberReader {
 public:
  NumberReader(std::string_view text, std::size_t begin) : text_(text), position_(begin) {}

  [[nodiscard]] NumberText read() {
    if (begins_with_any(rest(), band_signs)) {
      return fault(NumberFault::band_sign);
    }
    if (begins_with_any(rest(), typographic_minuses)) {
      return fault(NumberFault::typographic_minus);
    }
    if (here('+') || here('-')) {
      number_.leading_digits.negative = here('-');
      ++position_;
      if (here(' ')) {
        return fault(NumberFault::blank_after_sign);
      }
    }
    const std::size_t mantissa_begin = position_;
    read_digits(0);
    const std::size_t before_point = position_ - mantissa_begin;
    if (here('.')) {
      ++position_;
      const std::size_t decimals_begin = position_;
      read_digits(-1);
      if (position_ == decimals_begin) {
        return fault(NumberFault::digit_missing);
      }
      number_.last_exponent = -static_cast<std::int64_t>(position_ - decimals_begin);
    } else if (before_point == 0) {
      return fault(here(',') ? NumberFault::comma : NumberFault::no_number);
    }
    number_.mantissa = text_.substr(mantissa_begin, position_ - mantissa_begin);
    if (!read_exponent()) {
      return fault(NumberFault::exponent_missing);
    }
    if (here(',')) {
      return fault(NumberFault::comma);
    }
    if (here('.')) {
      return fault(NumberFault::second_point);
    }
    number_.end = position_;
    return number_;
  }

 private:
  [[nodiscard]] std::string_view rest() const { return text_.substr(position_); }

  [[nodiscard]] bool here(char c) const {
    return position_ < text_.size() && text_[position_] == c;
  }

  [[nodiscard]] bool digit_at(std::size_t position) const {
    return position < text_.size() && is_digit(text_[position]);
  }

  /// Reads digits; each moves the exponent of those that are held by `step`.
  void read_digits(std::int64_t step) {
    Decimal& held = number_.leading_digits;
    for (; digit_at(position_); ++position_) {
      const char digit = text_[position_];
      if (held_count_ < most_decimal_digits) {
        held.digits = 10 * held.digits + static_cast<std::uint64_t>(digit - '0');
        held.exponent += step;
        // Leading zeros take no room.
        held_count_ += held.digits == 0 ? 0 : 1;
      } else {
        held.exponent += step + 1;
        number_.complete = number_.complete && digit == '0';
      }
    }
  }

  /// False where an exponent has no digits. An "e" before a letter is left for the unit.
  [[nodiscard]] bool read_exponent() {
    if (!here('e') && !here('E')) {
      return true;
    }
    std::size_t position = position_ + 1;
    const bool negative = position < text_.size() && text_[position] == '-';
    position += negative || (position < text_.size() && text_[position] == '+') ? 1U : 0U;
    if (!digit_at(position)) {
      return position == position_ + 1 && position < text_.size() && is_letter(text_[position]);
    }
    // Large enough to outweigh the digits of any text that fits into memory.
    constexpr std::int64_t most = 1'000'000'000'000'000;
    std::int64_t exponent = 0;
    for (; digit_at(position); ++position) {
      exponent = std::min(most, 10 * exponent + (text_[position] - '0'));
    }
    exponent = negative ? -exponent : exponent;
    number_.leading_digits.exponent += exponent;
    number_.last_exponent += exponent;
    position_ = position;
    return true;
  }

  [[nodiscard]] NumberText fault(NumberFault fault) {
    number_.fault = fault;
    number_.end = position_;
    return number_;
  }

  std::string_view text_;
  std::size_t position_;
  NumberText number_;
  int held_count_ = 0;
};

}  // namespace

NumberText read_number(std::string_view text, std::size_t begin) {
  return NumberReader(text, begin).read();
}

Rounded nearest_double(const NumberText& number, int power_of_ten) {
  if (number.complete) {
    Decimal shifted = number.leading_digits;
    shifted.exponent += power_of_ten;
    return nearest_double(shifted);
  }
  return nearest_double(number.leading_digits.negative, number.mantissa,
                        number.last_exponent + power_of_ten);
}

}  // namespace lashband::units::detail
