#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "html_writer.hpp"
#include "lashband/report/html.hpp"
#include "report/chart/chart.hpp"
#include "report/chart/data_table.hpp"
#include "report/chart/study_charts.hpp"

// What the sections of the page share.
namespace lashband::report {

/// The specifications that are in the page already, by their text: charts of unlike tables may look
/// the same, and then share one.
using SpecificationIds = std::map<std::string, std::string>;

/// What every section is written from.
struct PageInput {
  const design::Study& study;
  const ReportOptions& options;
  const StudyCharts& charts;
  SpecificationIds& specifications;
  bool draws = false;  ///< the program has what draws charts in a browser
};

/// Section of the page: its place in the address, its heading and what it holds. No body, no
/// section.
struct Section {
  std::string id{};
  std::string title{};
  std::string body{};
};

/// A table with a head of these columns. Numbers are aligned at the right and carry their full
/// value; a `wide` table may be scrolled on a narrow screen.
void write_table(HtmlWriter& html, const std::vector<Column>& columns,
                 const std::vector<std::vector<Cell>>& rows, std::string_view caption);

/// The numbers behind charts, open until a script closes them.
void write_data(HtmlWriter& html, const DataTable& table);

/// Charts, each with its title and what to see in it. Without what draws them, the text alone.
void write_charts(HtmlWriter& html, const std::vector<Chart>& charts, const PageInput& input);

/// The charts of one kind of every mesh that has them, below the name of the mesh.
void write_mesh_charts(HtmlWriter& html, std::vector<Chart> MeshCharts::*kind,
                       const PageInput& input);

/// A limit or what was found, shown as `text`: rows of one table may be of different kinds.
[[nodiscard]] Cell requirement_cell(const design::RequirementRow& row, double value,
                                    const std::string& text);

/// The requirements of the carrier in use: of its meshes, its loops and its torsional model, then
/// of lost motion.
[[nodiscard]] std::vector<design::RequirementRow> requirements_in_use(const design::Study& study);

/// How many of a table's rows or columns are shown, unless all are; `what` names them, as "shafts",
/// and `command` is that of the program which gives all.
void tell_left_out(HtmlWriter& html, std::size_t shown, std::size_t all, std::string_view what,
                   std::string_view command);

/// A list of texts.
void write_list(HtmlWriter& html, const std::vector<std::string>& texts);

/// What could not be computed, one text each; of the moments of one history that fail in the same
/// thing, the first with the count of the others. `states` are those that the failures are at.
[[nodiscard]] std::vector<std::string> failure_texts(const std::vector<design::Failure>& failures,
                                                     const std::vector<design::State>& states);

/// "1 requirement", "3 requirements".
[[nodiscard]] std::string counted(std::size_t count, const std::string& one,
                                  const std::string& several);

}  // namespace lashband::report
