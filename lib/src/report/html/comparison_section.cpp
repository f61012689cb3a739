#include <algorithm>
#include <string>

#include "report/chart/comparison_charts.hpp"
#include "report/chart/warmup_words.hpp"
#include "report/judged_ends.hpp"
#include "report/requirement_text.hpp"
#include "report/selection.hpp"
#include "sections.hpp"

namespace lashband::report {
namespace {

using design::BacklashResult;
using design::MeshResult;
using design::RequirementRow;

// One margin is asked for of all excitations; its row names the one that is nearest.
bool is_margin(const RequirementRow& row) {
  return row.what == "least_resonance_margin";
}

// What stands for a requirement of this file in the other.
const RequirementRow* row_of(const BacklashResult& result, const RequirementRow& like) {
  const auto found = std::find_if(
      result.requirements.begin(), result.requirements.end(), [&like](const RequirementRow& row) {
        return row.what == like.what && (row.mesh == like.mesh || is_margin(row));
      });
  return found == result.requirements.end() ? nullptr : &*found;
}

Cell found_cell(const RequirementRow* row, const View& view) {
  if (row == nullptr) {
    return {"not asked for", {}};
  }
  return requirement_cell(*row, row->found,
                          requirement_value(*row, row->found, view) + " (limit " +
                              limit_sign(*row) + requirement_value(*row, row->limit, view) + ")" +
                              (row->met ? ", met" : ", NOT MET") +
                              (is_margin(*row) ? "; " + named(row->mesh) : ""));
}

// The names of the two sides as heads of columns.
struct Sides {
  std::string first, second;
};

void write_changes(HtmlWriter& html, const std::vector<InputChange>& changes, const Sides& sides) {
  if (changes.empty()) {
    html.element("p", "Both files say the same.");
    return;
  }
  std::vector<std::vector<Cell>> rows;
  rows.reserve(changes.size());
  for (const InputChange& change : changes) {
    rows.push_back({{change.where, {}},
                    {change.first.empty() ? "–" : change.first, {}},
                    {change.second.empty() ? "–" : change.second, {}}});
  }
  write_table(html,
              {Measures::text("where", "where"), Measures::text("now", sides.first),
               Measures::text("other", sides.second)},
              rows, "What the files say differently");
}

void write_verdicts(HtmlWriter& html, const PageInput& input, const BacklashResult& first,
                    const BacklashResult& second, const Sides& sides) {
  std::vector<std::vector<Cell>> rows;
  const auto add = [&](const RequirementRow& like, const RequirementRow* a,
                       const RequirementRow* b) {
    if (is_margin(like) || shows_mesh(input.options.view, like.mesh)) {
      rows.push_back(
          {is_margin(like) ? Cell{"all excitations", {}} : Measures::text_cell(like.mesh),
           Measures::text_cell(requirement_words(like.what)), found_cell(a, input.options.view),
           found_cell(b, input.options.view)});
    }
  };
  for (const RequirementRow& row : first.requirements) {
    add(row, &row, row_of(second, row));
  }
  for (const RequirementRow& row : second.requirements) {
    if (row_of(first, row) == nullptr) {
      add(row, nullptr, &row);
    }
  }
  if (rows.empty()) {
    return;
  }
  std::vector<Column> columns = {
      Measures::text("mesh", "mesh"), Measures::text("what", "what is asked for"),
      Measures::text("first", sides.first), Measures::text("second", sides.second)};
  columns[2].numeric = columns[3].numeric = true;
  write_table(html, columns, rows, "The requirements side by side");
}

// Least or greatest backlash of a mesh, worst case, with the state.
struct End {
  Cell gap;
  Cell state;
};

End end_of(const BacklashResult& result, const MeshResult* mesh, bool least,
           const Measures& measures) {
  if (mesh == nullptr) {
    return {{"no such mesh", {}}, {}};
  }
  const auto place = least ? mesh->least : mesh->greatest;
  if (!place) {
    return {{"not computed", {}}, {}};
  }
  const design::MeshState& at = mesh->states[*place];
  return {measures.gap_cell(least ? at.gap.j_wt.low : at.gap.j_wt.high),
          Measures::text_cell(result.states[at.state].id)};
}

void write_ends(HtmlWriter& html, const PageInput& input, const BacklashResult& first,
                const BacklashResult& second, const Sides& sides) {
  const Measures measures(input.options.view.units);
  std::vector<std::string> ids;
  for (const BacklashResult* result : {&first, &second}) {
    for (const MeshResult& mesh : result->meshes) {
      if (shows_mesh(input.options.view, mesh.id) &&
          std::find(ids.begin(), ids.end(), mesh.id) == ids.end()) {
        ids.push_back(mesh.id);
      }
    }
  }
  std::vector<std::vector<Cell>> rows;
  for (const std::string& id : ids) {
    for (const bool least : {true, false}) {
      const End a = end_of(first, mesh_of(first, id), least, measures);
      const End b = end_of(second, mesh_of(second, id), least, measures);
      rows.push_back({Measures::text_cell(id),
                      {least ? "least, worst case" : "greatest, worst case", {}},
                      a.gap,
                      a.state,
                      b.gap,
                      b.state});
    }
  }
  write_table(html,
              {Measures::text("mesh", "mesh"), Measures::text("end", "backlash j_wt"),
               measures.gap("first", sides.first), Measures::text("first_at", "at"),
               measures.gap("second", sides.second), Measures::text("second_at", "at")},
              rows, "Least and greatest backlash side by side");
}

const design::HistoryResult* history_of(const design::Study& study, const std::string& id) {
  const auto& all = study.warmup.histories;
  const auto found =
      std::find_if(all.begin(), all.end(), [&id](const auto& history) { return history.id == id; });
  return found == all.end() ? nullptr : &*found;
}

// Least backlash of a mesh over a history of one side, as it is judged there, with its time.
End least_over(const design::HistoryResult* history, const std::string& mesh,
               const Measures& measures) {
  if (history == nullptr) {
    return {{"no such history", {}}, {}};
  }
  const MeshResult* result = mesh_of(history->backlash, mesh);
  if (result == nullptr) {
    return {{"no such mesh", {}}, {}};
  }
  if (!result->least) {
    return {{"not computed", {}}, {}};
  }
  const design::MeshState& at = result->states[*result->least];
  return {measures.gap_cell(judged_low(at.gap.j_wt, result->basis)),
          {time_text(*history->backlash.states[at.state].time, time_scale_of(*history)), {}}};
}

void write_histories(HtmlWriter& html, const PageInput& input, const design::Study& second,
                     const Sides& sides) {
  const Measures measures(input.options.view.units);
  std::vector<std::string> histories;
  std::vector<std::string> meshes;
  const auto add = [](std::vector<std::string>& ids, const std::string& id) {
    if (std::find(ids.begin(), ids.end(), id) == ids.end()) {
      ids.push_back(id);
    }
  };
  for (const design::Study* study : {&input.study, &second}) {
    for (const design::HistoryResult& history : study->warmup.histories) {
      add(histories, history.id);
      for (const MeshResult& mesh : history.backlash.meshes) {
        if (shows_mesh(input.options.view, mesh.id)) {
          add(meshes, mesh.id);
        }
      }
    }
  }
  std::vector<std::vector<Cell>> rows;
  for (const std::string& history : histories) {
    for (const std::string& mesh : meshes) {
      const End a = least_over(history_of(input.study, history), mesh, measures);
      const End b = least_over(history_of(second, history), mesh, measures);
      rows.push_back({Measures::text_cell(history), Measures::text_cell(mesh), a.gap, a.state,
                      b.gap, b.state});
    }
  }
  if (!rows.empty()) {
    write_table(html,
                {Measures::text("history", "history"), Measures::text("mesh", "mesh"),
                 measures.gap("first", sides.first), Measures::text("first_at", "at"),
                 measures.gap("second", sides.second), Measures::text("second_at", "at")},
                rows, "Least backlash over time side by side, each as its file judges it");
  }
}

void write_meshes(HtmlWriter& html, const PageInput& input, const Sides& sides) {
  const Measures measures(input.options.view.units);
  const Colours colours = Colours::of_page();
  for (const MeshCharts& shown : input.charts.meshes) {
    const auto compared =
        compared_mesh({input.study, sides.first}, {input.options.other->study, sides.second},
                      shown.mesh, measures, colours);
    if (compared) {
      write_charts(html, compared->charts, input);
      write_data(html, compared->states);
    }
  }
}

}  // namespace

Section comparison_section(const PageInput& input) {
  if (!input.options.other) {
    return {};
  }
  const Comparison& other = *input.options.other;
  const BacklashResult& first = input.study.backlash();
  const BacklashResult& second = other.study.backlash();
  Sides sides{named(input.options.input_name), named(other.name)};
  if (sides.first == sides.second) {
    sides = {"first " + sides.first, "second " + sides.second};
  }
  HtmlWriter html;
  html.element("p", sides.first + ", on " + named(first.carrier) + ", beside " + sides.second +
                        ", on " + named(second.carrier) + ". The rest of this page is about " +
                        sides.first + ".");
  write_changes(html, other.changes, sides);
  write_verdicts(html, input, first, second, sides);
  write_ends(html, input, first, second, sides);
  write_histories(html, input, other.study, sides);
  write_meshes(html, input, sides);
  return {"comparison", "Beside " + sides.second, html.take()};
}

}  // namespace lashband::report
