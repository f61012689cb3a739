#pragma once

#include <cstddef>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/measured_table.hpp"
#include "lashband/io/input_error.hpp"

/// The text of a table (measured_table.hpp) while it is read: part by part, line by line.
namespace lashband::io {

/// The problems of one table: the first ones in full, the rest as a number.
class TableProblems {
 public:
  explicit TableProblems(std::string file) : file_(std::move(file)) {}

  /// `message` makes the text; a file of nothing but faults does not wait for texts nobody sees.
  template <class Message>
  void report(std::size_t line, std::size_t column, const Message& message) {
    if (listed_.size() < most_table_problems) {
      listed_.push_back({file_, line, column, "", message()});
    } else {
      ++further_;
    }
  }

  [[nodiscard]] bool any() const { return !listed_.empty(); }

  /// Ends the reading with what was found so far and `message`, about the file as a whole or a
  /// place.
  [[noreturn]] void refuse(std::size_t line, std::size_t column, std::string message) {
    listed_.push_back({file_, line, column, "", std::move(message)});
    throw_all();
  }

  void throw_if_any() {
    if (any()) {
      throw_all();
    }
  }

 private:
  [[noreturn]] void throw_all();

  std::string file_;
  std::vector<InputProblem> listed_;
  std::size_t further_ = 0;
};

/// A file of which one part is in memory.
class TableWindow {
 public:
  /// Throws InputErrors where the file is missing, no plain file or cannot be opened. The
  /// references must outlive the object.
  TableWindow(const std::filesystem::path& file, const ByteListener& on_bytes,
              TableProblems& problems);

  [[nodiscard]] const char* begin() const { return buffer_.data() + begin_; }
  /// Behind the last line end in memory, or the end of the file.
  [[nodiscard]] const char* lines_end() const { return buffer_.data() + lines_end_; }
  [[nodiscard]] bool at_file_end() const { return at_file_end_; }
  [[nodiscard]] bool is_full() const { return end_ - begin_ == buffer_.size(); }
  void drop_until(const char* place) { begin_ = static_cast<std::size_t>(place - buffer_.data()); }

  /// All that is in memory.
  [[nodiscard]] std::string_view text() const { return {begin(), end_ - begin_}; }

  /// The file's size when it was opened, as far as it is known.
  [[nodiscard]] std::size_t expected_bytes() const { return expected_bytes_; }
  /// Bytes in front of begin().
  [[nodiscard]] std::size_t dropped_bytes() const { return read_bytes_ - (end_ - begin_); }

  /// Reads on behind what is left. Returns false where the file has ended or there is no room. What
  /// was in memory moves.
  [[nodiscard]] bool fill();

 private:
  void refuse_above_bound(std::size_t bytes);
  void find_lines_end();

  const ByteListener& on_bytes_;
  TableProblems& problems_;
  std::ifstream stream_;
  std::vector<char> buffer_;
  std::size_t begin_ = 0;
  std::size_t lines_end_ = 0;
  std::size_t end_ = 0;
  std::size_t read_bytes_ = 0;
  std::size_t expected_bytes_ = 0;
  bool at_file_end_ = false;
};

[[nodiscard]] inline bool is_line_end(char c) {
  return c == '\n' || c == '\r';
}

/// Behind the line end at `at`, if there is one.
[[nodiscard]] inline const char* behind_line_end(const char* at, const char* limit) {
  if (at != limit && *at == '\r') {
    ++at;
    return at != limit && *at == '\n' ? at + 1 : at;
  }
  return at != limit && *at == '\n' ? at + 1 : at;
}

/// Behind the blanks at `at`, if there are any.
[[nodiscard]] inline const char* behind_blanks(const char* at, const char* limit) {
  while (at != limit && *at == ' ') {
    ++at;
  }
  return at;
}

[[nodiscard]] inline std::string_view text_between(const char* begin, const char* end) {
  return {begin, static_cast<std::size_t>(end - begin)};
}

/// Without blanks at its ends.
[[nodiscard]] std::string_view trimmed(std::string_view text);

enum class QuoteFault { none, text_behind, not_closed, within_field };

struct FieldText {
  std::string_view text;  ///< without outer quotation marks; inner ones may stand doubled
  std::size_t line = 0;
  std::size_t column = 0;
  bool quoted = false;
  QuoteFault fault = QuoteFault::none;
};

/// What stands in the field: inner quotation marks once.
[[nodiscard]] std::string content_of(const FieldText& field);

/// What the fault is, as a message says it; nothing where there is none.
[[nodiscard]] std::string words_of(QuoteFault fault);

/// The fields of one line of the table, which is more than one line of text where a quoted field
/// holds a line end.
class TableLine {
 public:
  TableLine(const char* begin, const char* limit, std::size_t line, char separator);

  [[nodiscard]] const std::vector<FieldText>& fields() const { return fields_; }
  [[nodiscard]] const char* end() const { return at_; }
  [[nodiscard]] std::size_t next_line() const { return line_; }
  [[nodiscard]] bool is_blank() const {
    return fields_.size() == 1 && !fields_[0].quoted && fields_[0].text.empty();
  }
  /// Whether a quotation mark is open at the limit, so that the line may go on behind it.
  [[nodiscard]] bool is_open() const { return fields_.back().fault == QuoteFault::not_closed; }

 private:
  [[nodiscard]] FieldText field();
  /// The column of at_: characters in front of it in its line of text, plus one.
  [[nodiscard]] std::size_t column_here();
  void quoted_text(FieldText& result);
  void skip_to_field_end();

  const char* at_;
  const char* counted_to_;  // column_ is that of this place
  std::size_t column_ = 1;
  const char* limit_;
  std::size_t line_;
  char separator_;
  std::vector<FieldText> fields_;
};

}  // namespace lashband::io
