// Writing quantities: exact round trips, the digits that a user sees, tables.

#include "lashband/units/format.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "catch.hpp"
#include "exact_decimal.hpp"
#include "lashband/error.hpp"
#include "lashband/units/parse.hpp"

namespace {

using namespace lashband::units;
using lashband::DomainError;

constexpr std::uint_fast64_t seed = 20240229;
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

// ---- Round trips -------------------------------------------------------------------------------

/// A unit in which quantities are written, with what the reader needs.
struct OfferedUnit {
  std::string text;
  UnitScale scale;
  const QuantityKind* kind = nullptr;
};

OfferedUnit offered(const std::string& text) {
  const UnitExpression unit = unit_expression(text);
  REQUIRE(unit.fault == UnitFault::none);
  const QuantityKind* kind = find_kind(unit.dimension);
  REQUIRE(kind != nullptr);
  return {text, unit.scale, kind};
}

/// Every symbol with every prefix that it takes, and compound units of gear trains. Units of levels
/// are left to a test of their own.
std::vector<OfferedUnit> offered_units() {
  std::vector<OfferedUnit> units;
  for (const UnitSymbol& symbol : unit_symbols) {
    if (symbol.level == LevelScale::celsius || symbol.level == LevelScale::fahrenheit) {
      continue;
    }
    units.push_back(offered(std::string(symbol.text)));
    for (const UnitPrefix& prefix : unit_prefixes) {
      if (symbol.takes_prefix) {
        units.push_back(offered(std::string(prefix.text).append(symbol.text)));
      }
    }
  }
  for (const char* text :
       {"1/K",       "um/(m K)", "mm2",    "cm3",     "m/s",      "kg/m3",   "g/cm3",      "lb/ft3",
        "N m",       "N mm",     "lbf ft", "lbf in",  "N m/rad",  "N m/deg", "lbf in/deg", "N/um",
        "lbf/in",    "kg m2",    "g mm2",  "lb in2",  "J/(kg K)", "W/(m K)", "W/(m2 K)",   "W/K",
        "J/K",       "L/min",    "m3/s",   "rev/s",   "deg/s",    "rad/s",   "1/min",      "N s/m",
        "N m s/rad", "mm2/s",    "Pa s",   "lbf/in2", "in2",      "ft3"}) {
    units.push_back(offered(text));
  }
  return units;
}

bool reads_back(double si_value, const OfferedUnit& unit) {
  const std::string text = detail::format_si(si_value, unit.scale, unit.text);
  const ParseResult<double> read = detail::parse_value(text, *unit.kind);
  return static_cast<bool>(read) &&
         std::bit_cast<std::uint64_t>(read.value()) == std::bit_cast<std::uint64_t>(si_value);
}

/// Any finite double with equal probability for each bit pattern: all exponents alike.
double random_bits(std::mt19937_64& random) {
  double value = nan;
  while (!std::isfinite(value)) {
    value = std::bit_cast<double>(std::uint64_t{random()});
  }
  return value;
}

/// Values at the seams: zeros, both ends of the subnormal and of the normal range, and both
/// neighbours of powers of two and ten.
std::vector<double> special_values() {
  std::vector<double> values{
      0.0, std::numeric_limits<double>::denorm_min(), std::numeric_limits<double>::min(),
      std::nextafter(std::numeric_limits<double>::min(), 0.0), std::numeric_limits<double>::max()};
  for (int power = -1074; power <= 1023; ++power) {
    const double value = std::ldexp(1.0, power);
    values.insert(values.end(),
                  {value, std::nextafter(value, 0.0), std::nextafter(value, infinity)});
  }
  for (int power = -323; power <= 308; ++power) {
    const double value = std::strtod(("1e" + std::to_string(power)).c_str(), nullptr);
    values.insert(values.end(),
                  {value, std::nextafter(value, 0.0), std::nextafter(value, infinity)});
  }
  const std::size_t count = values.size();
  for (std::size_t i = 0; i < count; ++i) {
    values.push_back(-values[i]);
  }
  return values;
}

TEST_CASE("what is written reads back bit by bit: special values in every unit", "[format][slow]") {
  const std::vector<double> values = special_values();
  for (const OfferedUnit& unit : offered_units()) {
    for (const double value : values) {
      if (!reads_back(value, unit)) {
        FAIL_CHECK(value << " does not come back from " << unit.text);
      }
    }
  }
}

TEST_CASE("what is written reads back bit by bit: two million random patterns", "[format][slow]") {
  std::mt19937_64 random(seed);
  const std::vector<OfferedUnit> units = offered_units();
  std::size_t misses = 0;
  constexpr std::size_t patterns = 2'000'000;
  for (std::size_t i = 0; i < patterns; ++i) {
    const double value = random_bits(random);
    const OfferedUnit& unit = units[i % units.size()];
    if (!reads_back(value, unit)) {
      ++misses;
      UNSCOPED_INFO(value << " does not come back from " << unit.text);
    }
  }
  CHECK(misses == 0);
}

TEST_CASE("what is written reads back bit by bit: subnormal patterns in units with a factor",
          "[format]") {
  std::mt19937_64 random(seed + 1);
  constexpr std::uint64_t mantissa = (std::uint64_t{1} << 52U) - 1;
  for (const char* text : {"deg", "rpm", "in", "psi", "m", "nm", "Gm"}) {
    const OfferedUnit unit = offered(text);
    for (int i = 0; i < 2000; ++i) {
      const double value = std::bit_cast<double>(random() & mantissa);
      INFO(value << " in " << text);
      CHECK(reads_back(value, unit));
    }
  }
}

TEST_CASE("temperature levels read back bit by bit", "[format]") {
  std::mt19937_64 random(seed);
  for (int i = 0; i < 20000; ++i) {
    const double level = random_bits(random);
    if (level >= absolute_zero_in_celsius) {
      INFO(level);
      CHECK(parse<Temperature>(format(celsius(level))).value() == level);
    }
  }
}

// ---- Digits ------------------------------------------------------------------------------------

TEST_CASE("quantities come out as they were written", "[format]") {
  CHECK(format(parse<Length>("106.608 mm"), "mm") == "106.608 mm");
  CHECK(format(parse<Length>("106.608 mm"), "m") == "0.106608 m");
  CHECK(format(parse<Length>("12.5 um"), "\u00B5m") == "12.5 \u00B5m");
  CHECK(format(parse<Length>("-110 um"), "um") == "-110 um");
  CHECK(format(parse<PerKelvin>("11.5e-6 1/K"), "1/K") == "1.15e-05 1/K");
  CHECK(format(parse<TorsionalStiffness>("3000 N m/rad"), "N m/rad") == "3000 N m/rad");
  CHECK(format(parse<Pressure>("210 GPa"), "GPa") == "210 GPa");
  CHECK(format(parse<Angle>("20 deg"), "deg") == "20 deg");
  CHECK(format(parse<Angle>("14.999 deg"), "deg") == "14.999 deg");
  CHECK(format(parse<AngularVelocity>("1800 rpm"), "rpm") == "1800 rpm");
  CHECK(format(parse<Length>("2.5 in"), "in") == "2.5 in");
  CHECK(format(parse<Ratio>("5 %"), "%") == "5 %");
  CHECK(format(celsius(-40.0)) == "-40 degC");
  CHECK(format(celsius(26.85)) == "26.85 degC");
  CHECK(format(from_si<Length>(0.0), "mm") == "0 mm");
  CHECK(format(from_si<Length>(-0.0), "mm") == "-0 mm");
}

TEST_CASE("plain digits between 1e-4 and 1e16, powers of ten elsewhere", "[format]") {
  CHECK(format(from_si<Length>(1e-4), "m") == "0.0001 m");
  CHECK(format(from_si<Length>(1.5e-4), "m") == "0.00015 m");
  CHECK(format(from_si<Length>(9.9e-5), "m") == "9.9e-05 m");
  CHECK(format(from_si<Length>(1e-5), "m") == "1e-05 m");
  CHECK(format(from_si<Length>(123.0), "m") == "123 m");
  CHECK(format(from_si<Length>(1e15), "m") == "1000000000000000 m");
  CHECK(format(from_si<Length>(1e16), "m") == "1e+16 m");
  CHECK(format(from_si<Length>(1234567890123456.0), "m") == "1234567890123456 m");
  CHECK(format(from_si<Length>(-1.25e100), "m") == "-1.25e+100 m");
  CHECK(format(from_si<Length>(5e-324), "km") == "5e-327 km");
  // The number of nanometres is beyond a double, but not beyond text.
  CHECK(format(from_si<Length>(1.7976931348623157e308), "nm") == "1.7976931348623157e+317 nm");
}

TEST_CASE("no shorter number reads as the same quantity", "[format]") {
  std::mt19937_64 random(seed + 2);
  // From 5.7 deg on: plain digits.
  std::uniform_real_distribution<double> angle(0.1, 1.0);
  for (int i = 0; i < 1000; ++i) {
    const Angle value = from_si<Angle>(angle(random));
    const std::string written = format(value, "deg");
    const std::string number = written.substr(0, written.find(' '));
    const std::size_t digits = number.size() - number.find('.') - 1;
    INFO(number);
    REQUIRE(digits > 0);
    // The nearest number with one digit less, by the C library.
    std::array<char, 64> shorter{};
    std::snprintf(shorter.data(), shorter.size(), "%.*Lf deg", static_cast<int>(digits) - 1,
                  std::strtold(number.c_str(), nullptr));
    CHECK(parse<Angle>(shorter.data()).value() != value.value());
  }
}

TEST_CASE("the digits in other units are within half of the last one shown", "[format]") {
  std::mt19937_64 random(seed + 3);
  for (const char* text : {"deg", "arcsec", "rpm", "in", "thou", "psi", "lb", "h"}) {
    const OfferedUnit unit = offered(text);
    for (int i = 0; i < 500; ++i) {
      const double value = random_bits(random);
      const std::string written = detail::format_si(value, unit.scale, "");
      // A number that reads back is within half a unit in the last place of the double, plus what
      // the reader may add to that.
      constexpr double half_and_reading = 0.51;
      CHECK(exact_decimal::error_in_ulp(
                value, exact_decimal::in_si(written.substr(0, written.size() - 1), unit.scale)) <=
            half_and_reading);
    }
  }
}

TEST_CASE("a quantity that is no finite number cannot be written", "[format]") {
  for (const double value : {infinity, -infinity, nan}) {
    CHECK_THROWS_AS(format(from_si<Length>(value), "mm"), DomainError);
    CHECK_THROWS_AS(format(from_si<Angle>(value), "deg"), DomainError);
    CHECK_THROWS_AS(format(celsius(value)), DomainError);
    CHECK_THROWS_AS(format_fixed(from_si<Length>(value), "mm", 3), DomainError);
    CHECK_THROWS_AS(format_fixed(celsius(value), "degC", 3), DomainError);
    CHECK_THROWS_AS(value_in(from_si<Length>(value), "mm"), DomainError);
    CHECK_THROWS_AS(value_in(celsius(value), "degF"), DomainError);
  }
  CHECK_THROWS_WITH(format(from_si<Length>(nan), "mm"),
                    "a quantity that is infinite or not a number cannot be written");
}

// ---- Values ------------------------------------------------------------------------------------

std::string shortest(double value) {
  std::array<char, 64> text{};
  return {text.data(), std::to_chars(text.data(), text.data() + text.size(), value).ptr};
}

TEST_CASE("a value from a file is the same value again", "[format][value]") {
  CHECK(shortest(value_in(parse<Length>("106.608 mm"), "mm")) == "106.608");
  CHECK(value_in(parse<Length>("0.1882 mm"), "um") == 188.2);
  CHECK(value_in(parse<Angle>("20 deg"), "deg") == 20.0);
  CHECK(value_in(parse<AngularVelocity>("1800 rpm"), "rpm") == 1800.0);
  CHECK(value_in(parse<AngularVelocity>("1800 rpm"), "rev/s") == 30.0);
  CHECK(value_in(parse<Ratio>("5 %"), "%") == 5.0);
  CHECK(std::signbit(value_in(from_si<Length>(-0.0), "mm")));

  std::mt19937_64 random(seed + 4);
  constexpr std::uint64_t fifteen_digits = 1'000'000'000'000'000;
  std::uniform_int_distribution<std::uint64_t> digits(0, fifteen_digits - 1);
  std::uniform_int_distribution<int> exponent(-30, 10);
  for (int i = 0; i < 20000; ++i) {
    const std::string number =
        std::to_string(digits(random)) + "e" + std::to_string(exponent(random));
    INFO(number);
    // strtod rounds correctly in the GNU C library.
    const double expected = std::strtod(number.c_str(), nullptr);
    CHECK(value_in(parse<Length>(number + " mm"), "mm") == expected);
    CHECK(value_in(parse<Length>(number + " um"), "um") == expected);
    CHECK(value_in(parse<Pressure>(number + " GPa"), "GPa") == expected);
  }
}

TEST_CASE("short numbers in units with a factor are the same again", "[format][value]") {
  std::mt19937_64 random(seed + 5);
  std::uniform_int_distribution<std::uint64_t> digits(0, 999'999'999'999);
  for (int i = 0; i < 20000; ++i) {
    const std::string number = std::to_string(digits(random)) + "e-9";
    INFO(number);
    const double expected = std::strtod(number.c_str(), nullptr);
    CHECK(value_in(parse<Angle>(number + " deg"), "deg") == expected);
    CHECK(value_in(parse<AngularVelocity>(number + " rpm"), "rpm") == expected);
    CHECK(value_in(parse<Length>(number + " in"), "in") == expected);
    CHECK(value_in(parse<Pressure>(number + " psi"), "psi") == expected);
  }
}

TEST_CASE("a value that is read back misses the quantity by one unit in the last place at most",
          "[format][value]") {
  std::mt19937_64 random(seed + 6);
  std::uniform_real_distribution<double> length(0.0, 1.0);
  std::size_t same = 0;
  constexpr std::size_t trials = 20000;
  for (std::size_t i = 0; i < trials; ++i) {
    const Length quantity = from_si<Length>(length(random));
    const double read = parse<Length>(shortest(value_in(quantity, "mm")) + " mm").value();
    CHECK(std::abs(read - quantity.value()) <=
          std::nextafter(quantity.value(), infinity) - quantity.value());
    same += read == quantity.value() ? 1U : 0U;
  }
  CHECK(same > trials / 2);
}

TEST_CASE("a value beyond the range of a double", "[format][value]") {
  CHECK_THROWS_WITH(value_in(from_si<Length>(1e308), "nm"), "the SI value 1e+308 overflows in nm");
  CHECK_THROWS_WITH(value_in(from_si<Length>(-1e-322), "km"),
                    "the SI value -1e-322 vanishes in km");
  CHECK_THROWS_AS(value_in(from_si<Angle>(1e308), "arcsec"), DomainError);
  CHECK_THROWS_AS(value_in(from_si<Length>(5e-324), "ft km2/m2"), DomainError);
  CHECK(value_in(from_si<Length>(1e-320), "km") > 0.0);
}

TEST_CASE("levels on the three scales", "[format][value]") {
  // Fixed points as in the test of reading.
  CHECK(value_in(celsius(-40.0), "degC") == -40.0);
  CHECK(value_in(celsius(-40.0), "degF") == -40.0);
  CHECK(value_in(celsius(37.0), "degF") == 98.6);
  CHECK(value_in(celsius(-273.15), "K") == 0.0);
  CHECK(value_in(celsius(-273.15), "degF") == -459.67);
  CHECK(value_in(celsius(26.85), "K") == 300.0);
  CHECK(value_in(celsius(-40.0), "K") == 233.15);
  CHECK(format_fixed(celsius(-40.0), "K", 2) == "233.15");
  CHECK(format_fixed(celsius(120.0), "degF", 0) == "248");
  CHECK(format_fixed(celsius(-0.04), "degC", 1) == "0.0");
}

// ---- Tables ------------------------------------------------------------------------------------

TEST_CASE("fixed decimals", "[format][fixed]") {
  CHECK(format_fixed(parse<Length>("106.6084 mm"), "mm", 3) == "106.608");
  CHECK(format_fixed(parse<Length>("106.6084 mm"), "mm", 0) == "107");
  CHECK(format_fixed(parse<Length>("106.6 mm"), "mm", 3) == "106.600");
  CHECK(format_fixed(parse<Length>("99.9996 mm"), "mm", 3) == "100.000");
  CHECK(format_fixed(parse<Length>("-0.0004 mm"), "mm", 3) == "0.000");
  CHECK(format_fixed(parse<Length>("-0.0005 mm"), "mm", 3) == "-0.001");
  CHECK(format_fixed(from_si<Length>(-0.0), "mm", 1) == "0.0");
  CHECK(format_fixed(from_si<Length>(0.0), "mm", 0) == "0");
  CHECK(format_fixed(parse<Length>("5e-300 mm"), "mm", 2) == "0.00");
  CHECK(format_fixed(parse<Length>("250 m"), "mm", 1) == "250000.0");
  CHECK(format_fixed(parse<Length>("1 Tm"), "mm", 2) == "1000000000000000.00");
  CHECK(format_fixed(parse<Angle>("20.0049 deg"), "deg", 2) == "20.00");
  CHECK(format_fixed(parse<PerKelvin>("11.5e-6 1/K"), "1/K", 7) == "0.0000115");
  CHECK(format_fixed(parse<Length>("1 um"), "m", 17) == "0.00000100000000000");
}

TEST_CASE("ties go away from zero, on the digits that one sees", "[format][fixed]") {
  // 13.5 um is a little less than 1.35e-5 m as a double, 12.5 um a little more: both are ties for
  // the reader of a table.
  CHECK(format_fixed(parse<Length>("12.5 um"), "um", 0) == "13");
  CHECK(format_fixed(parse<Length>("13.5 um"), "um", 0) == "14");
  CHECK(format_fixed(parse<Length>("-12.5 um"), "um", 0) == "-13");
  CHECK(format_fixed(parse<Length>("0.5 um"), "um", 0) == "1");
  CHECK(format_fixed(parse<Length>("0.4999999999999999 um"), "um", 0) == "0");
  CHECK(format_fixed(parse<Length>("1.005 mm"), "mm", 2) == "1.01");
  CHECK(format_fixed(parse<Angle>("0.125 deg"), "deg", 2) == "0.13");
}

TEST_CASE("numbers from 1e16 on are written with all their digits", "[format][fixed]") {
  CHECK(format_fixed(from_si<Length>(9999999999999998.0), "m", 1) == "9999999999999998.0");
  CHECK(format_fixed(from_si<Length>(1e16), "m", 1) == "1e+16");
  CHECK(format_fixed(from_si<Length>(-1.25e300), "mm", 3) == "-1.25e+303");
}

TEST_CASE("fixed decimals agree with the C library", "[format][fixed]") {
  std::mt19937_64 random(seed + 7);
  std::uniform_real_distribution<double> value(-1000.0, 1000.0);
  for (int i = 0; i < 20000; ++i) {
    const double x = value(random);
    // Up to 9 decimals: then 13 digits at most are shown, and a difference between the value and
    // its shortest digits (in the 17th) could only be seen on a tie, of which there are none here.
    const int decimals = i % 10;
    std::array<char, 64> expected{};
    std::snprintf(expected.data(), expected.size(), "%.*f", decimals, x);
    std::string text = expected.data();
    const bool zero = text.find_first_of("123456789") == std::string::npos;
    text = zero && text[0] == '-' ? text.substr(1) : text;
    CHECK(format_fixed(from_si<Length>(x), "m", decimals) == text);
  }
}

TEST_CASE("a number of decimals that makes no sense", "[format][fixed]") {
  CHECK_THROWS_WITH(format_fixed(from_si<Length>(1.0), "m", -1),
                    "a number is written with 0 to 17 decimals, not with -1");
  CHECK_THROWS_AS(format_fixed(from_si<Length>(1.0), "m", 18), DomainError);
  CHECK_THROWS_AS(format_fixed(celsius(1.0), "degC", 18), DomainError);
}

TEST_CASE("the unit may be chosen at run time among units of the type", "[format]") {
  for (const bool inch : {false, true}) {
    const Unit<Length> unit = inch ? Unit<Length>("in") : Unit<Length>("mm");
    CHECK(format(parse<Length>("50.8 mm"), unit) == (inch ? "2 in" : "50.8 mm"));
  }
}

}  // namespace
