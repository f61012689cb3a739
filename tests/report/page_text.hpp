#pragma once

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"

// The page of a report as text, taken apart.
namespace lashband::test {

/// Every start tag of the page outside scripts and styles, with its attributes as text; checks on
/// the way that elements are closed in order.
inline std::vector<std::string> start_tags(const std::string& page) {
  const std::set<std::string> without_end = {"meta", "!DOCTYPE", "br", "circle", "path", "line"};
  std::vector<std::string> tags;
  std::vector<std::string> open;
  for (std::size_t at = page.find('<'); at != std::string::npos; at = page.find('<', at)) {
    const std::size_t end = page.find('>', at);
    REQUIRE(end != std::string::npos);
    std::string tag = page.substr(at + 1, end - at - 1);
    at = end + 1;
    const std::string name = tag.substr(0, tag.find_first_of(" /", 1));
    if (tag[0] == '/') {
      REQUIRE(!open.empty());
      REQUIRE(open.back() == tag.substr(1));
      open.pop_back();
      continue;
    }
    tags.push_back(tag);
    if (tag.back() == '/' || without_end.count(name) != 0) {
      continue;
    }
    open.push_back(name);
    if (name == "script" || name == "style") {
      at = page.find("</" + name + ">", at);
      REQUIRE(at != std::string::npos);
    }
  }
  CHECK(open.empty());
  return tags;
}

/// The names of a tag and of its attributes, without their values.
inline std::string names_of(const std::string& tag) {
  std::string names;
  bool quoted = false;
  for (const char c : tag) {
    quoted = quoted != (c == '"');
    if (!quoted && c != '"') {
      names += c;
    }
  }
  return names;
}

/// The text of the page: what stands between tags.
inline std::string shown_text(const std::string& page) {
  std::string text;
  bool inside = false;
  for (const char c : page) {
    if (c == '<') {
      inside = true;
    } else if (c == '>') {
      inside = false;
    } else if (!inside) {
      text += c;
    }
  }
  return text;
}

/// Rows of the data table of that id: values of <data> by field, texts for the others.
inline std::vector<std::map<std::string, std::string>> rows_of(const std::string& page,
                                                               const std::string& id) {
  const std::size_t begin = page.find("id=\"" + id + "\"");
  REQUIRE(begin != std::string::npos);
  const std::string part = page.substr(begin, page.find("</details>", begin) - begin);
  std::vector<std::string> fields;
  for (std::size_t at = part.find("data-field=\""); at != std::string::npos;
       at = part.find("data-field=\"", at)) {
    at += 12;
    fields.push_back(part.substr(at, part.find('"', at) - at));
  }
  std::vector<std::map<std::string, std::string>> rows;
  std::size_t at = part.find("<tbody>");
  while ((at = part.find("<tr>", at)) != std::string::npos) {
    const std::size_t end = part.find("</tr>", at);
    std::map<std::string, std::string> row;
    std::size_t cell = at + 4;
    for (const std::string& field : fields) {
      const std::size_t cell_end = std::min(part.find("</td>", cell), part.find("</th>", cell));
      REQUIRE(cell_end < end);
      const std::string content = part.substr(cell, cell_end - cell);
      const std::size_t value = content.find("value=\"");
      row[field] = value == std::string::npos
                       ? content.substr(content.find('>') + 1)
                       : content.substr(value + 7, content.find('"', value + 7) - value - 7);
      cell = cell_end + 5;
    }
    rows.push_back(row);
    at = end;
  }
  return rows;
}

/// The section of the page with that id, with its inner ones.
inline std::string section_of(const std::string& page, const std::string& id) {
  const std::size_t begin = page.find("<section id=\"" + id + "\">");
  REQUIRE(begin != std::string::npos);
  // The next section of the page; those within it have a class before their id.
  return page.substr(begin, page.find("<section id=\"", begin + 1) - begin);
}

}  // namespace lashband::test
