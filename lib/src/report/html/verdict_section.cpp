#include <algorithm>
#include <string>

#include "report/requirement_text.hpp"
#include "report/selection.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

void write_headline(HtmlWriter& html, const design::Study& study) {
  const design::BacklashResult& result = study.backlash();
  const std::vector<design::RequirementRow> rows = requirements_in_use(study);
  const auto missed = static_cast<std::size_t>(
      std::count_if(rows.begin(), rows.end(), [](const auto& row) { return !row.met; }));
  const bool judged_all = result.failures.empty() && study.train.failures.empty() &&
                          (!study.torsion || study.torsion->failures.empty());
  std::string text = "On " + named(result.carrier) + ", the carrier in use, ";
  if (rows.empty()) {
    text += "nothing was asked for.";
  } else if (missed == 0) {
    text += rows.size() == 1
                ? "the one requirement is met."
                : "all " + counted(rows.size(), "requirement", "requirements") + " are met.";
  } else {
    text += std::to_string(missed) + " of " + counted(rows.size(), "requirement", "requirements") +
            (missed == 1 ? " is not met." : " are not met.");
  }
  if (!judged_all) {
    text += " Some states could not be computed, so this verdict is not complete.";
  }
  html.element("p", text,
               {{"class", missed == 0 && judged_all ? "headline met" : "headline missed"}});
}

// Those of the carrier in use and of its budget, then of the other carriers.
void write_failures(HtmlWriter& html, const design::Study& study) {
  std::vector<std::string> texts =
      failure_texts(study.budget.failures, study.budget.backlash.states);
  for (const design::CarrierRow& row : study.carriers.rows) {
    if (!row.in_use) {
      for (const std::string& text : failure_texts(row.result.failures, row.result.states)) {
        texts.push_back("with " + named(row.result.carrier) + ", " + text);
      }
    }
  }
  if (!texts.empty()) {
    html.element("h3", "What could not be computed");
    write_list(html, texts);
  }
}

void write_requirements(HtmlWriter& html, const PageInput& input) {
  const View& view = input.options.view;
  std::vector<Column> columns;
  for (const auto& [field, head] :
       {std::pair{"mesh", "of"}, std::pair{"what", "what is asked for"},
        std::pair{"limit", "limit"}, std::pair{"found", "found"}, std::pair{"condition", "at"},
        std::pair{"basis", "judged on"}, std::pair{"met", "verdict"}}) {
    columns.push_back(Measures::text(field, head));
  }
  columns[2].numeric = columns[3].numeric = true;
  std::vector<std::vector<Cell>> rows;
  for (const design::RequirementRow& row : requirements_in_use(input.study)) {
    const bool of_mesh = mesh_of(input.study.backlash(), row.mesh) != nullptr;
    if (of_mesh && !shows_mesh(view, row.mesh)) {
      continue;
    }
    rows.push_back({Measures::text_cell(row.mesh), Measures::text_cell(requirement_words(row.what)),
                    requirement_cell(row, row.limit,
                                     limit_sign(row) + requirement_value(row, row.limit, view)),
                    requirement_cell(row, row.found, requirement_value(row, row.found, view)),
                    Measures::text_cell(row.state), Measures::text_cell(basis_text(row.basis)),
                    Measures::text_cell(row.met ? "met" : "NOT MET")});
  }
  if (!rows.empty()) {
    write_table(html, columns, rows, "Requirements on the carrier in use");
  }
}

void write_carriers(HtmlWriter& html, const PageInput& input) {
  const design::CarriersResult& carriers = input.study.carriers;
  if (carriers.rows.size() < 2) {
    return;
  }
  std::vector<Column> columns = {Measures::text("carrier", "carrier"), Measures::text("in_use", ""),
                                 Measures::text("met", "verdict"),
                                 Measures::text("missed", "what it misses")};
  columns[1].head = "in use";
  std::vector<std::vector<Cell>> rows;
  for (const design::CarrierRow& row : carriers.rows) {
    std::string missed;
    for (const design::RequirementRow& requirement : row.result.requirements) {
      if (!requirement.met) {
        missed += (missed.empty() ? "" : "; ") + requirement_line(requirement, input.options.view);
      }
    }
    const bool met = row.result.all_requirements_met();
    rows.push_back({Measures::text_cell(row.result.carrier),
                    {row.in_use ? "yes" : "no", {}},
                    {!row.result.failures.empty() ? "not complete"
                     : met                        ? "met"
                                                  : "NOT MET",
                     {}},
                    {missed.empty() ? "–" : missed, {}}});
  }
  write_table(html, columns, rows, "The same requirements on every carrier of the file");
}

}  // namespace

Section verdict_section(const PageInput& input) {
  HtmlWriter html;
  write_headline(html, input.study);
  write_failures(html, input.study);
  write_requirements(html, input);
  write_carriers(html, input);
  return {"verdict", "What was asked, and the verdict", html.take()};
}

}  // namespace lashband::report
