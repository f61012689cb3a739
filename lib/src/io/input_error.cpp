#include "lashband/io/input_error.hpp"

#include <utility>

#include "io/shown_text.hpp"

namespace lashband::io {
namespace {

std::string lines_of(const std::vector<InputProblem>& problems) {
  std::string text;
  for (const InputProblem& problem : problems) {
    if (!text.empty()) {
      text += '\n';
    }
    text += one_line(problem);
  }
  return text;
}

/// Like shown, but whole: file names and pointers are needed to the end.
std::string on_one_line(const std::string& text) {
  std::string result;
  for (std::size_t offset = 0; offset < text.size();) {
    const Utf8Character character = utf8_at(text, offset);
    const std::string part = text.substr(offset, character.bytes);
    result += !character.valid || is_control(character.code_point) ? shown(part) : part;
    offset += character.bytes;
  }
  return result;
}

}  // namespace

std::string one_line(const InputProblem& problem) {
  std::string text = on_one_line(problem.file);
  if (problem.line > 0) {
    text += ':' + std::to_string(problem.line) + ':' + std::to_string(problem.column);
  }
  text += ": ";
  if (!problem.pointer.empty()) {
    text += on_one_line(problem.pointer) + ": ";
  }
  return text + on_one_line(problem.message);
}

InputErrors::InputErrors(std::vector<InputProblem> problems)
    : Error(lines_of(problems)), problems_(std::move(problems)) {}

}  // namespace lashband::io
