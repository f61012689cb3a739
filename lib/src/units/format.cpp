#include "lashband/units/format.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <string_view>

#include "lashband/error.hpp"
#include "units/decimal.hpp"

namespace lashband::units {

namespace detail {

namespace {

constexpr UnitScale unscaled{};

void require_finite(double value) {
  if (!std::isfinite(value)) {
    throw DomainError("a quantity that is infinite or not a number cannot be written");
  }
}

void require_decimals(int decimals) {
  constexpr int most_decimals = 17;
  if (decimals < 0 || decimals > most_decimals) {
    throw DomainError("a number is written with 0 to 17 decimals, not with " +
                      std::to_string(decimals));
  }
}

Decimal decimal_of(double si_value, const UnitScale& scale) {
  require_finite(si_value);
  return fewest_digits(si_value, scale);
}

double in_range(const Rounded& rounded, double si_value, std::string_view where) {
  if (rounded.range != Range::inside) {
    throw DomainError("the SI value " + to_text(fewest_digits(si_value, unscaled)) + " " +
                      (rounded.range == Range::overflow ? "overflows" : "vanishes") + " in " +
                      std::string(where));
  }
  return rounded.value;
}

}  // namespace

std::string format_si(double si_value, const UnitScale& scale, std::string_view unit) {
  return to_text(decimal_of(si_value, scale)).append(" ").append(unit);
}

std::string format_fixed_si(double si_value, const UnitScale& scale, int decimals) {
  require_decimals(decimals);
  return to_fixed_text(decimal_of(si_value, scale), decimals);
}

double value_of_si(double si_value, const UnitScale& scale, std::string_view unit) {
  return in_range(nearest_double(decimal_of(si_value, scale)), si_value, unit);
}

double value_of_level(double celsius, LevelScale level) {
  const long double value = as_long_double(decimal_of(celsius, unscaled));
  switch (level) {
    case LevelScale::kelvin:
      return in_range(round_to_double(value + 273.15L), celsius, "K");
    case LevelScale::fahrenheit:
      return in_range(round_to_double(value * 9.0L / 5.0L + 32.0L), celsius, "degF");
    case LevelScale::celsius:
    case LevelScale::none:
      break;
  }
  return celsius;
}

std::string format_fixed_level(double celsius, LevelScale level, int decimals) {
  return format_fixed_si(value_of_level(celsius, level), unscaled, decimals);
}

}  // namespace detail

std::string format(const Temperature& level) {
  return detail::format_si(level.value(), detail::unscaled, "degC");
}

}  // namespace lashband::units
