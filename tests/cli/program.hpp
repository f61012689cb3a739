#pragma once

#include <sys/wait.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include "file_text.hpp"
#include "folder.hpp"

// Runs the program itself, as a user does.
namespace lashband::test {

namespace fs = std::filesystem;

struct Run {
  int status = -1;
  std::string out;
  std::string err;
};

inline std::string quoted(const std::string& argument) {
  std::string result = "'";
  for (const char c : argument) {
    result += c == '\'' ? std::string("'\\''") : std::string(1, c);
  }
  return result + "'";
}

// Runs `lashband ARGUMENTS` in the checkout; `redirection` is shell text such as "< file", `before`
// a program that runs it, such as "timeout 5 ".
inline Run run_lashband(const std::vector<std::string>& arguments,
                        const std::string& redirection = "", const std::string& before = "") {
  const Folder folder;
  std::string command =
      "cd " + quoted(LASHBAND_SOURCE_DIR) + " && " + before + quoted(LASHBAND_EXECUTABLE);
  for (const std::string& argument : arguments) {
    command += " " + quoted(argument);
  }
  const std::string out = (folder.path() / "out").string();
  const std::string err = (folder.path() / "err").string();
  command += " > " + quoted(out) + " 2> " + quoted(err) + " " + redirection;
  const int status = std::system(command.c_str());
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, text_of(out), text_of(err)};
}

// The first example without its thermal network and histories, which the other analyses need not
// wait for.
inline std::string train_without_histories() {
  const std::string text =
      text_of(fs::path(LASHBAND_SOURCE_DIR) / "examples/rail_compressor/train.json");
  // They stand at its end, behind the soak.
  const std::size_t end = text.find(",\n  // What stores heat");
  if (end == std::string::npos) {
    throw std::runtime_error("the example has no thermal network behind its soak");
  }
  return text.substr(0, end) + "\n}\n";
}

inline std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::string line;
  for (const char c : text) {
    if (c == '\n') {
      lines.push_back(line);
      line.clear();
    } else {
      line += c;
    }
  }
  if (!line.empty()) {
    lines.push_back(line);
  }
  return lines;
}

// Columns of the longest line, one for each code point of UTF-8.
inline std::size_t widest_line(const std::string& text) {
  std::size_t widest = 0;
  for (const std::string& line : lines_of(text)) {
    const auto columns = std::count_if(line.begin(), line.end(), [](char c) {
      return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    });
    widest = std::max(widest, static_cast<std::size_t>(columns));
  }
  return widest;
}

}  // namespace lashband::test
