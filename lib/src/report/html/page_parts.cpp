#include "page_parts.hpp"

#include <cmath>
#include <map>
#include <utility>

#include "embedded_json.hpp"

#include "lashband/units/format.hpp"
#include "report/message_text.hpp"
#include "report/number_text.hpp"

namespace lashband::report {
namespace {

// A text without a place to break that is too long for a column: it may break anywhere.
bool needs_breaking(std::string_view text) {
  constexpr std::size_t longest_word = 28;
  std::size_t word = 0;
  for (const char c : text) {
    word = c == ' ' ? 0 : word + 1;
    if (word > longest_word) {
      return true;
    }
  }
  return false;
}

Attributes cell_attributes(std::string_view text, Attributes attributes) {
  if (needs_breaking(text)) {
    attributes.push_back({"class", "long"});
  }
  return attributes;
}

void write_head(HtmlWriter& html, const std::vector<Column>& columns) {
  html.open("thead").open("tr");
  for (const Column& column : columns) {
    Attributes attributes = {{"scope", "col"}, {"data-field", column.field}};
    if (column.numeric) {
      attributes.push_back({"class", "number"});
    }
    if (!column.unit.empty()) {
      attributes.push_back({"data-unit", column.unit});
    }
    if (column.scale != 1.0) {
      attributes.push_back({"data-scale", number_text(column.scale)});
    }
    if (column.offset != 0.0) {
      attributes.push_back({"data-offset", number_text(column.offset)});
    }
    html.element("th", column.head_with_unit(), attributes);
  }
  html.close().close().line_break();
}

}  // namespace

void write_table(HtmlWriter& html, const std::vector<Column>& columns,
                 const std::vector<std::vector<Cell>>& rows, std::string_view caption) {
  html.open("div", {{"class", "scroll"},
                    {"tabindex", "0"},
                    {"role", "group"},
                    {"aria-label", std::string(caption)}});
  html.open("table").element("caption", caption).line_break();
  write_head(html, columns);
  html.open("tbody").line_break();
  for (const std::vector<Cell>& row : rows) {
    html.open("tr");
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (row[i].value) {
        html.open("td").element("data", row[i].shown, {{"value", number_text(*row[i].value)}});
        html.close();
      } else if (i == 0) {
        html.element("th", row[i].shown, cell_attributes(row[i].shown, {{"scope", "row"}}));
      } else {
        html.element("td", row[i].shown, cell_attributes(row[i].shown, {}));
      }
    }
    html.close().line_break();
  }
  html.close().close().close().line_break();
}

void write_data(HtmlWriter& html, const DataTable& table) {
  html.open("details", {{"class", "data"}, {"id", table.id}, {"data-file", table.file}, {"open"}});
  html.element("summary", "Numbers: " + table.title);
  write_table(html, table.columns, table.rows, table.title);
  html.close().line_break();
}

void write_charts(HtmlWriter& html, const std::vector<Chart>& charts, const PageInput& input) {
  for (const Chart& chart : charts) {
    html.open("figure", {{"class", "chart"}, {"id", "chart-" + chart.id}});
    html.open("figcaption").element("h4", chart.title);
    html.element("p", chart.reading, {{"class", "reading"}}).close();
    if (input.draws) {
      const auto [spec, is_new] =
          input.specifications.emplace(embedded_json(chart.spec), "spec-" + chart.id);
      html.open("div", {{"class", "drawing"},
                        {"role", "img"},
                        {"aria-label", chart.title + ". " + chart.reading},
                        {"data-spec", spec->second},
                        {"data-table", chart.table}});
      html.element("p",
                   "This chart is drawn by a script of this page; its numbers are in the table.",
                   {{"class", "undrawn"}});
      html.close();
      if (is_new) {
        html.open("script", {{"type", "application/json"}, {"id", spec->second}});
        html.markup(spec->first).close();
      }
    }
    html.open("p", {{"class", "source"}});
    html.element("a", "numbers of this chart", {{"href", "#" + chart.table}});
    html.close().close().line_break();
  }
}

void write_mesh_charts(HtmlWriter& html, std::vector<Chart> MeshCharts::*kind,
                       const PageInput& input) {
  for (const MeshCharts& mesh : input.charts.meshes) {
    if (!(mesh.*kind).empty()) {
      html.element("h3", "Mesh " + named(input.study.design.meshes[mesh.mesh].id));
      write_charts(html, mesh.*kind, input);
    }
  }
}

Cell requirement_cell(const design::RequirementRow& row, double value, const std::string& text) {
  if (!std::isfinite(value)) {
    return {text, {}};
  }
  const bool length = row.kind == design::RequirementRow::Kind::length;
  return {text, length ? units::value_in(units::from_si<units::Length>(value), "mm") : value};
}

std::vector<design::RequirementRow> requirements_in_use(const design::Study& study) {
  std::vector<design::RequirementRow> rows = study.backlash().requirements;
  for (const design::RequirementRow& row : study.train.requirements) {
    if (row.what == "greatest_lost_motion") {
      rows.push_back(row);
    }
  }
  return rows;
}

void tell_left_out(HtmlWriter& html, std::size_t shown, std::size_t all, std::string_view what,
                   std::string_view command) {
  if (shown < all) {
    std::string text = std::to_string(shown) + " of " + std::to_string(all) + " ";
    text.append(what).append(" are shown; lashband ").append(command);
    html.element("p", text + " with CSV or JSON has all.");
  }
}

void write_list(HtmlWriter& html, const std::vector<std::string>& texts) {
  html.open("ul");
  for (const std::string& text : texts) {
    html.element("li", text).line_break();
  }
  html.close().line_break();
}

std::vector<std::string> failure_texts(const std::vector<design::Failure>& failures,
                                       const std::vector<design::State>& states) {
  std::map<std::string, std::string> history_of;
  for (const design::State& state : states) {
    if (state.time) {
      history_of.emplace(state.id, state.condition);
    }
  }
  struct Told {
    std::string text;
    std::size_t more = 0;
    std::string last;
  };
  std::vector<Told> told;
  std::map<std::pair<std::string, std::string>, std::size_t> by_history;
  for (const design::Failure& failure : failures) {
    const auto history = history_of.find(failure.state);
    if (history == history_of.end()) {
      told.push_back({failure_text(failure), 0, ""});
      continue;
    }
    const auto [place, is_first] =
        by_history.emplace(std::pair(history->second, failure.subject), told.size());
    if (is_first) {
      told.push_back({failure_text(failure), 0, ""});
    } else {
      ++told[place->second].more;
      told[place->second].last = failure.state;
    }
  }
  std::vector<std::string> texts;
  texts.reserve(told.size());
  for (Told& one : told) {
    if (one.more > 0) {
      one.text += " (and at " + counted(one.more, "more moment", "more moments") +
                  " of this history, the last " + named(one.last) + ")";
    }
    texts.push_back(std::move(one.text));
  }
  return texts;
}

std::string counted(std::size_t count, const std::string& one, const std::string& several) {
  return std::to_string(count) + " " + (count == 1 ? one : several);
}

}  // namespace lashband::report
