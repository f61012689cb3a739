// Reading quantities: the grammar of numbers, exactness, and every message.

#include "lashband/units/parse.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "catch.hpp"
#include "exact_decimal.hpp"

namespace {

using namespace lashband::units;

constexpr std::uint_fast64_t seed = 20240229;

struct ReadRow {
  std::string_view text;
  double si_value;
};

TEST_CASE("numbers that follow the grammar", "[parse]") {
  // The literals are rounded once by the compiler, and the text must be rounded once as well, so
  // that both are the same double.
  const std::array rows{
      ReadRow{"2.5 mm", 2.5e-3},
      ReadRow{"2.5mm", 2.5e-3},
      ReadRow{"  2.5   mm  ", 2.5e-3},
      ReadRow{"+2.5 mm", 2.5e-3},
      ReadRow{"-2.5 mm", -2.5e-3},
      ReadRow{".005 m", 0.005},  // drawings in inches leave the zero out (ASME Y14.5)
      ReadRow{"-.005 m", -0.005},
      ReadRow{"007 m", 7.0},
      ReadRow{"1e3 m", 1e3},
      ReadRow{"1E3 m", 1e3},
      ReadRow{"1e+3 m", 1e3},
      ReadRow{"1.25e-3 m", 1.25e-3},
      ReadRow{"1e3m", 1e3},
      ReadRow{"0 m", 0.0},
      ReadRow{"0e999999999999999999999 m", 0.0},
      ReadRow{"12.5 um", 1.25e-5},
      ReadRow{"12.5 \u00B5m", 1.25e-5},
      ReadRow{"12.5 \u03BCm", 1.25e-5},
      ReadRow{"106.608 mm", 0.106608},
      ReadRow{"0.1 um", 1e-7},
      ReadRow{"0.3 mm", 3e-4},
  };
  for (const ReadRow& row : rows) {
    INFO(row.text);
    CHECK(parse<Length>(row.text).value() == row.si_value);
  }
}

TEST_CASE("the examples of the input format", "[parse]") {
  CHECK(parse<Length>("106.6 mm").value() == 0.1066);
  CHECK(parse<PerKelvin>("1.15e-05 1/K").value() == 1.15e-5);
  CHECK(parse<Temperature>("-40 degC").value() == -40.0);
  CHECK(parse<TorsionalStiffness>("3000 N m/rad").value() == 3000.0);
  CHECK(parse<Area>("1200 mm2").value() == 1.2e-3);
  CHECK(parse<Pressure>("210 GPa").value() == 2.1e11);
  CHECK(parse<Density>("7850 kg/m3").value() == 7850.0);
  CHECK(parse<SpecificHeat>("460 J/(kg K)").value() == 460.0);
  CHECK(parse<Conductivity>("50 W/(m K)").value() == 50.0);
  CHECK(parse<Ratio>("5 %").value() == 0.05);
  CHECK(parse<TemperatureDifference>("5 K").value() == 5.0);
  CHECK(parse<PerKelvin>("11.5 um/(m K)").value() == 1.15e-5);
  CHECK(parse<Torque>("12 N m").value() == 12.0);
  CHECK(parse<Torque>("12 J").value() == 12.0);
}

TEST_CASE("speeds of rotation", "[parse]") {
  // 1800 rpm = 1800 * 2 pi / 60 s = 60 pi rad/s
  constexpr double expected = 188.49555921538759;
  constexpr double two_roundings = 2 * std::numeric_limits<double>::epsilon();
  for (const std::string_view text : {"1800 rpm", "1800 rev/min", "30 rev/s", "10800 deg/s"}) {
    INFO(text);
    CHECK_THAT(parse<AngularVelocity>(text).value(), WithinRel(expected, two_roundings));
  }
  CHECK(parse<Frequency>("1800 1/min").value() == 30.0);
  CHECK(parse<Frequency>("30 1/s").value() == 30.0);
}

TEST_CASE("temperature levels", "[parse]") {
  // Fixed points: ice point, absolute zero, and where the scales meet (NIST SP 811, B.8; recalled).
  CHECK(parse<Temperature>("20 degC").value() == 20.0);
  CHECK(parse<Temperature>("-0.1 degC").value() == -0.1);
  CHECK(parse<Temperature>("300 K").value() == 26.85);
  CHECK(parse<Temperature>("273.15 K").value() == 0.0);
  CHECK(parse<Temperature>("0 K").value() == -273.15);
  CHECK(parse<Temperature>("-273.15 degC").value() == -273.15);
  CHECK(parse<Temperature>("-459.67 degF").value() == -273.15);
  CHECK(parse<Temperature>("32 degF").value() == 0.0);
  CHECK(parse<Temperature>("212 degF").value() == 100.0);
  CHECK(parse<Temperature>("-40 degF").value() == -40.0);
  CHECK(parse<Temperature>("98.6 degF").value() == 37.0);
  CHECK(parse<Temperature>("14degF").value() == -10.0);
}

TEST_CASE("levels in kelvin and degrees Fahrenheit to the accuracy of a double", "[parse]") {
  std::mt19937_64 random(seed);
  std::uniform_int_distribution<int> hundredths(0, 200000);
  // One rounding of a long double at 2000 K, far below a unit in the last place of the result
  // except close to 0 degC, where this is what remains.
  constexpr double rounding_of_long_double = 2000.0 * 0x1p-63;
  for (int i = 0; i < 20000; ++i) {
    const int value = hundredths(random);
    const std::string number = std::to_string(value / 100) + "." +
                               std::to_string(value % 100 / 10) + std::to_string(value % 10);
    INFO(number);
    const exact_decimal::Number exact(number);
    const auto check = [](double celsius, const exact_decimal::Number& expected) {
      const double error = std::abs(static_cast<double>(exact_decimal::Number(celsius) - expected));
      const double half_ulp = 0.5 * std::abs(celsius) * std::numeric_limits<double>::epsilon();
      return error <= half_ulp + rounding_of_long_double;
    };
    CHECK(
        check(parse<Temperature>(number + " K").value(), exact - exact_decimal::Number("273.15")));
    CHECK(check(parse<Temperature>(number + " degF").value(), (exact - 32) * 5 / 9));
  }
}

// A number with up to `most_digits` digits and a point somewhere, as text.
std::string random_number(std::mt19937_64& random, int most_digits, int most_exponent) {
  std::uniform_int_distribution<int> count(1, most_digits);
  std::uniform_int_distribution<int> digit(0, 9);
  std::uniform_int_distribution<int> exponent(-most_exponent, most_exponent);
  std::uniform_int_distribution<int> coin(0, 1);
  std::string text = coin(random) == 0 ? "-" : "";
  const int digits = count(random);
  const int point = std::uniform_int_distribution<int>(0, digits - 1)(random);
  for (int i = 0; i < digits; ++i) {
    if (i == point && i > 0) {
      text += '.';
    }
    text += static_cast<char>('0' + digit(random));
  }
  return coin(random) == 0 ? text : text + "e" + std::to_string(exponent(random));
}

TEST_CASE("decimal units are rounded once: the result is the nearest double", "[parse]") {
  std::mt19937_64 random(seed);
  constexpr double half = 0.5;
  for (const std::string_view unit : {"um", "m", "km", "mm", "fm", "Tm"}) {
    const UnitScale scale = unit_expression(unit).scale;
    for (int i = 0; i < 4000; ++i) {
      const std::string number = random_number(random, i % 4 == 0 ? 40 : 17, 40);
      const std::string text = number + " " + std::string(unit);
      INFO(text);
      const double read = parse<Length>(text).value();
      CHECK(exact_decimal::error_in_ulp(read, exact_decimal::in_si(number, scale)) <= half);
    }
  }
}

/// The accuracy that parse.hpp promises, in units in the last place.
constexpr double promised = 0.51;

TEST_CASE("other units are read to 0.51 units in the last place", "[parse]") {
  std::mt19937_64 random(seed + 1);
  const auto check = [&random](const QuantityKind& kind, std::string_view unit) {
    const UnitScale scale = unit_expression(unit).scale;
    REQUIRE(!scale.is_decimal());
    double worst = 0.0;
    for (int i = 0; i < 4000; ++i) {
      // Every fourth number is longer than a double can tell, every fifth near the ends of the
      // range.
      const std::string number = random_number(random, i % 4 == 0 ? 40 : 17, i % 5 == 0 ? 250 : 40);
      const double read = detail::parse_value(number + " " + std::string(unit), kind).value();
      worst =
          std::max(worst, exact_decimal::error_in_ulp(read, exact_decimal::in_si(number, scale)));
    }
    INFO(unit);
    CHECK(worst <= promised);
  };
  check(quantity_kind<Angle>, "deg");
  check(quantity_kind<Angle>, "arcmin");
  check(quantity_kind<Angle>, "arcsec");
  check(quantity_kind<Angle>, "rev");
  check(quantity_kind<AngularVelocity>, "rpm");
  check(quantity_kind<AngularVelocity>, "deg/h");
  check(quantity_kind<Time>, "min");
  check(quantity_kind<Time>, "h");
  check(quantity_kind<Length>, "in");
  check(quantity_kind<Length>, "thou");
  check(quantity_kind<Length>, "ft");
  check(quantity_kind<Mass>, "lb");
  check(quantity_kind<Force>, "lbf");
  check(quantity_kind<Pressure>, "psi");
  check(quantity_kind<Torque>, "lbf ft");
  check(quantity_kind<TorsionalStiffness>, "lbf in/deg");
  check(quantity_kind<Density>, "lb/ft3");
  check(quantity_kind<Area>, "in2");
}

TEST_CASE("decimal multiples in units of inch and pound are as exact as they look", "[parse]") {
  // 2.5 in = 63.5 mm and so on, from the definition 1 in = 25.4 mm.
  CHECK(parse<Length>("2.5 in").value() == parse<Length>("63.5 mm").value());
  CHECK(parse<Length>("0.001 in").value() == parse<Length>("1 thou").value());
  CHECK(parse<Length>("1 ft").value() == parse<Length>("12 in").value());
  CHECK(parse<Pressure>("100 psi").value() == parse<Pressure>("100 lbf/in2").value());
  CHECK(parse<Angle>("180 deg").value() == parse<Angle>("0.5 rev").value());
  CHECK(parse<Angle>("1 deg").value() == parse<Angle>("60 arcmin").value());
  CHECK(parse<Angle>("1 arcmin").value() == parse<Angle>("60 arcsec").value());
}

TEST_CASE("zeros at the end of a number change nothing", "[parse]") {
  // 1e126 lies half way between two doubles, but for what a long double cannot hold.
  CHECK(parse<Frequency>("6e127 1/min").value() == parse<Frequency>("60e126 1/min").value());
  CHECK(parse<Frequency>("6e127 1/min").value() == parse<Frequency>("6.0000e127 1/min").value());
  CHECK(parse<Angle>("7e4 deg").value() == parse<Angle>("70000 deg").value());
}

TEST_CASE("numbers longer than a double can tell", "[parse]") {
  // Half way between 1 and the next double is 1 + 2^-53, which rounds to even; a digit that follows
  // after any number of zeros decides. strtod rounds correctly in the GNU C library.
  const std::string half_way = "1.00000000000000011102230246251565404236316680908203125";
  for (const std::size_t zeros : {0U, 10U, 1000U, 100000U}) {
    const std::string above = half_way + std::string(zeros, '0') + "1";
    CHECK(parse<Length>(above + " m").value() == std::strtod(above.c_str(), nullptr));
    CHECK(parse<Length>(above + " m").value() > 1.0);
    CHECK(parse<Length>(half_way + std::string(zeros, '0') + " m").value() == 1.0);
  }
  const std::string thousand_zeros(1000, '0');
  CHECK(parse<Length>("1" + thousand_zeros + "e-1000 m").value() == 1.0);
  CHECK(parse<Length>("0." + thousand_zeros + "1e1001 m").value() == 1.0);
  CHECK(parse<Length>("0." + thousand_zeros + half_way.substr(2) + "1e+1016 m").value() ==
        std::strtod((half_way.substr(17) + "1e-38").c_str(), nullptr));
  CHECK(parse<Angle>("1" + thousand_zeros + "e-1000 rad").value() == 1.0);
  CHECK(parse<Length>("1" + thousand_zeros + "e-1000 in").value() == 0.0254);
  CHECK(!try_parse<Length>("1" + std::string(100000, '0') + " m"));
}

TEST_CASE("the ends of the range of a double", "[parse]") {
  constexpr double least = std::numeric_limits<double>::denorm_min();
  constexpr double greatest = std::numeric_limits<double>::max();
  CHECK(parse<Length>("1.7976931348623157e308 m").value() == greatest);
  CHECK(parse<Length>("1.7976931348623157e317 nm").value() == greatest);
  CHECK(parse<Length>("-1.7976931348623157e308 m").value() == -greatest);
  CHECK(parse<Length>("5e-324 m").value() == least);
  CHECK(parse<Length>("5e-327 km").value() == least);
  CHECK(parse<Angle>("2.9e-322 deg").value() == least);
  for (const std::string_view text :
       {"1.8e308 m", "-1.8e308 m", "1e400 m", "1e306 km", "1e99999999999999999999 m", "1e310 in",
        "1e99999999999999999999 in"}) {
    INFO(text);
    CHECK(!try_parse<Length>(text));
  }
  for (const std::string_view text :
       {"2e-324 m", "1e-400 m", "-1e-400 m", "1e-320 nm", "1e-99999999999999999999 m", "1e-330 in",
        "1e-5000 in", "1e-99999999999999999999 in"}) {
    INFO(text);
    CHECK(!try_parse<Length>(text));
  }
}

TEST_CASE("zero keeps its sign", "[parse]") {
  for (const std::string_view text : {"-0 mm", "-0.0e5 in", "-0e-999 m"}) {
    const double value = parse<Length>(text).value();
    CHECK(value == 0.0);
    CHECK(std::signbit(value));
  }
  CHECK(!std::signbit(parse<Length>("0 mm").value()));
}

TEST_CASE("symmetric bands", "[parse]") {
  for (const std::string_view text : {"\u00B115 um", "+-15 um", " \u00B1 15 um ", "+- 15um"}) {
    INFO(text);
    const Band<Length> band = parse_symmetric_band<Length>(text);
    CHECK(band.low.value() == -1.5e-5);
    CHECK(band.high.value() == 1.5e-5);
  }
  const Band<Length> nothing = parse_symmetric_band<Length>("\u00B10 mm");
  CHECK(!std::signbit(nothing.low.value()));
  CHECK(!std::signbit(nothing.high.value()));
  CHECK(parse_symmetric_band<TemperatureDifference>("+-5 K").high.value() == 5.0);
  CHECK(parse_symmetric_band<Ratio>("\u00B15 %").high.value() == 0.05);
}

// ---- Messages ----------------------------------------------------------------------------------

template <class T>
ParseFailure failure_of(const ParseResult<T>& result) {
  REQUIRE(!result);
  return result.failure();
}

template <class Q>
ParseFailure single(std::string_view text) {
  return failure_of(try_parse<Q>(text));
}

template <class Q>
ParseFailure band(std::string_view text) {
  return failure_of(try_parse_symmetric_band<Q>(text));
}

struct MessageRow {
  ParseFailure (*failure)(std::string_view);
  std::string_view text;
  std::size_t column;
  std::string_view message;
};

void check(const std::vector<MessageRow>& rows) {
  for (const MessageRow& row : rows) {
    INFO(row.text);
    const ParseFailure failure = row.failure(row.text);
    CHECK(failure.message() == row.message);
    CHECK(failure.column == row.column);
  }
}

TEST_CASE("messages on numbers", "[parse][messages]") {
  check({
      {single<Length>, "2.5", 4,
       R"~(a bare number; a length is written with its unit, such as "2.5 mm")~"},
      {single<Temperature>, "20 ", 4,
       R"~(a bare number; a temperature level is written with its unit, such as "-40 degC")~"},
      {single<Ratio>, "0.05", 5,
       R"~(a bare number; a ratio is a number without quotation marks, or written in %, such as "5 %")~"},
      {single<Length>, "", 1, R"~(an empty text; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "  ", 3, R"~(an empty text; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "mm", 1,
       R"~(no number at the beginning of "mm"; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, " nan mm", 2,
       R"~(no number at the beginning of " nan mm"; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "inf mm", 1,
       R"~(no number at the beginning of "inf mm"; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "-mm", 2,
       R"~(no number at the beginning of "-mm"; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "--5 mm", 2,
       R"~(no number at the beginning of "--5 mm"; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "5. mm", 3,
       R"~(a digit must follow the decimal point; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, ". mm", 2,
       R"~(a digit must follow the decimal point; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "12,5 um", 3,
       R"~(a comma in a number; the decimal sign is a point, and thousands are not separated; a length is wanted, such as "12.5 um")~"},
      {single<Length>, ",5 mm", 1,
       R"~(a comma in a number; the decimal sign is a point, and thousands are not separated; a length is wanted, such as ".5 mm")~"},
      // 1.000 mm or 1000 mm: what is meant cannot be known.
      {single<Length>, "1,000 mm", 2,
       R"~(a comma in a number; the decimal sign is a point, and thousands are not separated; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1.2.3 mm", 4,
       R"~(a number has one decimal point, and none in its exponent; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1e2.5 mm", 4,
       R"~(a number has one decimal point, and none in its exponent; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1e mm", 2,
       R"~(the exponent of the number has no digits; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1E+", 2,
       R"~(the exponent of the number has no digits; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1em", 2,
       R"~(unknown unit "em", perhaps "mm" or "km"; a length is wanted, such as "1mm")~"},
      {single<Temperature>, "\u221240 degC", 1,
       R"~(this dash is not the minus sign "-"; a temperature level is wanted, such as "-40 degC")~"},
      {single<Length>, "- 5 mm", 2,
       R"~(a number follows its sign without a blank; a length is wanted, such as "-5 mm")~"},
      {single<Length>, "\u00B115 um", 1,
       R"~(a band stands here instead of a single value; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "+-15 um", 1,
       R"~(a band stands here instead of a single value; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1 000 mm", 3,
       R"~(a digit where a unit should stand; a number has no blanks, separators or fractions in it; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1 1/2 in", 5,
       R"~(a digit where a unit should stand; a number has no blanks, separators or fractions in it; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1/2 in", 3,
       R"~(a digit where a unit should stand; a number has no blanks, separators or fractions in it; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, " 1e400 mm", 2,
       R"~(read " 1e400 mm" which is beyond the range of numbers, 1.8e308 in SI units; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1e-400 mm", 1,
       R"~(read "1e-400 mm" which is too small to be told from zero; a length is wanted, such as "2.5 mm")~"},
  });
}

TEST_CASE("messages on units", "[parse][messages]") {
  check({
      {single<Length>, "5 mM", 3,
       R"~(unknown unit "mM", perhaps "mm" or "Mm"; a length is wanted, such as "5 mm")~"},
      {single<Length>, "5 micron", 3,
       R"~(unknown unit "micron", perhaps "um"; a length is wanted, such as "5 um")~"},
      {single<Length>, "5 furlong", 3,
       R"~(unknown unit "furlong"; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "5 metres_and_some_more", 3,
       R"~(unknown unit "metres_and_some_more"; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "5 \"", 3,
       R"~(unknown unit """, perhaps "in"; a length is wanted, such as "5 in")~"},
      {single<Temperature>, "5 degc", 3,
       R"~(unknown unit "degc", perhaps "degC"; a temperature level is wanted, such as "5 degC")~"},
      {single<Temperature>, "5 \u00B0C", 3,
       "unknown unit \"\u00B0C\", perhaps \"degC\" or \"K\"; a temperature level is wanted, such "
       "as "
       "\"5 degC\""},
      {single<PerKelvin>, "1.15e-05 1/\u00B0C", 12,
       "unknown unit \"\u00B0C\", perhaps \"K\"; a coefficient per kelvin is wanted, such as "
       "\"1.15e-05 1/K\""},
      {single<AngularVelocity>, "1800 RPM", 6,
       R"~(unknown unit "RPM", perhaps "rpm"; a speed of rotation is wanted, such as "1800 rpm")~"},
      {single<AngularVelocity>, "1800 U/min", 6,
       R"~(unknown unit "U", perhaps "rev"; a speed of rotation is wanted, such as "1800 rev/min")~"},
      {single<Torque>, "12 Nm", 4,
       R"~(unknown unit "Nm", perhaps "N m"; a torque is wanted, such as "12 N m")~"},
      {single<TorsionalStiffness>, "3000 Nm/rad", 6,
       R"~(unknown unit "Nm", perhaps "N m"; a torsional stiffness is wanted, such as "3000 N m/rad")~"},
      {single<TorsionalStiffness>, "3000 N.m/rad", 7,
       "\".\" is not a multiplication sign; write a space, \"*\" or \"\u00B7\"; a torsional "
       "stiffness is wanted, such as \"3000 N m/rad\""},
      {single<Length>, "5 mm.", 5,
       "\".\" is not a multiplication sign; write a space, \"*\" or \"\u00B7\"; a length is "
       "wanted, "
       "such as \"5 mm\""},
      {single<Pressure>, "950 mbar", 5,
       R"~(only SI units take a prefix, so "mbar" is no unit; a pressure or stress is wanted, such as "950 hPa")~"},
      {single<Volume>, "250 mL", 5,
       R"~(only SI units take a prefix, so "mL" is no unit; a volume is wanted, such as "250 cm3")~"},
      {single<Conductivity>, "50 W/(m degC)", 9,
       R"~("degC" is a temperature level and stands alone; elsewhere write K; a thermal conductivity is wanted, such as "50 W/(m K)")~"},
      {single<PerKelvin>, "1.15e-05 /K", 10,
       R"~(nothing stands in front of "/"; write 1 there; a coefficient per kelvin is wanted, such as "1.15e-05 1/K")~"},
      {single<Velocity>, "5 m/", 4,
       R"~(a unit is missing here; a velocity is wanted, such as "12 m/s")~"},
      {single<Torque>, "5 N *", 5,
       R"~(a unit is missing here; a torque is wanted, such as "12 N m")~"},
      {single<Inertia>, "5 m2kg", 5,
       R"~(two units touch; write a space between them; a moment of inertia is wanted, such as "5 m2 kg")~"},
      {single<SpecificHeat>, "460 J/kg/K", 9,
       R"~(a second "/"; all that divides stands in one parenthesis after the first, as in "W/(m K)"; a specific heat capacity is wanted, such as "460 J/(kg K)")~"},
      {single<SpecificHeat>, "460 J/kg K", 10,
       R"~(only one unit or one parenthesis follows "/"; all that divides stands in the parenthesis, as in "W/(m K)"; a specific heat capacity is wanted, such as "460 J/(kg K)")~"},
      {single<TorsionalStiffness>, "3000 (N m)/rad", 6,
       R"~(a parenthesis stands only right after "/"; a torsional stiffness is wanted, such as "3000 N m/rad")~"},
      {single<SpecificHeat>, "450 J/(kg K", 12,
       R"~(the parenthesis is not closed; a specific heat capacity is wanted, such as "450 J/(kg K)")~"},
      {single<Length>, "5 mm)", 5,
       R"~(this parenthesis was not opened; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "5 1", 3,
       R"~(1 is a unit only in front of "/", as in "1/K"; a length is wanted, such as "2.5 mm")~"},
      {single<Area>, "5 mm**2", 5,
       R"~("**" is not a power; write "^"; an area is wanted, such as "5 mm^2")~"},
      {single<Area>, "5 mm22", 5,
       R"~(a power is one digit from 2 to 9 right after a unit, as in "mm2"; an area is wanted, such as "1200 mm2")~"},
      {single<PerKelvin>, "5 K^-1", 4,
       R"~(a negative power; divide instead, as in "1/K"; a coefficient per kelvin is wanted, such as "1.15e-05 1/K")~"},
      {single<Torque>, "5 N\u00A0m", 4,
       R"~(this blank is not a plain space (but a tab, a line end or a no-break space); a torque is wanted, such as "5 N m")~"},
      {single<Length>, "5 m m m m m m m m m m m m m m m m m", 35,
       R"~(more than 16 units; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "5 m$", 4,
       R"~(unexpected character "$"; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "5 m\x01", 4,
       "unexpected character \"\uFFFD\"; a length is wanted, such as \"2.5 mm\""},
      {single<Length>, "5 \xFF", 3,
       "unknown unit \"\uFFFD\"; a length is wanted, such as \"2.5 mm\""},
      // Characters are counted, not bytes.
      {single<Length>, "5 \u00B5m \u00B5m \u00B5Q", 9,
       "unknown unit \"\u00B5Q\", perhaps \"um\" or \"ug\"; a length is wanted, such as \"2.5 "
       "mm\""},
  });
}

TEST_CASE("messages on quantities of another kind", "[parse][messages]") {
  check({
      {single<TorsionalStiffness>, "3000 N m", 6,
       R"~(read "3000 N m" which is a torque or an energy; a torsional stiffness is wanted, such as "3000 N m/rad")~"},
      {single<Torque>, "3000 N m/rad", 6,
       R"~(read "3000 N m/rad" which is a torsional stiffness; a torque is wanted, such as "12 N m")~"},
      {single<Length>, "5 mm^2", 3,
       R"~(read "5 mm^2" which is an area; a length is wanted, such as "2.5 mm")~"},
      {single<Angle>, "5 %", 3,
       R"~(read "5 %" which is a ratio; an angle is wanted, such as "20 deg")~"},
      {single<Frequency>, "1800 rpm", 6,
       R"~(read "1800 rpm" which is a speed of rotation; a frequency is wanted, such as "25 Hz")~"},
      {single<Mass>, "5 N", 3,
       R"~(read "5 N" which is a force; a mass is wanted, such as "0.8 kg")~"},
      {single<Length>, "5 kg2 m3/(s7 K)", 3,
       R"~(read "5 kg2 m3/(s7 K)" which is a quantity in kg2 m3/(s7 K); a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "5 1/m", 3,
       R"~(read "5 1/m" which is a quantity in 1/m; a length is wanted, such as "2.5 mm")~"},
      {single<Length>, "1234567890123456789012345678901234567890 s", 42,
       R"~(read "1234567890123456789012345678901234567890..." which is a time; a length is wanted, such as "2.5 mm")~"},
      // speeds
      {single<AngularVelocity>, "1800 1/min", 6,
       R"~(read "1800 1/min" which is a frequency; a speed of rotation is wanted, in rpm, such as "1800 rpm")~"},
      {single<AngularVelocity>, "3000 1/min", 6,
       R"~(read "3000 1/min" which is a frequency; a speed of rotation is wanted, in rpm, such as "3000 rpm")~"},
      {single<AngularVelocity>, "30 1/s", 4,
       R"~(read "30 1/s" which is a frequency; a speed of rotation is wanted, in rpm, such as "1800 rpm")~"},
      {single<AngularVelocity>, "30 Hz", 4,
       R"~(read "30 Hz" which is a frequency; a speed of rotation is wanted, in rpm, such as "1800 rpm")~"},
      // temperatures
      {single<TemperatureDifference>, "7 degC", 3,
       R"~(a temperature level is not a temperature difference; write K, such as "7 K")~"},
      {single<TemperatureDifference>, "9 degF", 3,
       R"~(a temperature level is not a temperature difference; write K, such as "5 K")~"},
      {single<Length>, "5 degC", 3,
       R"~(read "5 degC" which is a temperature level; a length is wanted, such as "2.5 mm")~"},
      {single<Temperature>, "5 mm", 3,
       R"~(read "5 mm" which is a length; a temperature level is wanted, such as "-40 degC")~"},
      {single<Temperature>, "300000 mK", 8,
       R"~(a temperature level is written in degC, degF or K alone, such as "-40 degC")~"},
      {single<Temperature>, "-300 degC", 1,
       R"~(read "-300 degC" which is below absolute zero, -273.15 degC; a temperature level is wanted, such as "-40 degC")~"},
      {single<Temperature>, "-1 K", 1,
       R"~(read "-1 K" which is below absolute zero, -273.15 degC; a temperature level is wanted, such as "-40 degC")~"},
      {single<Temperature>, "-459.68 degF", 1,
       R"~(read "-459.68 degF" which is below absolute zero, -273.15 degC; a temperature level is wanted, such as "-40 degC")~"},
      {single<Temperature>, "1e400 K", 1,
       R"~(read "1e400 K" which is beyond the range of numbers, 1.8e308 in SI units; a temperature level is wanted, such as "-40 degC")~"},
  });
}

TEST_CASE("messages on symmetric bands", "[parse][messages]") {
  check({
      {band<Length>, "15 um", 1,
       "\"\u00B1\" or \"+-\" is missing; a length to both sides is wanted, such as \"\u00B12.5 "
       "mm\""},
      {band<Length>, "", 1,
       "\"\u00B1\" or \"+-\" is missing; a length to both sides is wanted, such as \"\u00B12.5 "
       "mm\""},
      {band<Length>, " +/-15 um", 2,
       "\"\u00B1\" or \"+-\" is missing; a length to both sides is wanted, such as \"\u00B12.5 "
       "mm\""},
      {band<Length>, "\u00B1-15 um", 2,
       "the half width of a band has no sign of its own, such as \"\u00B12.5 mm\""},
      {band<Length>, "+-+15 um", 3,
       "the half width of a band has no sign of its own, such as \"\u00B12.5 mm\""},
      {band<Length>, "\u00B115", 4,
       "a bare number; a length is written with its unit, such as \"\u00B12.5 mm\""},
      {band<Length>, "\u00B115 uM", 5,
       "unknown unit \"uM\", perhaps \"um\"; a length is wanted, such as \"\u00B115 um\""},
      {band<Length>, "+-15 deg", 6,
       R"~(read "+-15 deg" which is an angle; a length is wanted, such as "+-2.5 mm")~"},
      {band<Length>, "\u00B1", 2,
       "no number at the beginning of \"\u00B1\"; a length is wanted, such as \"\u00B12.5 mm\""},
      {band<TemperatureDifference>, "\u00B15 degC", 4,
       "a temperature level is not a temperature difference; write K, such as \"\u00B15 K\""},
  });
}

/// The kind whose name is this one behind its article.
const QuantityKind* kind_named(std::string_view name) {
  const auto matches = [name](const QuantityKind& kind) {
    return kind.name.substr(kind.name.find(' ') + 1) == name;
  };
  if (matches(temperature_level)) {
    return &temperature_level;
  }
  const auto* const found = std::find_if(quantity_kinds.begin(), quantity_kinds.end(), matches);
  return found == quantity_kinds.end() ? nullptr : found;
}

TEST_CASE("the messages in the manual are those of the reader", "[parse][messages][docs]") {
  std::ifstream manual(LASHBAND_SOURCE_DIR "/docs/quantities.md");
  std::size_t rows = 0;
  bool in_errors = false;
  for (std::string line; std::getline(manual, line);) {
    in_errors = in_errors || line == "## Errors";
    if (!in_errors || !line.starts_with("| `")) {
      continue;
    }
    // | `text` | kind | message |
    const std::size_t text_end = line.find("` | ");
    const std::size_t kind_end = line.find(" | ", text_end + 4);
    REQUIRE(kind_end != std::string::npos);
    REQUIRE(line.ends_with(" |"));
    const std::string text = line.substr(3, text_end - 3);
    const std::string kind_name = line.substr(text_end + 4, kind_end - text_end - 4);
    const std::string message = line.substr(kind_end + 3, line.size() - kind_end - 5);
    INFO(line);
    const QuantityKind* const kind = kind_named(kind_name);
    REQUIRE(kind != nullptr);
    const ParseResult<double> result = detail::parse_value(text, *kind);
    REQUIRE(!result);
    CHECK(result.failure().message() == message);
    ++rows;
  }
  CHECK(rows > 0);
}

TEST_CASE("a failure is thrown with its column", "[parse][messages]") {
  try {
    static_cast<void>(parse<TorsionalStiffness>("3000 N m"));
    FAIL("no exception");
  } catch (const ParseError& error) {
    CHECK(error.column() == 6);
    CHECK(error.example() == "3000 N m/rad");
    CHECK(error.reason() ==
          R"~(read "3000 N m" which is a torque or an energy; a torsional stiffness is wanted)~");
    CHECK(std::string(error.what()) == "column 6: " + error.failure().message());
  }
  CHECK_THROWS_AS(parse<Length>("5"), lashband::DomainError);
  CHECK_THROWS_AS(parse_symmetric_band<Length>("5 mm"), lashband::DomainError);
  CHECK_THROWS_AS(try_parse<Length>("5").value(), ParseError);
}

}  // namespace
