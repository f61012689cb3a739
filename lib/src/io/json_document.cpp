#include "io/json_document.hpp"

#include <algorithm>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <unordered_map>
#include <utility>

#include "io/shown_text.hpp"

// nlohmann's parser decides what is JSON; it calls `TreeBuilder` for every token but tells no
// place. The builder therefore follows it through the text: between two tokens stand only blanks,
// comments, commas and colons, and the end of a token is plain to see in text that the parser has
// accepted. After a syntax error the rest of the text is looked at from the last good token on, so
// that the message can say what a person would.
namespace lashband::io::json {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
constexpr std::size_t most_characters_of_a_word = 24;
constexpr const char* allowed_encoding =
    "allowed is UTF-8 text (a file in UTF-16 must be saved as UTF-8)";

bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
}

bool is_of_number(char c) {
  return is_digit(c) || c == '+' || c == '-' || c == '.' || c == 'e' || c == 'E';
}

bool starts_value(char c) {
  return c == '"' || c == '{' || c == '[' || c == '-' || is_digit(c) || is_letter(c);
}

std::size_t start_of_text(std::string_view text) {
  return text.substr(0, byte_order_mark.size()) == byte_order_mark ? byte_order_mark.size() : 0;
}

/// The first place from `offset` on that is neither blank nor comment; the start of a comment that
/// does not end, or of a lone slash.
std::size_t skip_blanks(std::string_view text, std::size_t offset) {
  while (offset < text.size()) {
    if (is_blank(text[offset])) {
      ++offset;
    } else if (text.substr(offset, 2) == "//") {
      offset = std::min(text.find_first_of("\r\n", offset), text.size());
    } else if (text.substr(offset, 2) == "/*") {
      const std::size_t end = text.find("*/", offset + 2);
      if (end == std::string_view::npos) {
        return offset;
      }
      offset = end + 2;
    } else {
      return offset;
    }
  }
  return offset;
}

/// The end of the number that begins at `begin`, by the grammar of JSON; empty where none begins.
std::optional<std::size_t> end_of_number(std::string_view text, std::size_t begin) {
  std::size_t end = begin;
  const auto skip_digits = [&] {
    const std::size_t first = end;
    while (end < text.size() && is_digit(text[end])) {
      ++end;
    }
    return end > first;
  };
  if (text.substr(end, 1) == "-") {
    ++end;
  }
  if (text.substr(end, 1) == "0") {
    ++end;
  } else if (!skip_digits()) {
    return std::nullopt;
  }
  if (text.substr(end, 1) == ".") {
    ++end;
    if (!skip_digits()) {
      return std::nullopt;
    }
  }
  if (text.substr(end, 1) == "e" || text.substr(end, 1) == "E") {
    ++end;
    if (text.substr(end, 1) == "+" || text.substr(end, 1) == "-") {
      ++end;
    }
    if (!skip_digits()) {
      return std::nullopt;
    }
  }
  return end;
}

/// How the innermost open list or object stands.
enum class Awaits { value, first_key_or_end, first_item_or_end, after_key, after_value, nothing };

struct Open {
  Value* value = nullptr;
  Awaits awaits = Awaits::value;
};

std::string shown_at(std::string_view text, std::size_t offset) {
  if (offset >= text.size()) {
    return "the end of the file";
  }
  const Utf8Character character = utf8_at(text, offset);
  if (!character.valid) {
    return "the byte " + shown(text.substr(offset, 1)) + ", which is not UTF-8";
  }
  if (text[offset] == '"') {
    const std::size_t end = text.find_first_of("\"\r\n", offset + 1);
    return in_quotes(text.substr(offset + 1, std::min(end, text.size()) - offset - 1));
  }
  std::size_t end = offset;
  while (end < text.size() && end - offset < most_characters_of_a_word &&
         (is_letter(text[end]) || is_of_number(text[end]))) {
    ++end;
  }
  return shown(text.substr(offset, std::max(end - offset, character.bytes)));
}

/// Finds out what is wrong with a text from the last good token on.
class Diagnosis {
 public:
  Diagnosis(std::string_view text, const std::vector<Open>& open) : text_(text), open_(open) {}

  /// `cursor` is the end of the last good token.
  [[nodiscard]] SyntaxProblem problem(std::size_t cursor, Awaits awaits) const {
    SyntaxProblem problem = located(skip_blanks(text_, cursor), awaits);
    for (std::size_t i = 0; i < open_.size(); ++i) {
      step_into(problem.pointer, open_[i], i + 1 == open_.size());
    }
    return problem;
  }

 private:
  static void step_into(std::string& pointer, const Open& open, bool innermost) {
    if (const auto* object = std::get_if<Object>(&open.value->data)) {
      if (!object->empty() && (!innermost || open.awaits == Awaits::after_key)) {
        pointer = pointer_to(pointer, object->back().key);
      }
    } else if (const auto* list = std::get_if<List>(&open.value->data)) {
      if (!innermost) {
        pointer = pointer_to(pointer, list->size() - 1);
      }
    }
  }

  [[nodiscard]] bool in_object() const {
    return !open_.empty() && std::holds_alternative<Object>(open_.back().value->data);
  }

  [[nodiscard]] SyntaxProblem located(std::size_t at, Awaits awaits) const {
    if (at < text_.size() && text_[at] == '/') {
      return slash(at);
    }
    if (at < text_.size() && text_[at] == '#') {
      return {at, "", "read #; allowed are comments that begin with // or stand in /* */"};
    }
    switch (awaits) {
      case Awaits::value:
        return value(at, false);
      case Awaits::first_key_or_end:
        return at < text_.size() && text_[at] == '"' ? string(at)
                                                     : expected(at, "a key in double quotes or }");
      case Awaits::first_item_or_end:
        return value(at, false);
      case Awaits::after_key:
        if (at < text_.size() && text_[at] == ':') {
          return after_separator(at, true);
        }
        return expected(at, "a colon between the key and its value");
      case Awaits::after_value:
        if (at < text_.size() && text_[at] == ',') {
          return after_separator(at, !in_object());
        }
        return after_value(at);
      case Awaits::nothing:
        break;
    }
    if (at < text_.size() && text_[at] == '\0') {
      return not_utf8(at);
    }
    return {
        at, "",
        "read " + shown_at(text_, at) +
            " after the end of the input; allowed is one object in braces and nothing after it"};
  }

  [[nodiscard]] SyntaxProblem after_separator(std::size_t separator, bool awaits_value) const {
    const std::size_t at = skip_blanks(text_, separator + 1);
    if (at < text_.size() && text_[at] == '/') {
      return slash(at);
    }
    const bool comma = text_[separator] == ',';
    if (comma && at < text_.size() && (text_[at] == '}' || text_[at] == ']')) {
      return {separator, "",
              std::string("read a comma before ") + text_[at] +
                  "; a comma is allowed only between two entries, not after the last one"};
    }
    if (awaits_value) {
      return value(at, true);
    }
    if (at < text_.size() && text_[at] == '"') {
      return string(at);
    }
    return expected(at, "a key in double quotes");
  }

  [[nodiscard]] SyntaxProblem after_value(std::size_t at) const {
    const std::string closing = in_object() ? "}" : "]";
    // "020" is the number 0 and the number 20 with nothing in between.
    std::size_t begin = at;
    while (begin > 0 && is_of_number(text_[begin - 1])) {
      --begin;
    }
    const bool touches_number = begin < at && (is_digit(text_[begin]) || text_[begin] == '-');
    if (touches_number && at < text_.size() && (is_of_number(text_[at]) || is_letter(text_[at]))) {
      return number(begin);
    }
    if (at < text_.size() && starts_value(text_[at])) {
      return {at, "",
              "read " + shown_at(text_, at) + " where a comma is missing; allowed are a comma or " +
                  closing};
    }
    return expected(at, "a comma or " + closing);
  }

  [[nodiscard]] SyntaxProblem expected(std::size_t at, const std::string& what) const {
    if (at >= text_.size()) {
      return truncated();
    }
    if (text_[at] == '\0' || (at == 0 && !utf8_at(text_, at).valid)) {
      return not_utf8(at);
    }
    if (text_[at] == '\'') {
      return single_quote(at);
    }
    return {at, "", "read " + shown_at(text_, at) + "; allowed is " + what};
  }

  [[nodiscard]] SyntaxProblem truncated() const {
    if (open_.empty()) {
      return {text_.size(), "",
              "the file is empty; allowed is one object in braces, such as { \"lashband\": 1, … }"};
    }
    const LineAndColumn begin = Places(text_).at(open_.back().value->offset);
    return {text_.size(), "",
            std::string("the file ends within the ") + (in_object() ? "object" : "list") +
                " that begins at line " + std::to_string(begin.line) + ", column " +
                std::to_string(begin.column) + "; " + (in_object() ? "}" : "]") + " is missing"};
  }

  [[nodiscard]] SyntaxProblem slash(std::size_t at) const {
    if (text_.substr(at, 2) == "/*") {
      return {at, "", "the comment that begins here does not end; */ is missing"};
    }
    return {at, "", "read /; allowed are comments that begin with // or stand in /* */"};
  }

  /// What a text in UTF-16 begins with or is full of.
  [[nodiscard]] SyntaxProblem not_utf8(std::size_t at) const {
    return {at, "",
            std::string("read ") + (text_[at] == '\0' ? "a zero byte" : "a byte that is no text") +
                "; " + allowed_encoding};
  }

  [[nodiscard]] static SyntaxProblem single_quote(std::size_t at) {
    return {at, "", "read '; allowed are double quotes around keys and strings"};
  }

  [[nodiscard]] SyntaxProblem value(std::size_t at, bool after_something) const {
    if (at >= text_.size()) {
      return truncated();
    }
    const char c = text_[at];
    if (c == '"') {
      return string(at);
    }
    if (is_digit(c) || c == '-' || c == '+' || c == '.') {
      return number(at);
    }
    if (is_letter(c)) {
      return {at, "",
              "read " + shown_at(text_, at) +
                  "; allowed are strings in double quotes, numbers, true, false, null, lists and "
                  "objects"};
    }
    return expected(at, after_something || !open_.empty() ? "a value" : "one object in braces");
  }

  [[nodiscard]] SyntaxProblem number(std::size_t at) const {
    std::size_t end = at;
    while (end < text_.size() && (is_of_number(text_[end]) || is_letter(text_[end]))) {
      ++end;
    }
    const std::string read = "read " + shown(text_.substr(at, end - at));
    // A number that the parser has refused though it is written well is too large.
    if (end_of_number(text_, at) == end) {
      return {at, "", read + "; allowed are numbers up to 1.7976931348623157e308 either side of 0"};
    }
    return {at, "",
            read + ", which is not a number; allowed are forms such as 12, -0.5 and 1.2e-5"};
  }

  /// A string that the parser has refused.
  [[nodiscard]] SyntaxProblem string(std::size_t begin) const {
    bool awaits_low_surrogate = false;
    std::size_t high_surrogate = 0;
    for (std::size_t at = begin + 1; at < text_.size();) {
      const char c = text_[at];
      const bool is_escape = c == '\\';
      std::size_t step = 1;
      bool low_surrogate = false;
      if (is_escape) {
        const std::string_view escape = text_.substr(at, 2);
        const bool is_code = escape == "\\u";
        step = is_code ? 6 : 2;
        const std::optional<char32_t> code = is_code ? code_of(text_.substr(at + 2, 4)) : 0;
        if (escape.size() < 2 ||
            std::string_view("\"\\/bfnrtu").find(escape[1]) == std::string_view::npos || !code) {
          return {at, "",
                  "read " + shown(text_.substr(at, step)) +
                      R"( in a string; allowed are the escapes \" \\ \/ \b \f \n \r \t and \uXXXX)"
                      " with four hexadecimal digits"};
        }
        low_surrogate = *code >= 0xDC00 && *code < 0xE000;
        if (low_surrogate && !awaits_low_surrogate) {
          return lone_surrogate(at);
        }
        if (*code >= 0xD800 && *code < 0xDC00) {
          if (awaits_low_surrogate) {
            return lone_surrogate(high_surrogate);
          }
          awaits_low_surrogate = true;
          high_surrogate = at;
          at += step;
          continue;
        }
      }
      if (awaits_low_surrogate && !low_surrogate) {
        return lone_surrogate(high_surrogate);
      }
      awaits_low_surrogate = false;
      if (is_escape) {
        at += step;
        continue;
      }
      if (c == '"') {
        break;
      }
      if (c == '\n' || c == '\r') {
        return {begin, "", "the string that begins here does not end on its line; \" is missing"};
      }
      if (c == '\0') {
        return not_utf8(at);
      }
      if (static_cast<unsigned char>(c) < 0x20) {
        return {at, "",
                "read the control character " + shown(text_.substr(at, 1)) +
                    " in a string; allowed is its escape, written as shown"};
      }
      const Utf8Character character = utf8_at(text_, at);
      if (!character.valid) {
        return {at, "",
                "read the byte " + shown(text_.substr(at, 1)) +
                    " in a string; allowed is UTF-8 text (save the file as UTF-8)"};
      }
      at += character.bytes;
    }
    return {begin, "", "the file ends within the string that begins here; \" is missing"};
  }

  [[nodiscard]] SyntaxProblem lone_surrogate(std::size_t at) const {
    return {at, "",
            "read " + shown(text_.substr(at, 6)) +
                ", half of a character; allowed is a pair such as \\ud83d\\ude00"};
  }

  [[nodiscard]] static std::optional<char32_t> code_of(std::string_view digits) {
    char32_t code = 0;
    for (const char c : digits) {
      const char lower = is_letter(c) ? static_cast<char>(c | 0x20) : c;
      if (is_digit(lower)) {
        code = code * 16 + static_cast<char32_t>(lower - '0');
      } else if (lower >= 'a' && lower <= 'f') {
        code = code * 16 + static_cast<char32_t>(lower - 'a' + 10);
      } else {
        return std::nullopt;
      }
    }
    return digits.size() == 4 ? std::optional(code) : std::nullopt;
  }

  std::string_view text_;
  const std::vector<Open>& open_;
};

/// Receives nlohmann's tokens; makes the tree.
class TreeBuilder : public nlohmann::json_sax<nlohmann::json> {
 public:
  explicit TreeBuilder(std::string_view text) : text_(text), cursor_(start_of_text(text)) {}

  [[nodiscard]] Parsed take() { return std::move(parsed_); }

  bool null() override { return scalar(Null{}); }
  bool boolean(bool value) override { return scalar(value); }
  bool number_integer(number_integer_t value) override {
    return scalar(static_cast<double>(value));
  }
  bool number_unsigned(number_unsigned_t value) override {
    return scalar(static_cast<double>(value));
  }
  bool number_float(number_float_t value, const string_t& /*text*/) override {
    return scalar(value);
  }
  bool string(string_t& value) override { return scalar(std::move(value)); }
  bool binary(binary_t& /*value*/) override { return false; }  // text has none
  bool start_object(std::size_t /*size*/) override {
    return open(Object{}, Awaits::first_key_or_end);
  }
  bool start_array(std::size_t /*size*/) override {
    return open(List{}, Awaits::first_item_or_end);
  }
  bool end_object() override {
    report_duplicates();
    return close();
  }
  bool end_array() override { return close(); }

  bool key(string_t& value) override {
    const std::size_t begin = token_begin();
    cursor_ = token_end(begin);
    std::get<Object>(open_.back().value->data).push_back({std::move(value), begin, {}});
    open_.back().awaits = Awaits::after_key;
    return true;
  }

  bool parse_error(std::size_t /*position*/, const std::string& /*token*/,
                   const nlohmann::detail::exception& /*error*/) override {
    const Awaits awaits = !open_.empty() ? open_.back().awaits
                          : parsed_.root ? Awaits::nothing
                                         : Awaits::value;
    fail(Diagnosis(text_, open_).problem(cursor_, awaits));
    return false;
  }

 private:
  void fail(SyntaxProblem problem) {
    parsed_.problems.push_back(std::move(problem));
    parsed_.root.reset();
    open_.clear();
  }

  [[nodiscard]] std::size_t token_begin() const {
    std::size_t begin = skip_blanks(text_, cursor_);
    while (begin < text_.size() && (text_[begin] == ',' || text_[begin] == ':')) {
      begin = skip_blanks(text_, begin + 1);
    }
    return begin;
  }

  /// The end of a string, word or number that the parser has accepted.
  [[nodiscard]] std::size_t token_end(std::size_t begin) const {
    std::size_t end = begin;
    if (text_[begin] == '"') {
      ++end;
      while (end < text_.size() && text_[end] != '"') {
        end += text_[end] == '\\' ? 2U : 1U;
      }
      return std::min(end + 1, text_.size());
    }
    for (const std::string_view word : {"true", "false", "null"}) {
      if (text_.substr(begin, word.size()) == word) {
        return begin + word.size();
      }
    }
    return end_of_number(text_, begin).value_or(begin);
  }

  /// Puts a value where the innermost open list or object awaits one.
  Value& place(Value value) {
    if (open_.empty()) {
      return parsed_.root.emplace(std::move(value));
    }
    Open& parent = open_.back();
    parent.awaits = Awaits::after_value;
    if (auto* object = std::get_if<Object>(&parent.value->data)) {
      object->back().value = std::move(value);
      return object->back().value;
    }
    return std::get<List>(parent.value->data).emplace_back(std::move(value));
  }

  template <class T>
  bool scalar(T&& data) {
    const std::size_t begin = token_begin();
    cursor_ = token_end(begin);
    place({begin, cursor_ - begin, std::forward<T>(data)});
    return true;
  }

  template <class T>
  bool open(T&& data, Awaits awaits) {
    const std::size_t begin = token_begin();
    if (open_.size() == greatest_depth) {
      fail({begin, pointer_of_open(),
            "lists and objects stand more than " + std::to_string(greatest_depth) +
                " deep within each other; allowed are at most " + std::to_string(greatest_depth)});
      return false;
    }
    cursor_ = begin + 1;
    open_.push_back({&place({begin, 0, std::forward<T>(data)}), awaits});
    return true;
  }

  bool close() {
    cursor_ = token_begin() + 1;
    open_.pop_back();
    return true;
  }

  void report_duplicates() {
    const auto& object = std::get<Object>(open_.back().value->data);
    std::unordered_map<std::string_view, std::size_t> first;
    for (const Member& member : object) {
      const auto [entry, is_new] = first.emplace(member.key, member.key_offset);
      if (is_new) {
        continue;
      }
      if (parsed_.problems.size() == most_problems) {
        ++parsed_.further_problems;
        continue;
      }
      if (!places_) {
        places_.emplace(text_);
      }
      const LineAndColumn place = places_->at(entry->second);
      parsed_.problems.push_back({member.key_offset, pointer_to(pointer_of_open(), member.key),
                                  "read the key " + in_quotes(member.key) +
                                      " again, which stands at line " + std::to_string(place.line) +
                                      ", column " + std::to_string(place.column) +
                                      " already; allowed is each key once"});
    }
  }

  [[nodiscard]] std::string pointer_of_open() const {
    std::string pointer;
    for (std::size_t i = 0; i + 1 < open_.size(); ++i) {
      const Value& value = *open_[i].value;
      if (const auto* object = std::get_if<Object>(&value.data)) {
        pointer = pointer_to(pointer, object->back().key);
      } else {
        pointer = pointer_to(pointer, std::get<List>(value.data).size() - 1);
      }
    }
    return pointer;
  }

  std::string_view text_;
  std::size_t cursor_;  ///< end of the last token
  std::vector<Open> open_;
  std::optional<Places> places_;
  Parsed parsed_;
};

}  // namespace

Parsed parse(std::string_view text) {
  // nlohmann takes a zero byte for the end of the text, or of a comment, and would not see what
  // follows; nothing here looks at a text that holds one.
  if (const std::size_t zero = text.find('\0'); zero != std::string_view::npos) {
    Parsed parsed;
    parsed.problems = {{zero, "", std::string("read a zero byte; ") + allowed_encoding}};
    return parsed;
  }
  TreeBuilder builder(text);
  (void)nlohmann::json::sax_parse(text.begin(), text.end(), &builder,
                                  nlohmann::json::input_format_t::json, true, true);
  return builder.take();
}

const Member* find(const Object& object, std::string_view key) {
  for (const Member& member : object) {
    if (member.key == key) {
      return &member;
    }
  }
  return nullptr;
}

std::string pointer_to(const std::string& pointer, std::string_view key) {
  std::string result = pointer + '/';
  for (const char c : shown(key)) {
    if (c == '~') {
      result += "~0";
    } else if (c == '/') {
      result += "~1";
    } else {
      result += c;
    }
  }
  return result;
}

std::string pointer_to(const std::string& pointer, std::size_t index) {
  return pointer + '/' + std::to_string(index);
}

Places::Places(std::string_view text) : text_(text), line_starts_{start_of_text(text)} {
  for (std::size_t at = text.find('\n'); at != std::string_view::npos;
       at = text.find('\n', at + 1)) {
    line_starts_.push_back(at + 1);
  }
}

LineAndColumn Places::at(std::size_t offset) const {
  const auto after = std::upper_bound(line_starts_.begin(), line_starts_.end(), offset);
  if (after == line_starts_.begin()) {
    return {};  // the byte order mark itself
  }
  const std::size_t start = *(after - 1);
  std::size_t column = 1;
  for (std::size_t i = start; i < std::min(offset, text_.size()); ++i) {
    const auto byte = static_cast<unsigned char>(text_[i]);
    column += byte < 0x80 || byte >= 0xC0 ? 1 : 0;  // not within a character
  }
  return {static_cast<std::size_t>(after - line_starts_.begin()), column};
}

}  // namespace lashband::io::json
