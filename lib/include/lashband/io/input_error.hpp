#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "lashband/error.hpp"

namespace lashband::io {

/// One thing that is wrong in a file.
struct InputProblem {
  std::string file;        ///< the name the user gave, "<stdin>" for standard input
  std::size_t line = 0;    ///< from 1; 0 where the problem has no place in the text
  std::size_t column = 0;  ///< in characters, from 1; 0 where the problem has no place in the text
  std::string pointer;     ///< JSON pointer (RFC 6901) of the value; empty for the whole file
  std::string message;     ///< what was read and what is allowed
};

/// The problem as one line of text: "train.json:12:34: /gears/0/module: read the number 2.5; …".
/// Parts that the problem does not have are left out. Control characters are shown as escapes, so
/// the result is one line whatever the file holds.
[[nodiscard]] std::string one_line(const InputProblem& problem);

/// A file cannot be used. Carries every problem found in it, in the order of the text.
class InputErrors : public Error {
 public:
  /// what() has one_line of every problem, separated by line ends.
  explicit InputErrors(std::vector<InputProblem> problems);

  [[nodiscard]] const std::vector<InputProblem>& problems() const { return problems_; }

 private:
  std::vector<InputProblem> problems_;
};

}  // namespace lashband::io
