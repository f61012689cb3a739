// Every symbol against the published factor, and every prefix against its power of ten.

#include "lashband/units/unit_symbols.hpp"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <sstream>
#include <string>
#include <string_view>

#include "catch.hpp"
#include "lashband/units/parse.hpp"
#include "lashband/units/temperature.hpp"

namespace {

using namespace lashband::units;

template <class Q>
double si(std::string_view text) {
  return parse<Q>(text).value();
}

struct Row {
  std::string_view symbol;
  double (*si_value)(std::string_view);
  double expected;  ///< in coherent SI units
  std::string_view source;
};

constexpr std::string_view si_brochure_table_2 = "SI Brochure, 9th edition (2019), table 2";
constexpr std::string_view si_brochure_table_4 = "SI Brochure, 9th edition (2019), table 4";
constexpr std::string_view si_brochure_table_8 = "SI Brochure, 9th edition (2019), table 8";
constexpr std::string_view sp_811 =
    "NIST SP 811 (2008), appendix B.8, exact factor; recalled, and equal to GNU units 2.22";
constexpr std::string_view sp_811_pi =
    "NIST SP 811 (2008), appendix B.8, as a multiple of pi; recalled, digits by GNU units 2.22";

// The international foot and pound are exact by the agreement of 1959, the pound-force by standard
// gravity (CGPM 1901).
constexpr std::array rows{
    Row{"m", si<Length>, 1.0, si_brochure_table_2},
    Row{"g", si<Mass>, 1e-3, si_brochure_table_2},
    Row{"s", si<Time>, 1.0, si_brochure_table_2},
    Row{"K", si<TemperatureDifference>, 1.0, si_brochure_table_2},
    Row{"rad", si<Angle>, 1.0, si_brochure_table_4},
    Row{"N", si<Force>, 1.0, si_brochure_table_4},
    Row{"Pa", si<Pressure>, 1.0, si_brochure_table_4},
    Row{"J", si<Torque>, 1.0, si_brochure_table_4},
    Row{"W", si<Power>, 1.0, si_brochure_table_4},
    Row{"Hz", si<Frequency>, 1.0, si_brochure_table_4},
    Row{"degC", si<Temperature>, 1.0, si_brochure_table_4},
    // (1 - 32) * 5 / 9
    Row{"degF", si<Temperature>, -17.222222222222222, "NIST SP 811 (2008), appendix B.8; recalled"},
    Row{"min", si<Time>, 60.0, si_brochure_table_8},
    Row{"h", si<Time>, 3600.0, si_brochure_table_8},
    Row{"L", si<Volume>, 1e-3, si_brochure_table_8},
    Row{"bar", si<Pressure>, 1e5, sp_811},
    Row{"cSt", si<KinematicViscosity>, 1e-6, sp_811},
    Row{"rev", si<Angle>, 6.2831853071795865, sp_811_pi},
    Row{"rpm", si<AngularVelocity>, 0.10471975511965977, sp_811_pi},
    Row{"%", si<Ratio>, 1e-2, "ISO 80000-1:2009, 6.5.5; recalled"},
    Row{"deg", si<Angle>, 0.017453292519943296, si_brochure_table_8},
    Row{"arcmin", si<Angle>, 2.9088820866572160e-4, si_brochure_table_8},
    Row{"arcsec", si<Angle>, 4.8481368110953599e-6, si_brochure_table_8},
    Row{"in", si<Length>, 0.0254, sp_811},
    Row{"inch", si<Length>, 0.0254, sp_811},
    Row{"thou", si<Length>, 2.54e-5, sp_811},
    Row{"ft", si<Length>, 0.3048, sp_811},
    Row{"lb", si<Mass>, 0.45359237, sp_811},
    Row{"lbf", si<Force>, 4.4482216152605, sp_811},
    Row{"psi", si<Pressure>, 6894.7572931683613, sp_811},
};

/// The literals above are rounded once, and so is what is read.
constexpr double one_rounding_each = std::numeric_limits<double>::epsilon();

TEST_CASE("every symbol has the published size", "[units]") {
  for (const Row& row : rows) {
    INFO(row.symbol << " (" << row.source << ")");
    CHECK_THAT(row.si_value(std::string("1 ").append(row.symbol)),
               WithinRel(row.expected, one_rounding_each));
  }
}

TEST_CASE("no symbol is without a published size", "[units]") {
  for (const UnitSymbol& symbol : unit_symbols) {
    INFO(symbol.text);
    CHECK(std::any_of(rows.begin(), rows.end(),
                      [&symbol](const Row& row) { return row.symbol == symbol.text; }));
  }
  CHECK(rows.size() == unit_symbols.size());
}

struct PrefixRow {
  std::string_view prefix;
  std::string_view power;
};

// SI Brochure, 9th edition (2019), table 7. Micro is written in three ways.
constexpr std::array prefix_rows{
    PrefixRow{"f", "e-15"}, PrefixRow{"p", "e-12"},     PrefixRow{"n", "e-9"},
    PrefixRow{"u", "e-6"},  PrefixRow{"\u00B5", "e-6"}, PrefixRow{"\u03BC", "e-6"},
    PrefixRow{"m", "e-3"},  PrefixRow{"c", "e-2"},      PrefixRow{"d", "e-1"},
    PrefixRow{"h", "e2"},   PrefixRow{"k", "e3"},       PrefixRow{"M", "e6"},
    PrefixRow{"G", "e9"},   PrefixRow{"T", "e12"},
};

TEST_CASE("every prefix stands before every SI unit", "[units]") {
  CHECK(prefix_rows.size() == unit_prefixes.size());
  for (const PrefixRow& prefix : prefix_rows) {
    for (const std::string_view symbol : {"m", "s", "K", "rad", "N", "Pa", "J", "W", "Hz"}) {
      const std::string unit = std::string(prefix.prefix).append(symbol);
      const UnitExpression read = unit_expression(unit);
      INFO(unit);
      REQUIRE(read.fault == UnitFault::none);
      const QuantityKind* kind = find_kind(read.dimension);
      REQUIRE(kind != nullptr);
      // strtod rounds correctly in the GNU C library, and knows nothing of the code under test.
      const double expected = std::strtod(std::string("7").append(prefix.power).c_str(), nullptr);
      CHECK(detail::parse_value("7 " + unit, *kind).value() == expected);
    }
  }
}

TEST_CASE("a prefix on any other unit is an error", "[units]") {
  for (const UnitSymbol& symbol : unit_symbols) {
    for (const UnitPrefix& prefix : unit_prefixes) {
      const std::string unit = std::string(prefix.text).append(symbol.text);
      INFO(unit);
      const UnitFault fault = unit_expression(unit).fault;
      // "cSt" and the like are symbols of their own; no other prefix and symbol make one together.
      const bool other_symbol = detail::symbol_row(unit) < unit_symbols.size();
      CHECK((fault == UnitFault::none) == (symbol.takes_prefix || other_symbol));
      CHECK((fault == UnitFault::none || fault == UnitFault::prefix_on_non_si_unit));
    }
  }
}

TEST_CASE("no prefixed unit is another unit as well", "[units]") {
  for (const UnitSymbol& symbol : unit_symbols) {
    for (const UnitPrefix& prefix : unit_prefixes) {
      if (symbol.takes_prefix) {
        const std::string unit = std::string(prefix.text).append(symbol.text);
        INFO(unit);
        CHECK(detail::symbol_row(unit) == unit_symbols.size());
        CHECK(&detail::find_prefixed_symbol(unit).symbol() == &symbol);
        CHECK(detail::find_prefixed_symbol(unit).power_of_ten == prefix.power_of_ten);
      }
    }
  }
}

TEST_CASE("the symbols that could be mistaken for prefixed ones", "[units]") {
  CHECK(parse<Time>("2 min").value() == 120.0);               // not milli-inch
  CHECK(parse<KinematicViscosity>("2 cSt").value() == 2e-6);  // not centi-anything
  CHECK(parse<Pressure>("2 Pa").value() == 2.0);              // not peta-anything
  CHECK(parse<Length>("2 ft").value() == 0.6096);             // not femto-anything
  CHECK(parse<Length>("2 m").value() == 2.0);
  CHECK(parse<Time>("2 h").value() == 7200.0);  // not hecto
}

TEST_CASE("the manual names every symbol and prefix", "[units][docs]") {
  std::ifstream file(LASHBAND_SOURCE_DIR "/docs/quantities.md");
  std::ostringstream content;
  content << file.rdbuf();
  const std::string manual = content.str();
  REQUIRE(!manual.empty());
  for (const UnitSymbol& symbol : unit_symbols) {
    INFO(symbol.text);
    CHECK(manual.find("`" + std::string(symbol.text) + "`") != std::string::npos);
  }
  for (const UnitPrefix& prefix : unit_prefixes) {
    INFO(prefix.text);
    CHECK(manual.find("`" + std::string(prefix.text) + "`") != std::string::npos);
  }
}

}  // namespace
