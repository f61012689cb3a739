#pragma once

#include <string>
#include <string_view>

// Texts of the user's file within markup.
namespace lashband::report {

/// The characters of UTF-8 text; U+FFFD for each byte that is no part of one (RFC 3629).
[[nodiscard]] std::u32string code_points(std::string_view text);

/// `text` for HTML, as content of an element or as a quoted attribute value: & < > " ' become
/// character references, and what may not stand in markup or would reorder the text after it
/// becomes U+FFFD: control characters (tab and line feed stay, carriage return becomes a
/// reference), broken bytes, noncharacters, line and paragraph separators and the characters that
/// open and close embeddings, overrides and isolates of direction (UAX #9).
[[nodiscard]] std::string escaped(std::string_view text);

/// escaped(text) as a word of a sentence: text with characters written from right to left stands
/// between U+2068 and U+2069, so that it does not turn its neighbours around.
[[nodiscard]] std::string isolated(std::string_view text);

}  // namespace lashband::report
