#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace lashband::report {

struct Attribute {
  std::string_view name;
  std::string value{};
};
using Attributes = std::vector<Attribute>;

/// Writes HTML elements, each closed before the one around it. Texts and attribute values are
/// escaped here and nowhere else.
class HtmlWriter {
 public:
  HtmlWriter& open(std::string_view tag, const Attributes& attributes = {});
  /// Closes the element opened last.
  HtmlWriter& close();
  HtmlWriter& text(std::string_view text);
  /// An element that holds a text and nothing else.
  HtmlWriter& element(std::string_view tag, std::string_view text,
                      const Attributes& attributes = {});
  /// An element without content and end, such as meta.
  HtmlWriter& void_element(std::string_view tag, const Attributes& attributes);
  /// Markup that is already well-formed.
  HtmlWriter& markup(std::string_view markup);
  HtmlWriter& line_break();

  /// What was written. Throws std::logic_error while an element is open.
  [[nodiscard]] std::string take();

 private:
  void start_tag(std::string_view tag, const Attributes& attributes);

  std::string out_;
  std::vector<std::string> open_;
};

}  // namespace lashband::report
