#include "io/table_number.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <system_error>

#include "io/shown_text.hpp"
#include "io/table_text.hpp"
#include "lashband/units/unit_expression.hpp"

namespace lashband::io {
namespace {

using units::detail::is_digit;

bool has_digits(std::string_view text, std::size_t begin, std::size_t count) {
  text = text.substr(std::min(begin, text.size()), count);
  return text.size() == count && std::all_of(text.begin(), text.end(), is_digit);
}

/// A number whose thousands are separated ("1,234.5", "1.234.567", "1 234") without the separators
/// and with a decimal point. Empty for any other text, "1,234" among them, which can be a decimal.
std::string without_thousands(std::string_view text) {
  constexpr std::array<std::string_view, 8> separators_of_thousands{
      ",", ".", " ", "'", "\u2019", "\u00A0", "\u2009", "\u202F"};
  constexpr std::size_t group = 3;
  const std::size_t first = text.starts_with('-') || text.starts_with('+') ? 1 : 0;
  std::size_t at = std::min(text.find_first_not_of("0123456789", first), text.size());
  if (at == first || at - first > group) {
    return {};
  }
  for (const std::string_view separator : separators_of_thousands) {
    std::string number(text.substr(0, at));
    std::size_t groups = 0;
    std::size_t end = at;
    while (text.substr(end).starts_with(separator) &&
           has_digits(text, end + separator.size(), group)) {
      number += text.substr(end + separator.size(), group);
      end += separator.size() + group;
      ++groups;
    }
    const bool has_decimals =
        end < text.size() && (text[end] == '.' || text[end] == ',') && separator[0] != text[end];
    if (has_decimals) {
      const std::string_view decimals = text.substr(end + 1);
      number += '.';
      number += decimals;
      const bool right = !decimals.empty() && has_digits(decimals, 0, decimals.size());
      end = right ? text.size() : end;
    }
    const bool can_be_decimal =
        groups == 1 && !has_decimals && (separator == "," || separator == ".");
    if (groups > 0 && end == text.size() && !can_be_decimal) {
      return number;
    }
  }
  return {};
}

}  // namespace

std::string column_named(const ColumnHead& head) {
  return "column " + shown(head.name);
}

std::string with_decimal_point(std::string_view text) {
  std::string result(text);
  std::replace(result.begin(), result.end(), ',', '.');
  return result;
}

bool proves_decimal_comma(std::string_view text) {
  const std::size_t first = text.find_first_of("0123456789,");
  if (first == std::string_view::npos) {
    return false;
  }
  text = text.substr(first);
  const std::size_t whole = std::min(text.find_first_not_of("0123456789"), text.size());
  constexpr std::size_t group = 3;
  if (whole > group) {
    return true;
  }
  if (whole == text.size() || text[whole] != ',') {
    return false;
  }
  const std::size_t decimals =
      std::min(text.find_first_not_of("0123456789", whole + 1), text.size()) - whole - 1;
  return whole == 0 || text[0] == '0' || decimals != group || whole + 1 + decimals < text.size();
}

std::string read_in(const ColumnHead& head, std::string_view text) {
  return column_named(head) + ": read " + (text.empty() ? "an empty field" : in_quotes(text));
}

std::string no_number(std::string_view text, const ColumnHead& head) {
  std::string words = read_in(head, text);
  if (const std::string number = without_thousands(text); !number.empty()) {
    return words + "; thousands are not separated, write " + number;
  }
  if (text.starts_with('#')) {
    return words + "; comments stand only in front of the head";
  }
  for (const std::string_view dash : {"\u2212", "\u2013", "\u2014"}) {
    if (text.starts_with(dash)) {
      return words + "; this dash is not the minus sign \"-\"";
    }
  }
  double number = 0.0;
  const std::string pointed = with_decimal_point(text);
  const char* end = pointed.data() + pointed.size();
  const auto [number_end, fault] = std::from_chars(pointed.data(), end, number);
  if (fault == std::errc::result_out_of_range && number_end == end) {
    return words + "; needed is 0 or a number from 4.9e-324 to 1.8e308 in size";
  }
  if (fault == std::errc() && !std::isfinite(number)) {
    return words + "; needed is a finite number";
  }
  const std::string_view rest = trimmed(text_between(number_end, end));
  const bool has_unit = fault == std::errc() && !rest.empty() && rest[0] != 'e' && rest[0] != 'E' &&
                        (units::detail::is_letter(rest[0]) || rest[0] == '%' ||
                         static_cast<unsigned char>(rest[0]) >= 0x80U);
  if (has_unit) {
    words += "; needed is a number alone, its unit stands in the head as in ";
    return words + shown(head.name) + " [" + (head.unit.empty() ? "degC" : shown(head.unit)) + ']';
  }
  return words + "; needed is a number";
}

std::optional<double> finite_number(std::string_view text) {
  // std::from_chars takes no plus sign.
  const bool plus = text.size() > 1 && text[0] == '+' && text[1] != '-';
  text.remove_prefix(plus ? 1 : 0);
  double number = 0.0;
  const char* end = text.data() + text.size();
  const auto [number_end, fault] = std::from_chars(text.data(), end, number);
  return fault == std::errc() && number_end == end && std::isfinite(number) ? std::optional(number)
                                                                            : std::nullopt;
}

}  // namespace lashband::io
