#include <string>

#include "lashband/version.hpp"
#include "report/selection.hpp"
#include "report/terminal_table.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

void write_fact(HtmlWriter& html, std::string_view name, std::string_view value) {
  html.element("dt", name);
  html.open("dd").element("code", value).close().line_break();
}

}  // namespace

Section origin_section(const PageInput& input) {
  const ReportOptions& options = input.options;
  HtmlWriter html;
  html.open("dl").line_break();
  write_fact(html, "input file", printable(options.input_name));
  write_fact(html, "digest (SHA-256 of the input)", input.study.design.digest);
  write_fact(html, "lashband version", version());
  write_fact(html, "command", printable(options.command));
  if (options.stamp) {
    write_fact(html, "made", printable(*options.stamp));
  }
  if (const auto sampling = sampling_of(input.study.carriers)) {
    write_fact(
        html, "sampled",
        std::to_string(sampling->samples) + " units, seed " + std::to_string(sampling->seed));
  }
  html.close().line_break();
  html.open("details", {{"id", "input-text"}}).element("summary", "The input file, as it was read");
  html.open("pre", {{"tabindex", "0"}}).element("code", options.input_text).close();
  html.close().line_break();
  return {"origin", "Where this page comes from", html.take()};
}

}  // namespace lashband::report
