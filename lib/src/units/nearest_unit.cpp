#include "units/nearest_unit.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <numeric>
#include <utility>

#include "lashband/units/unit_symbols.hpp"

namespace lashband::units::detail {

namespace {

struct Misspelling {
  std::string_view text;
  std::string_view unit;
};

// Common ways to write a unit that no measure of nearness would find. Compared without case, except
// for single letters.
constexpr std::array misspellings{
    Misspelling{"\u00B0c", "degC"}, Misspelling{"\u00B0c", "K"},
    Misspelling{"\u2103", "degC"},  Misspelling{"\u2103", "K"},
    Misspelling{"C", "degC"},       Misspelling{"C", "K"},
    Misspelling{"celsius", "degC"}, Misspelling{"celsius", "K"},
    Misspelling{"deg_c", "degC"},   Misspelling{"deg_c", "K"},
    Misspelling{"\u00B0f", "degF"}, Misspelling{"\u2109", "degF"},
    Misspelling{"F", "degF"},       Misspelling{"fahrenheit", "degF"},
    Misspelling{"kelvin", "K"},     Misspelling{"\u00B0", "deg"},
    Misspelling{"\u00BA", "deg"},   Misspelling{"degree", "deg"},
    Misspelling{"degrees", "deg"},  Misspelling{"\u00B0k", "K"},
    Misspelling{"degk", "K"},       Misspelling{"radian", "rad"},
    Misspelling{"radians", "rad"},  Misspelling{"micron", "um"},
    Misspelling{"microns", "um"},   Misspelling{"\u00B5", "um"},
    Misspelling{"\u03BC", "um"},    Misspelling{"mil", "thou"},
    Misspelling{"mils", "thou"},    Misspelling{"inches", "in"},
    Misspelling{"\"", "in"},        Misspelling{"\u2033", "in"},
    Misspelling{"'", "ft"},         Misspelling{"\u2032", "ft"},
    Misspelling{"foot", "ft"},      Misspelling{"feet", "ft"},
    Misspelling{"pound", "lb"},     Misspelling{"pounds", "lb"},
    Misspelling{"lbs", "lb"},       Misspelling{"sec", "s"},
    Misspelling{"second", "s"},     Misspelling{"seconds", "s"},
    Misspelling{"mins", "min"},     Misspelling{"minute", "min"},
    Misspelling{"minutes", "min"},  Misspelling{"hr", "h"},
    Misspelling{"hour", "h"},       Misspelling{"hours", "h"},
    Misspelling{"l", "L"},          Misspelling{"liter", "L"},
    Misspelling{"litre", "L"},      Misspelling{"ml", "cm3"},
    Misspelling{"mbar", "hPa"},     Misspelling{"ksi", "psi"},
    Misspelling{"kpsi", "psi"},     Misspelling{"t", "Mg"},
    Misspelling{"U", "rev"},        Misspelling{"u", "um"},
    Misspelling{"revs", "rev"},     Misspelling{"percent", "%"},
    Misspelling{"meter", "m"},      Misspelling{"metre", "m"},
    Misspelling{"newton", "N"},     Misspelling{"watt", "W"},
    Misspelling{"joule", "J"},      Misspelling{"pascal", "Pa"},
    Misspelling{"hertz", "Hz"},
};

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

std::string lower(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(), [](char c) { return lower(c); });
  return result;
}

/// Nothing is near a text longer than this, in bytes, and the search takes the product of lengths.
constexpr std::size_t longest_unit = 12;

/// Every symbol, then SI symbols with each of the prefixes.
template <std::size_t Count>
std::vector<std::string> units_with(const std::array<std::string_view, Count>& prefixes) {
  std::vector<std::string> units;
  units.reserve(unit_symbols.size() * (1 + Count));
  for (const UnitSymbol& symbol : unit_symbols) {
    units.emplace_back(symbol.text);
  }
  for (const std::string_view prefix : prefixes) {
    for (const UnitSymbol& symbol : unit_symbols) {
      if (symbol.takes_prefix) {
        units.push_back(std::string(prefix).append(symbol.text));
      }
    }
  }
  return units;
}

const std::vector<std::string>& all_units() {
  static const std::vector<std::string> units = [] {
    std::array<std::string_view, unit_prefixes.size()> prefixes{};
    std::transform(unit_prefixes.begin(), unit_prefixes.end(), prefixes.begin(),
                   [](const UnitPrefix& prefix) { return prefix.text; });
    return units_with(prefixes);
  }();
  return units;
}

/// The units that one meets on drawings: SI symbols with an everyday prefix or none, and the
/// others.
const std::vector<std::string>& everyday_units() {
  static const std::vector<std::string> units =
      units_with(std::array<std::string_view, 5>{"m", "k", "u", "M", "G"});
  return units;
}

/// Changed, added, left out or swapped neighbouring bytes that lead from one text to the other
/// (optimal string alignment). Both are of at most `longest_unit` bytes.
std::size_t edit_distance(std::string_view a, std::string_view b) {
  using Row = std::array<std::size_t, longest_unit + 1>;
  Row before_last{};
  Row last{};
  std::iota(last.begin(), last.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    Row row{i};
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t changed = a[i - 1] == b[j - 1] ? 0 : 1;
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + changed});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        row[j] = std::min(row[j], before_last[j - 2] + 1);
      }
    }
    before_last = last;
    last = row;
  }
  return last[b.size()];
}

std::size_t different_characters(std::string_view a, std::string_view b) {
  std::size_t count = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    count += a[i] == b[i] ? 0U : 1U;
  }
  return count;
}

/// Units that differ in the case of letters only, those with the fewest other letters first.
std::vector<std::string> same_but_for_case(std::string_view unknown) {
  std::vector<std::string> found;
  for (const std::string& unit : all_units()) {
    if (unit.size() == unknown.size() && lower(unit) == lower(unknown)) {
      found.push_back(unit);
    }
  }
  std::stable_sort(found.begin(), found.end(), [unknown](const auto& a, const auto& b) {
    return different_characters(a, unknown) < different_characters(b, unknown);
  });
  return found;
}

/// Two or three symbols written without anything between them: "Nm", "mPas", "Nms".
std::string split_into_units(std::string_view unknown, int most_parts) {
  for (std::size_t head = unknown.size(); head > 0; --head) {
    if (!find_prefixed_symbol(unknown.substr(0, head)).is_unit()) {
      continue;
    }
    const std::string_view rest = unknown.substr(head);
    if (rest.empty()) {
      return std::string(unknown);
    }
    if (most_parts > 1) {
      const std::string tail = split_into_units(rest, most_parts - 1);
      if (!tail.empty()) {
        return std::string(unknown.substr(0, head)).append(" ").append(tail);
      }
    }
  }
  return {};
}

std::vector<std::string> nearest_by_edits(std::string_view unknown) {
  // One edit in a short unit, two from four characters on; more would be guessing.
  std::size_t least = unknown.size() < 4 ? 1 : 2;
  std::vector<std::string> found;
  for (const std::string& unit : everyday_units()) {
    const std::size_t distance = edit_distance(unknown, unit);
    // A unit of which nothing is left is no suggestion.
    if (distance > least || distance >= unit.size()) {
      continue;
    }
    if (distance < least) {
      least = distance;
      found.clear();
    }
    found.push_back(unit);
  }
  return found;
}

/// The text with "u" for the micro sign or the Greek letter at its beginning.
std::string with_plain_micro(std::string_view text) {
  for (const std::string_view micro : {"\u00B5", "\u03BC"}) {
    if (text.starts_with(micro)) {
      return std::string("u").append(text.substr(micro.size()));
    }
  }
  return std::string(text);
}

}  // namespace

std::vector<std::string> nearest_units(std::string_view unknown) {
  if (unknown.size() > longest_unit) {
    return {};
  }
  std::vector<std::string> found;
  for (const Misspelling& misspelling : misspellings) {
    const bool letter = misspelling.text.size() == 1;
    if (letter ? misspelling.text == unknown : misspelling.text == lower(unknown)) {
      found.emplace_back(misspelling.unit);
    }
  }
  if (!found.empty()) {
    return found;
  }
  const std::string plain = with_plain_micro(unknown);
  constexpr int most_parts = 3;
  if (std::string parts = split_into_units(plain, most_parts); !parts.empty()) {
    found.push_back(std::move(parts));
  }
  for (std::string& unit : same_but_for_case(plain)) {
    found.push_back(std::move(unit));
  }
  return found.empty() ? nearest_by_edits(plain) : found;
}

}  // namespace lashband::units::detail
