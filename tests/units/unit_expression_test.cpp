// The grammar of written units, rule by rule.

#include "lashband/units/unit_expression.hpp"

#include <array>
#include <string>
#include <string_view>

#include "catch.hpp"

namespace {

using namespace lashband::units;

constexpr Dimension thermal_conductivity{.length = 1, .mass = 1, .time = -3, .temperature = -1};
constexpr Dimension torsional_stiffness{.length = 2, .mass = 1, .time = -2, .angle = -1};

// Units are checked at compile time too.
static_assert(unit_expression("N m/rad").fault == UnitFault::none);
static_assert(unit_expression("N m/rad").dimension == torsional_stiffness);
static_assert(unit_expression("N.m").fault == UnitFault::not_a_multiplication_sign);

struct GoodRow {
  std::string_view text;
  Dimension dimension;
  int power_of_ten = 0;
};

TEST_CASE("units that follow the grammar", "[units]") {
  const std::array rows{
      // one unit, with blanks around it
      GoodRow{"mm", {.length = 1}, -3},
      GoodRow{"  mm ", {.length = 1}, -3},
      GoodRow{"%", {}, -2},
      // multiplication by blanks, "*" and the middle dot
      GoodRow{"N m", dimensions::energy},
      GoodRow{"N   m", dimensions::energy},
      GoodRow{"N*m", dimensions::energy},
      GoodRow{"N * m", dimensions::energy},
      GoodRow{"N\u00B7m", dimensions::energy},
      GoodRow{"N \u00B7 m", dimensions::energy},
      GoodRow{"kN mm", dimensions::energy},
      // powers
      GoodRow{"mm2", {.length = 2}, -6},
      GoodRow{"mm^2", {.length = 2}, -6},
      GoodRow{"mm\u00B2", {.length = 2}, -6},
      GoodRow{"mm3", {.length = 3}, -9},
      GoodRow{"mm^3", {.length = 3}, -9},
      GoodRow{"mm\u00B3", {.length = 3}, -9},
      GoodRow{"cm\u2074", {.length = 4}, -8},
      GoodRow{"m9", {.length = 9}},
      GoodRow{"m\u2079", {.length = 9}},
      // one division
      GoodRow{"m/s", {.length = 1, .time = -1}},
      GoodRow{"m / s", {.length = 1, .time = -1}},
      GoodRow{"m/s2", {.length = 1, .time = -2}},
      GoodRow{"kg/m^3", {.length = -3, .mass = 1}},
      GoodRow{"N m/rad", torsional_stiffness},
      GoodRow{"W/(m K)", thermal_conductivity},
      GoodRow{"W/( m*K )", thermal_conductivity},
      GoodRow{"W / (m\u00B7K)", thermal_conductivity},
      GoodRow{"W/(m K) ", thermal_conductivity},
      GoodRow{"kg m2/(s3 K m)", thermal_conductivity},
      // 1 as the numerator
      GoodRow{"1/K", {.temperature = -1}},
      GoodRow{"1 / K", {.temperature = -1}},
      GoodRow{"1/(m K)", {.length = -1, .temperature = -1}},
      // units that cancel
      GoodRow{"um/m", {}, -6},
      GoodRow{"mm/mm", {}},
      GoodRow{"rad/rad", {}},
  };
  for (const GoodRow& row : rows) {
    INFO(row.text);
    const UnitExpression unit = unit_expression(row.text);
    CHECK(unit.fault == UnitFault::none);
    CHECK(unit.dimension == row.dimension);
    CHECK(unit.scale.is_decimal());
    CHECK(unit.scale.power_of_ten == row.power_of_ten);
    CHECK(unit.level == LevelScale::none);
  }
}

struct BadRow {
  std::string_view text;
  UnitFault fault;
  std::size_t begin;
  std::size_t end;
};

TEST_CASE("units that break a rule of the grammar, and where", "[units]") {
  const std::array rows{
      BadRow{"", UnitFault::missing, 0, 0},
      BadRow{"   ", UnitFault::missing, 3, 3},
      BadRow{"mM", UnitFault::unknown_symbol, 0, 2},
      BadRow{"N furlong", UnitFault::unknown_symbol, 2, 9},
      BadRow{"W/(m Q)", UnitFault::unknown_symbol, 5, 6},
      BadRow{"\u00B0C", UnitFault::unknown_symbol, 0, 3},
      BadRow{"deg_C", UnitFault::unknown_symbol, 0, 5},
      BadRow{"'", UnitFault::unknown_symbol, 0, 1},
      BadRow{"\xFF", UnitFault::unknown_symbol, 0, 1},
      BadRow{"mbar", UnitFault::prefix_on_non_si_unit, 0, 4},
      BadRow{"kmin", UnitFault::prefix_on_non_si_unit, 0, 4},
      BadRow{"kkg", UnitFault::unknown_symbol, 0, 3},
      BadRow{"degC/m", UnitFault::level_in_compound, 0, 4},
      BadRow{"W/(m degC)", UnitFault::level_in_compound, 5, 9},
      BadRow{"1/degF", UnitFault::level_in_compound, 2, 6},
      BadRow{"degC2", UnitFault::level_in_compound, 0, 4},
      BadRow{"degC degC", UnitFault::level_in_compound, 5, 9},
      BadRow{"/K", UnitFault::missing_numerator, 0, 1},
      BadRow{" /K", UnitFault::missing_numerator, 1, 2},
      BadRow{"N m/", UnitFault::missing_factor, 3, 4},
      BadRow{"N m/ ", UnitFault::missing_factor, 3, 5},
      BadRow{"N *", UnitFault::missing_factor, 2, 3},
      BadRow{"N * / m", UnitFault::missing_factor, 4, 5},
      BadRow{"*m", UnitFault::missing_factor, 0, 1},
      BadRow{"N\u00B7*m", UnitFault::missing_factor, 3, 4},
      BadRow{"W/(", UnitFault::missing_factor, 3, 3},
      BadRow{"W/( ", UnitFault::missing_factor, 4, 4},
      BadRow{"mm2K", UnitFault::touching_units, 3, 3},
      BadRow{"W/(m2K)", UnitFault::touching_units, 5, 5},
      BadRow{"J/kg/K", UnitFault::second_division, 4, 5},
      BadRow{"J/(kg/K)", UnitFault::second_division, 5, 6},
      BadRow{"1/m/K", UnitFault::second_division, 3, 4},
      BadRow{"W/(m K)/s", UnitFault::second_division, 7, 8},
      BadRow{"J/kg K", UnitFault::factor_after_division, 5, 6},
      BadRow{"J/kg*K", UnitFault::factor_after_division, 4, 5},
      BadRow{"J/kg\u00B7K", UnitFault::factor_after_division, 4, 6},
      BadRow{"W/(m K) s", UnitFault::factor_after_division, 8, 9},
      BadRow{"J/kg2K", UnitFault::factor_after_division, 5, 6},
      BadRow{"W/(m K)(s)", UnitFault::factor_after_division, 7, 8},
      BadRow{"(N m)/rad", UnitFault::parenthesis_outside_division, 0, 1},
      BadRow{"N (m)", UnitFault::parenthesis_outside_division, 2, 3},
      BadRow{"N(m)", UnitFault::parenthesis_outside_division, 1, 2},
      BadRow{"W/((m K))", UnitFault::parenthesis_outside_division, 3, 4},
      BadRow{"W/(m K", UnitFault::unclosed_parenthesis, 2, 3},
      BadRow{"m)", UnitFault::unmatched_parenthesis, 1, 2},
      BadRow{"m/s)", UnitFault::unmatched_parenthesis, 3, 4},
      BadRow{"W/()", UnitFault::unmatched_parenthesis, 3, 4},
      BadRow{"1", UnitFault::one_is_not_a_unit, 0, 1},
      BadRow{"1 m", UnitFault::one_is_not_a_unit, 0, 1},
      BadRow{"1m", UnitFault::one_is_not_a_unit, 0, 1},
      BadRow{"000 mm", UnitFault::number_in_unit, 0, 1},
      BadRow{"10 mm", UnitFault::number_in_unit, 0, 1},
      BadRow{"m 1/K", UnitFault::number_in_unit, 2, 3},
      BadRow{"m/1", UnitFault::number_in_unit, 2, 3},
      BadRow{"/2 in", UnitFault::number_in_unit, 1, 2},
      BadRow{"1/2 in", UnitFault::number_in_unit, 2, 3},
      BadRow{"N.m", UnitFault::not_a_multiplication_sign, 1, 2},
      BadRow{"N-m", UnitFault::not_a_multiplication_sign, 1, 2},
      BadRow{"N,m", UnitFault::not_a_multiplication_sign, 1, 2},
      BadRow{"N\u00D7m", UnitFault::not_a_multiplication_sign, 1, 3},
      BadRow{"N\u22C5m", UnitFault::not_a_multiplication_sign, 1, 4},
      BadRow{"mm**2", UnitFault::doubled_star, 2, 4},
      BadRow{"mm^1", UnitFault::bad_power, 2, 4},
      BadRow{"mm0", UnitFault::bad_power, 2, 3},
      BadRow{"mm10", UnitFault::bad_power, 2, 4},
      BadRow{"mm\u00B9", UnitFault::bad_power, 2, 4},
      BadRow{"mm\u00B2\u00B2", UnitFault::bad_power, 2, 6},
      BadRow{"mm^", UnitFault::bad_power, 2, 3},
      BadRow{"mm^x", UnitFault::bad_power, 2, 3},
      BadRow{"mm ^2", UnitFault::bad_power, 3, 4},
      BadRow{"\u00B2", UnitFault::bad_power, 0, 2},
      BadRow{"W/(m K)2", UnitFault::bad_power, 7, 8},
      BadRow{"W/(m K)^2", UnitFault::bad_power, 7, 8},
      BadRow{"s^-1", UnitFault::negative_power, 1, 2},
      BadRow{"s-1", UnitFault::negative_power, 1, 2},
      BadRow{"s\u207B\u00B9", UnitFault::negative_power, 1, 4},
      BadRow{"N\tm", UnitFault::not_a_plain_space, 1, 2},
      BadRow{"N\u00A0m", UnitFault::not_a_plain_space, 1, 3},
      BadRow{"\u202Fm", UnitFault::not_a_plain_space, 0, 3},
      BadRow{"m$", UnitFault::unexpected_character, 1, 2},
      BadRow{std::string_view("m\0", 2), UnitFault::unexpected_character, 1, 2},
      BadRow{"m m m m m m m m m m m m m m m m m", UnitFault::too_many_factors, 32, 33},
  };
  for (const BadRow& row : rows) {
    INFO(row.text);
    const UnitExpression unit = unit_expression(row.text);
    CHECK(static_cast<int>(unit.fault) == static_cast<int>(row.fault));
    CHECK(unit.fault_begin == row.begin);
    CHECK(unit.fault_end == row.end);
  }
}

TEST_CASE("sixteen factors are not too many", "[units]") {
  const UnitExpression unit = unit_expression("m m m m m m m m m m m m m m m m");
  CHECK(unit.fault == UnitFault::none);
  CHECK(unit.dimension.length == most_unit_factors);
}

TEST_CASE("a level needs its unit alone", "[units]") {
  CHECK(unit_expression("degC").level == LevelScale::celsius);
  CHECK(unit_expression("degF").level == LevelScale::fahrenheit);
  CHECK(unit_expression("K").level == LevelScale::kelvin);
  CHECK(unit_expression("mK").level == LevelScale::none);
  CHECK(unit_expression("K2").level == LevelScale::none);
  CHECK(unit_expression("1/K").level == LevelScale::none);
  CHECK(unit_expression("K m/m").level == LevelScale::none);
}

TEST_CASE("units that are no power of ten keep their exact factor", "[units]") {
  const UnitScale psi = unit_expression("lbf/in2").scale;
  CHECK(!psi.is_decimal());
  // 44482216152605e-13 / (254e-4)^2
  CHECK(psi.numerator == 44482216152605.0L);
  CHECK(psi.denominator == 64516.0L);
  CHECK(psi.power_of_ten == -5);
  CHECK(psi.power_of_pi == 0);

  const UnitScale rpm = unit_expression("rev/min").scale;
  CHECK(rpm.numerator == 2.0L);
  CHECK(rpm.denominator == 6.0L);
  CHECK(rpm.power_of_ten == -1);
  CHECK(rpm.power_of_pi == 1);

  CHECK(unit_expression("in/in").scale.is_decimal());
  CHECK(unit_expression("deg/deg").scale.is_decimal());
}

}  // namespace
