#include "io/table_text.hpp"

#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <system_error>
#include <utility>

namespace lashband::io {

void TableProblems::throw_all() {
  std::stable_sort(listed_.begin(), listed_.end(),
                   [](const InputProblem& a, const InputProblem& b) {
                     return std::pair(a.line, a.column) < std::pair(b.line, b.column);
                   });
  if (further_ > 0) {
    listed_.push_back({file_, 0, 0, "",
                       further_ == 1 ? std::string("and 1 more problem")
                                     : "and " + std::to_string(further_) + " more problems"});
  }
  throw InputErrors(std::move(listed_));
}

TableWindow::TableWindow(const std::filesystem::path& file, const ByteListener& on_bytes,
                         TableProblems& problems)
    : on_bytes_(on_bytes), problems_(problems), buffer_(longest_table_line_in_bytes) {
  std::error_code problem;
  const std::filesystem::file_status status = std::filesystem::status(file, problem);
  if (status.type() == std::filesystem::file_type::not_found) {
    problems_.refuse(0, 0, "there is no such file");
  }
  if (status.type() == std::filesystem::file_type::directory) {
    problems_.refuse(0, 0, "this is a folder; allowed is a file");
  }
  // Not opened to find out: opening a pipe waits for its writer.
  if (!problem && status.type() != std::filesystem::file_type::regular) {
    problems_.refuse(0, 0, "this is a pipe or a device; allowed is a file");
  }
  stream_.open(file, std::ios::binary);
  if (problem || !stream_) {
    std::string message = "cannot be opened: ";
    message += (problem ? problem : std::error_code(errno, std::generic_category())).message();
    problems_.refuse(0, 0, std::move(message));
  }
  const std::uintmax_t size = std::filesystem::file_size(file, problem);
  expected_bytes_ = problem ? 0 : static_cast<std::size_t>(size);
  refuse_above_bound(expected_bytes_);
}

void TableWindow::refuse_above_bound(std::size_t bytes) {
  if (bytes > largest_table_in_bytes) {
    problems_.refuse(0, 0, "is larger than 512 MiB, which is the most that is read of a table");
  }
}

bool TableWindow::fill() {
  if (at_file_end_ || is_full()) {
    return false;
  }
  std::copy(buffer_.data() + begin_, buffer_.data() + end_, buffer_.data());
  end_ -= begin_;
  begin_ = 0;
  stream_.read(buffer_.data() + end_, static_cast<std::streamsize>(buffer_.size() - end_));
  const auto count = static_cast<std::size_t>(stream_.gcount());
  if (on_bytes_ && count > 0) {
    on_bytes_({buffer_.data() + end_, count});
  }
  end_ += count;
  read_bytes_ += count;
  refuse_above_bound(read_bytes_);  // the file may have grown since it was opened
  at_file_end_ = stream_.eof();
  if (!stream_ && !at_file_end_) {
    problems_.refuse(0, 0, "cannot be read to its end");
  }
  find_lines_end();
  return true;
}

void TableWindow::find_lines_end() {
  lines_end_ = end_;
  if (at_file_end_) {
    return;
  }
  while (lines_end_ > begin_) {
    const char last = buffer_[lines_end_ - 1];
    // A CR at the very end of what was read may be half of a CRLF.
    if (last == '\n' || (last == '\r' && lines_end_ < end_)) {
      return;
    }
    --lines_end_;
  }
}

std::string_view trimmed(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(' ');
  return begin == std::string_view::npos
             ? std::string_view()
             : text.substr(begin, text.find_last_not_of(' ') - begin + 1);
}

std::string content_of(const FieldText& field) {
  std::string content;
  content.reserve(field.text.size());
  for (std::size_t i = 0; i < field.text.size(); ++i) {
    content += field.text[i];
    const bool doubled = field.quoted && field.text.substr(i, 2) == "\"\"";
    i += doubled ? 1 : 0;
  }
  return content;
}

std::string words_of(QuoteFault fault) {
  switch (fault) {
    case QuoteFault::text_behind:
      return "text stands behind a closing quotation mark; one within a field is written twice";
    case QuoteFault::not_closed:
      return "the quotation mark that opens here is not closed";
    case QuoteFault::within_field:
      return "a quotation mark stands within a field; put the whole field in quotation marks and "
             "write the one within it twice";
    case QuoteFault::none:
      break;
  }
  return {};
}

TableLine::TableLine(const char* begin, const char* limit, std::size_t line, char separator)
    : at_(begin), counted_to_(begin), limit_(limit), line_(line), separator_(separator) {
  while (true) {
    fields_.push_back(field());
    if (at_ == limit_ || *at_ != separator_) {
      break;
    }
    ++at_;
  }
  const char* next = behind_line_end(at_, limit_);
  line_ += next != at_ ? 1 : 0;
  at_ = next;
}

FieldText TableLine::field() {
  at_ = behind_blanks(at_, limit_);
  FieldText result{.text = {}, .line = line_, .column = column_here()};
  if (at_ != limit_ && *at_ == '"') {
    quoted_text(result);
  } else {
    const char* begin = at_;
    skip_to_field_end();
    result.text = trimmed(text_between(begin, at_));
    if (result.text.find('"') != std::string_view::npos) {
      result.fault = QuoteFault::within_field;
    }
  }
  return result;
}

std::size_t TableLine::column_here() {
  column_ += static_cast<std::size_t>(std::count_if(
      counted_to_, at_, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
  counted_to_ = at_;
  return column_;
}

void TableLine::quoted_text(FieldText& result) {
  result.quoted = true;
  const char* begin = ++at_;
  while (true) {
    if (at_ == limit_) {
      result.fault = QuoteFault::not_closed;
      result.text = text_between(begin, at_);
      return;
    }
    if (*at_ == '"') {
      if (at_ + 1 == limit_ || at_[1] != '"') {
        break;
      }
      at_ += 2;
    } else if (is_line_end(*at_)) {
      at_ = behind_line_end(at_, limit_);
      counted_to_ = at_;
      column_ = 1;
      ++line_;
    } else {
      ++at_;
    }
  }
  result.text = text_between(begin, at_);
  ++at_;
  const char* rest = at_;
  skip_to_field_end();
  if (!trimmed(text_between(rest, at_)).empty()) {
    result.fault = QuoteFault::text_behind;
  }
}

void TableLine::skip_to_field_end() {
  while (at_ != limit_ && *at_ != separator_ && !is_line_end(*at_)) {
    ++at_;
  }
}

}  // namespace lashband::io
