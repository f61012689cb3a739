#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// Text of the user's file as it is shown in messages: harmless to a terminal and never long.
namespace lashband::io {

/// A character of UTF-8 text, or a byte that is no part of one.
struct Utf8Character {
  std::size_t bytes = 1;    ///< how many bytes it takes
  char32_t code_point = 0;  ///< the byte itself where `valid` is false
  bool valid = false;
};

/// The character that begins at `offset`, which lies within `text`. Overlong forms, surrogates and
/// code points above U+10FFFF are not valid (RFC 3629).
[[nodiscard]] Utf8Character utf8_at(std::string_view text, std::size_t offset);

/// Whether the character would move a cursor, hide or reorder text: controls of ASCII and Latin-1,
/// line and paragraph separator, and the directional controls of Unicode.
[[nodiscard]] bool is_control(char32_t code_point);

/// `text` with control characters and broken bytes as escapes such as \u001b, cut after 60
/// characters with "…".
[[nodiscard]] std::string shown(std::string_view text);

/// shown(text) in double quotes.
[[nodiscard]] std::string in_quotes(std::string_view text);

/// The shortest text that reads back as `number`.
[[nodiscard]] std::string number_text(double number);

}  // namespace lashband::io
