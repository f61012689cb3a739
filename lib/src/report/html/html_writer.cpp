#include "html_writer.hpp"

#include <stdexcept>
#include <utility>

#include "escape.hpp"

namespace lashband::report {

void HtmlWriter::start_tag(std::string_view tag, const Attributes& attributes) {
  out_ += '<';
  out_ += tag;
  for (const Attribute& attribute : attributes) {
    out_ += ' ';
    out_ += attribute.name;
    if (!attribute.value.empty()) {
      out_ += "=\"" + escaped(attribute.value) + "\"";
    }
  }
  out_ += '>';
}

HtmlWriter& HtmlWriter::open(std::string_view tag, const Attributes& attributes) {
  start_tag(tag, attributes);
  open_.emplace_back(tag);
  return *this;
}

HtmlWriter& HtmlWriter::close() {
  if (open_.empty()) {
    throw std::logic_error("no element is open");
  }
  out_ += "</" + open_.back() + ">";
  open_.pop_back();
  return *this;
}

HtmlWriter& HtmlWriter::text(std::string_view text) {
  out_ += escaped(text);
  return *this;
}

HtmlWriter& HtmlWriter::element(std::string_view tag, std::string_view text,
                                const Attributes& attributes) {
  return open(tag, attributes).text(text).close();
}

HtmlWriter& HtmlWriter::void_element(std::string_view tag, const Attributes& attributes) {
  start_tag(tag, attributes);
  return *this;
}

HtmlWriter& HtmlWriter::markup(std::string_view markup) {
  out_ += markup;
  return *this;
}

HtmlWriter& HtmlWriter::line_break() {
  out_ += '\n';
  return *this;
}

std::string HtmlWriter::take() {
  if (!open_.empty()) {
    throw std::logic_error("element " + open_.back() + " is open");
  }
  return std::exchange(out_, {});
}

}  // namespace lashband::report
