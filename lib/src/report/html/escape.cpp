#include "escape.hpp"

#include <algorithm>

namespace lashband::report {
namespace {

constexpr char32_t replacement = 0xFFFD;

constexpr bool in_range(char32_t c, char32_t first, char32_t last) {
  return c >= first && c <= last;
}

bool may_not_stand(char32_t c) {
  const bool control = (c < 0x20 && c != '\t' && c != '\n' && c != '\r') || in_range(c, 0x7F, 0x9F);
  const bool noncharacter = (c & 0xFFFEU) == 0xFFFEU || in_range(c, 0xFDD0, 0xFDEF);
  const bool breaks_line = c == 0x2028 || c == 0x2029;
  const bool sets_direction = in_range(c, 0x202A, 0x202E) || in_range(c, 0x2066, 0x2069);
  return control || noncharacter || breaks_line || sets_direction;
}

// The blocks of scripts written from right to left, and the marks that say so.
bool runs_from_the_right(char32_t c) {
  return c == 0x200F || c == 0x061C || in_range(c, 0x0590, 0x08FF) || in_range(c, 0xFB1D, 0xFDFF) ||
         in_range(c, 0xFE70, 0xFEFE) || in_range(c, 0x10800, 0x10FFF) ||
         in_range(c, 0x1E800, 0x1EFFF);
}

void append_utf8(std::string& out, char32_t c) {
  const auto put = [&out](char32_t byte) { out += static_cast<char>(byte); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0U | (c >> 6U));
    put(0x80U | (c & 0x3FU));
  } else if (c < 0x10000) {
    put(0xE0U | (c >> 12U));
    put(0x80U | ((c >> 6U) & 0x3FU));
    put(0x80U | (c & 0x3FU));
  } else {
    put(0xF0U | (c >> 18U));
    put(0x80U | ((c >> 12U) & 0x3FU));
    put(0x80U | ((c >> 6U) & 0x3FU));
    put(0x80U | (c & 0x3FU));
  }
}

}  // namespace

std::u32string code_points(std::string_view text) {
  std::u32string result;
  for (std::size_t at = 0; at < text.size();) {
    const auto byte = [&](std::size_t i) -> char32_t {
      return i < text.size() ? static_cast<unsigned char>(text[i]) : 0;
    };
    const char32_t lead = byte(at);
    const std::size_t length = lead < 0x80                  ? 1
                               : in_range(lead, 0xC2, 0xDF) ? 2
                               : in_range(lead, 0xE0, 0xEF) ? 3
                               : in_range(lead, 0xF0, 0xF4) ? 4
                                                            : 0;
    char32_t value = length < 2 ? lead : lead & (0x7FU >> length);
    bool whole = length > 0;
    for (std::size_t i = 1; i < length; ++i) {
      whole = whole && (byte(at + i) & 0xC0U) == 0x80U;
      value = (value << 6U) | (byte(at + i) & 0x3FU);
    }
    const bool overlong = (length == 3 && value < 0x800) || (length == 4 && value < 0x10000);
    whole = whole && !overlong && !in_range(value, 0xD800, 0xDFFF) && value <= 0x10FFFF;
    result += whole ? value : replacement;
    at += whole ? length : 1;
  }
  return result;
}

std::string escaped(std::string_view text) {
  std::string result;
  for (const char32_t c : code_points(text)) {
    switch (c) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      case '"':
        result += "&quot;";
        break;
      case '\'':
        result += "&#39;";
        break;
      case '\r':
        result += "&#13;";
        break;
      default:
        append_utf8(result, may_not_stand(c) ? replacement : c);
    }
  }
  return result;
}

std::string isolated(std::string_view text) {
  const std::u32string characters = code_points(text);
  const bool turns = std::any_of(characters.begin(), characters.end(), runs_from_the_right);
  if (!turns) {
    return escaped(text);
  }
  constexpr char32_t first_strong_isolate = 0x2068;
  constexpr char32_t pop_directional_isolate = 0x2069;
  std::string result;
  append_utf8(result, first_strong_isolate);
  result += escaped(text);
  append_utf8(result, pop_directional_isolate);
  return result;
}

}  // namespace lashband::report
