#include "terminal_table.hpp"

#include <algorithm>
#include <cstdint>

namespace lashband::report {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";  // U+FFFD

struct CodePoint {
  std::uint32_t value;
  std::size_t bytes;
};

// Next code point of valid UTF-8; a stray byte counts as one of its own.
CodePoint next(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
  };
  const unsigned lead = byte(at);
  const std::size_t length = lead < 0x80U ? 1 : lead < 0xE0U ? 2 : lead < 0xF0U ? 3 : 4;
  if (length == 1 || at + length > text.size()) {
    return {lead, 1};
  }
  std::uint32_t value = lead & (0x7FU >> length);
  for (std::size_t i = 1; i < length; ++i) {
    value = (value << 6U) | (byte(at + i) & 0x3FU);
  }
  return {value, length};
}

bool steers_terminal(std::uint32_t c) {
  return c < 0x20 || (c >= 0x7F && c < 0xA0) || (c >= 0x200B && c <= 0x200F) ||
         (c >= 0x2028 && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069) || c == 0xFEFF;
}

}  // namespace

std::string printable(std::string_view text) {
  std::string result;
  for (std::size_t at = 0; at < text.size();) {
    const CodePoint c = next(text, at);
    result += steers_terminal(c.value) ? replacement : text.substr(at, c.bytes);
    at += c.bytes;
  }
  return result;
}

std::size_t columns_of(std::string_view text) {
  std::size_t columns = 0;
  for (std::size_t at = 0; at < text.size(); at += next(text, at).bytes) {
    ++columns;
  }
  return columns;
}

std::string left(std::string_view text, std::size_t width) {
  std::string result;
  std::size_t columns = columns_of(text);
  if (columns <= width) {
    result = text;
  } else {
    std::size_t at = 0;
    for (columns = 0; columns + 1 < width; ++columns) {
      at += next(text, at).bytes;
    }
    result = std::string(text.substr(0, at)) + "…";
    ++columns;
  }
  return result + std::string(width - columns, ' ');
}

std::string right(std::string_view text, std::size_t width) {
  const std::size_t columns = columns_of(text);
  return std::string(columns < width ? width - columns : 0, ' ') + std::string(text);
}

std::string wrapped(std::string_view text, std::size_t indent) {
  const std::size_t leading = std::min(text.find_first_not_of(' '), text.size());
  std::string result(leading, ' ');
  std::size_t column = leading;
  bool first = true;
  for (std::size_t at = leading; at < text.size();) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string_view word = text.substr(at, end - at);
    const std::size_t width = columns_of(word);
    if (!first && column + 1 + width > terminal_width) {
      result += '\n';
      result.append(indent, ' ');
      column = indent;
    } else if (!first) {
      result += ' ';
      ++column;
    }
    first = false;
    result += word;
    column += width;
    at = end + 1;
  }
  return result + '\n';
}

}  // namespace lashband::report
