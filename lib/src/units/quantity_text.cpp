#include "units/quantity_text.hpp"

#include "lashband/units/temperature.hpp"

namespace lashband::units::detail {

namespace {

bool is_of_kind(const UnitExpression& unit, const QuantityKind& wanted) {
  return is_level_kind(wanted) ? unit.level != LevelScale::none
                               : !is_level_only(unit) && unit.dimension == wanted.dimension;
}

Rounded rounded_value(const NumberText& number, const UnitExpression& unit, bool as_level) {
  if (as_level && unit.level != LevelScale::celsius) {
    const long double level = as_long_double(number.leading_digits);
    return round_to_double(unit.level == LevelScale::kelvin ? level - 273.15L
                                                            : (level - 32.0L) * 5.0L / 9.0L);
  }
  return unit.scale.is_decimal() ? nearest_double(number, unit.scale.power_of_ten)
                                 : si_value(number.leading_digits, unit.scale);
}

}  // namespace

bool is_level_only(const UnitExpression& unit) {
  return unit.level == LevelScale::celsius || unit.level == LevelScale::fahrenheit;
}

bool is_level_kind(const QuantityKind& kind) {
  return &kind == &temperature_level;
}

std::size_t skip_spaces(std::string_view text, std::size_t begin) {
  while (begin < text.size() && text[begin] == ' ') {
    ++begin;
  }
  return begin;
}

QuantityText read_quantity(std::string_view text, std::size_t begin, const QuantityKind& wanted) {
  QuantityText read;
  read.number_begin = skip_spaces(text, begin);
  read.number = read_number(text, read.number_begin);
  if (read.number.fault != NumberFault::none) {
    read.verdict = Verdict::bad_number;
    return read;
  }
  read.unit_begin = skip_spaces(text, read.number.end);
  read.unit = unit_expression(text.substr(read.unit_begin));
  if (read.unit.fault != UnitFault::none) {
    read.verdict = Verdict::bad_unit;
    return read;
  }
  if (!is_of_kind(read.unit, wanted)) {
    read.verdict = Verdict::other_kind;
    return read;
  }
  const Rounded rounded = rounded_value(read.number, read.unit, is_level_kind(wanted));
  read.value = rounded.value;
  if (rounded.range != Range::inside) {
    read.verdict = rounded.range == Range::overflow ? Verdict::overflow : Verdict::underflow;
  } else if (is_level_kind(wanted) && !(read.value >= absolute_zero_in_celsius)) {
    read.verdict = Verdict::below_absolute_zero;
  }
  return read;
}

}  // namespace lashband::units::detail
