#include "io/shown_text.hpp"

#include <array>
#include <charconv>

namespace lashband::io {
namespace {

constexpr std::size_t most_characters_shown = 60;

constexpr unsigned char byte_at(std::string_view text, std::size_t offset) {
  return static_cast<unsigned char>(text[offset]);
}

std::string hexadecimal(char32_t number, std::size_t digits) {
  constexpr std::string_view alphabet = "0123456789abcdef";
  std::string result(digits, '0');
  for (std::size_t i = digits; i-- > 0; number /= 16) {
    result[i] = alphabet[number % 16];
  }
  return result;
}

}  // namespace

Utf8Character utf8_at(std::string_view text, std::size_t offset) {
  const unsigned char first = byte_at(text, offset);
  const Utf8Character broken{1, first, false};
  if (first < 0x80) {
    return {1, first, true};
  }
  std::size_t bytes = 1;
  char32_t code_point = 0;
  char32_t least = 0;  // of the code points that need this many bytes
  if (first >= 0xC0 && first < 0xE0) {
    bytes = 2;
    code_point = first & 0x1Fu;
    least = 0x80;
  } else if (first >= 0xE0 && first < 0xF0) {
    bytes = 3;
    code_point = first & 0x0Fu;
    least = 0x800;
  } else if (first >= 0xF0 && first < 0xF8) {
    bytes = 4;
    code_point = first & 0x07u;
    least = 0x10000;
  } else {
    return broken;
  }
  if (text.size() - offset < bytes) {
    return broken;
  }
  for (std::size_t i = 1; i < bytes; ++i) {
    const unsigned char next = byte_at(text, offset + i);
    if (next < 0x80 || next >= 0xC0) {
      return broken;
    }
    code_point = code_point * 64 + (next & 0x3Fu);
  }
  const bool surrogate = code_point >= 0xD800 && code_point < 0xE000;
  if (code_point < least || surrogate || code_point > 0x10FFFF) {
    return broken;
  }
  return {bytes, code_point, true};
}

bool is_control(char32_t code_point) {
  return code_point < 0x20 || (code_point >= 0x7F && code_point < 0xA0) || code_point == 0x061C ||
         (code_point >= 0x200E && code_point <= 0x200F) ||
         (code_point >= 0x2028 && code_point <= 0x202E) ||
         (code_point >= 0x2066 && code_point <= 0x2069) || code_point == 0xFEFF;
}

std::string shown(std::string_view text) {
  std::string result;
  std::size_t characters = 0;
  for (std::size_t offset = 0; offset < text.size(); ++characters) {
    if (characters == most_characters_shown) {
      return result + "…";
    }
    const Utf8Character character = utf8_at(text, offset);
    if (!character.valid) {
      result += "\\x" + hexadecimal(character.code_point, 2);
    } else if (is_control(character.code_point)) {
      result += "\\u" + hexadecimal(character.code_point, 4);
    } else {
      result += text.substr(offset, character.bytes);
    }
    offset += character.bytes;
  }
  return result;
}

std::string in_quotes(std::string_view text) {
  return '"' + shown(text) + '"';
}

std::string number_text(double number) {
  // The longest shortest text of a double, "-2.2250738585072014e-308", has 24 characters.
  std::array<char, 32> buffer{};
  const auto result = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number);
  return {buffer.data(), result.ptr};
}

}  // namespace lashband::io
