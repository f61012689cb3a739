#include <algorithm>
#include <array>
#include <cstdint>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>

#include "embedded_json.hpp"
#include "lashband/io/embedded_file.hpp"
#include "lashband/report/html.hpp"
#include "lashband/version.hpp"
#include "report/chart/specification.hpp"
#include "report/terminal_table.hpp"
#include "sections.hpp"

namespace lashband::report {

/// The script of the page; none where the program was built without it.
std::span<const lashband::io::EmbeddedFile> page_script_files();
/// The style sheet of the page.
std::span<const lashband::io::EmbeddedFile> page_asset_files();

namespace {

int hexadecimal_digit(char c) {
  return c <= '9' ? c - '0' : c - 'a' + 10;
}

// Base 64 (RFC 4648) of bytes that are given in hexadecimal.
std::string base64_of_hexadecimal(std::string_view hexadecimal) {
  constexpr std::string_view digits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  std::uint32_t bits = 0;
  int count = 0;
  for (const char c : hexadecimal) {
    bits = (bits << 4U) | static_cast<std::uint32_t>(hexadecimal_digit(c));
    count += 4;
    if (count >= 6) {
      count -= 6;
      text += digits[(bits >> static_cast<unsigned>(count)) & 63U];
    }
  }
  if (count > 0) {
    text += digits[(bits << static_cast<unsigned>(6 - count)) & 63U];
  }
  while (text.size() % 4 != 0) {
    text += '=';
  }
  return text;
}

const io::EmbeddedFile& style_sheet() {
  for (const io::EmbeddedFile& file : page_asset_files()) {
    if (file.name == "page.css") {
      return file;
    }
  }
  throw std::logic_error("page.css is not in the program");
}

const io::EmbeddedFile* script() {
  const std::span<const io::EmbeddedFile> files = page_script_files();
  return files.empty() ? nullptr : &files.front();
}

std::string hash_source(const io::EmbeddedFile& file) {
  return "'sha256-" + base64_of_hexadecimal(file.sha256) + "'";
}

// Nothing is fetched, no other script runs, no form is sent, no frame holds the page.
std::string policy(const io::EmbeddedFile* page_script) {
  return "default-src 'none'; base-uri 'none'; form-action 'none'; style-src " +
         hash_source(style_sheet()) +
         (page_script == nullptr ? "" : "; script-src " + hash_source(*page_script));
}

std::string title_of(const design::Study& study, const ReportOptions& options) {
  const std::string& title = study.design.title;
  return printable(title.empty() ? options.input_name : title);
}

void write_head(HtmlWriter& html, const PageInput& input, const io::EmbeddedFile* page_script) {
  html.open("head").line_break();
  html.void_element("meta", {{"charset", "utf-8"}}).line_break();
  html.void_element("meta",
                    {{"http-equiv", "Content-Security-Policy"}, {"content", policy(page_script)}});
  html.line_break();
  html.void_element("meta",
                    {{"name", "viewport"}, {"content", "width=device-width, initial-scale=1"}});
  html.line_break();
  html.void_element("meta", {{"name", "color-scheme"}, {"content", "light dark"}}).line_break();
  html.void_element("meta",
                    {{"name", "generator"}, {"content", "lashband " + std::string(version())}});
  html.line_break();
  html.element("title", "Backlash report: " + title_of(input.study, input.options)).line_break();
  html.open("style").markup(style_sheet().text).close().line_break();
  html.close().line_break();
}

void write_header(HtmlWriter& html, const PageInput& input, const std::vector<Section>& sections) {
  html.open("header").line_break();
  html.element("p", "Backlash report", {{"class", "kind"}});
  html.element("h1", title_of(input.study, input.options)).line_break();
  const design::Design& design = input.study.design;
  const std::vector<design::State>& all = input.study.backlash().states;
  const auto states = static_cast<std::size_t>(std::count_if(
      all.begin(), all.end(), [](const auto& state) { return !state.time.has_value(); }));
  const std::string histories =
      design.histories.empty() ? ""
                               : ", " + counted(design.histories.size(), "history", "histories");
  html.element("p",
               counted(design.meshes.size(), "mesh", "meshes") + ", " +
                   counted(design.carriers.size(), "carrier", "carriers") + ", " +
                   counted(states, "temperature state", "temperature states") + histories,
               {{"class", "scope"}});
  html.open("nav", {{"aria-label", "Sections"}}).open("ol").line_break();
  for (const Section& section : sections) {
    html.open("li").element("a", section.title, {{"href", "#" + section.id}});
    html.close().line_break();
  }
  html.close().close().line_break();
  html.close().line_break();
}

std::vector<Section> sections_of(const PageInput& input) {
  std::vector<Section> sections;
  for (const auto section :
       {verdict_section, comparison_section, backlash_section, warmup_section, budget_section,
        carrier_section, tooth_section, motion_section, frequencies_section, torsion_section,
        train_section, assumptions_section, materials_section, warnings_section, cautions_section,
        origin_section}) {
    Section one = section(input);
    if (!one.body.empty()) {
      sections.push_back(std::move(one));
    }
  }
  return sections;
}

}  // namespace

bool charts_can_be_drawn() {
  return script() != nullptr;
}

std::string html(const design::Study& study, const ReportOptions& options) {
  const Colours colours = Colours::of_page();
  const StudyCharts charts = study_charts(study, options.view, colours);
  const io::EmbeddedFile* page_script = script();
  SpecificationIds specifications;
  const PageInput input{study, options, charts, specifications, page_script != nullptr};
  const std::vector<Section> sections = sections_of(input);

  HtmlWriter html;
  html.markup("<!DOCTYPE html>\n");
  html.open("html", {{"lang", "en"}}).line_break();
  write_head(html, input, page_script);
  html.open("body").line_break();
  write_header(html, input, sections);
  html.open("main").line_break();
  if (page_script == nullptr) {
    html.element("p",
                 "Charts are left out: this lashband was built without what draws them. All "
                 "numbers are in the tables.",
                 {{"class", "headline"}});
  }
  for (const Section& section : sections) {
    html.open("section", {{"id", section.id}}).line_break();
    html.element("h2", section.title).line_break();
    html.markup(section.body).close().line_break();
  }
  html.close().line_break();
  html.open("footer");
  html.element(
      "p",
      "Screening results, not a proof of safety: confirm by measurement on the built unit; "
      "local codes and licensed practice decide. lashband " +
          std::string(version()) + ".");
  html.close().line_break();
  if (page_script != nullptr) {
    html.open("script", {{"type", "application/json"}, {"id", "chart-config"}});
    html.markup(embedded_json(chart_config(colours))).close().line_break();
    html.open("script").markup(page_script->text).close().line_break();
  }
  html.close().line_break();
  html.close().line_break();
  return html.take();
}

}  // namespace lashband::report
