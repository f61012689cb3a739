#pragma once

#include <map>
#include <string>
#include <vector>

#include "catch.hpp"

// Renderings taken apart.
namespace lashband::test {

inline std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines(1);
  for (const char c : text) {
    if (c == '\n') {
      lines.emplace_back();
    } else {
      lines.back() += c;
    }
  }
  lines.pop_back();
  return lines;
}

inline std::string line_with(const std::string& text, const std::string& part) {
  for (const std::string& line : lines_of(text)) {
    if (line.find(part) != std::string::npos) {
      return line;
    }
  }
  return "no line with " + part + " in\n" + text;
}

/// The text with every run of blanks and line ends as one blank, for sentences that are wrapped.
inline std::string in_one_line(const std::string& text) {
  std::string result;
  for (const char c : text) {
    const bool blank = c == ' ' || c == '\n';
    if (!blank || (!result.empty() && result.back() != ' ')) {
      result += blank ? ' ' : c;
    }
  }
  return result;
}

using Row = std::map<std::string, std::string>;

/// The rows of a CSV table by the names of their columns; quoted fields hold no line end.
inline std::vector<Row> csv_rows(const std::string& text) {
  std::vector<std::vector<std::string>> lines(1, std::vector<std::string>(1));
  bool quoted = false;
  for (const char c : text) {
    if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      lines.back().emplace_back();
    } else if (c == '\n') {
      lines.emplace_back(1);
    } else if (c != '\r') {
      lines.back().back() += c;
    }
  }
  lines.pop_back();
  std::vector<Row> rows;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    REQUIRE(lines[i].size() == lines[0].size());
    rows.emplace_back();
    for (std::size_t k = 0; k < lines[i].size(); ++k) {
      CHECK(rows.back().emplace(lines[0][k], lines[i][k]).second);  // no name twice
    }
  }
  return rows;
}

}  // namespace lashband::test
