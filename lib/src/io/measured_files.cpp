#include "io/measured_files.hpp"

#include <algorithm>
#include <utility>

namespace lashband::io {
namespace {

bool same(const InputProblem& a, const InputProblem& b) {
  return a.line == b.line && a.column == b.column && a.file == b.file && a.message == b.message;
}

}  // namespace

MeasuredFiles::MeasuredFiles(std::filesystem::path base_folder, std::string_view text)
    : base_folder_(std::move(base_folder)) {
  digest_.add(text);
}

void MeasuredFiles::read(const std::vector<Field>& names) {
  for (const Field& field : names) {
    const auto* name = std::get_if<std::string>(&field.value().data);
    if (name == nullptr || tables_.contains(*name)) {
      continue;
    }
    if (tables_.size() == most_measured_files) {
      field.report("read " + in_quotes(*name) + ", file number " +
                   std::to_string(most_measured_files + 1) + "; allowed are up to " +
                   std::to_string(most_measured_files) + " files");
      return;
    }
    tables_.emplace(*name, table(field, *name));
  }
}

const MeasuredTable* MeasuredFiles::find(const Field& name) const {
  const auto* text = name.given() ? std::get_if<std::string>(&name.value().data) : nullptr;
  const auto entry = text != nullptr ? tables_.find(*text) : tables_.end();
  return entry != tables_.end() && entry->second ? &*entry->second : nullptr;
}

void MeasuredFiles::add_problem(const InputProblem& problem) {
  const bool is_known =
      std::any_of(problems_.begin(), problems_.end(),
                  [&problem](const InputProblem& known) { return same(known, problem); });
  if (!is_known && problems_.size() < json::most_problems) {
    problems_.push_back(problem);
  }
}

void MeasuredFiles::add_problems(const InputErrors& errors) {
  for (const InputProblem& problem : errors.problems()) {
    add_problem(problem);
  }
}

std::optional<MeasuredTable> MeasuredFiles::table(const Field& field, const std::string& name) {
  if (name.find('\0') != std::string::npos) {
    return std::nullopt;  // no name of a file, which the reader of the field reports
  }
  try {
    return read_measured_table(base_folder_ / std::filesystem::path(name), name,
                               [this](std::string_view bytes) { digest_.add(bytes); });
  } catch (const InputErrors& errors) {
    const InputProblem& first = errors.problems().front();
    if (first.line == 0) {
      field.report("read " + in_quotes(name) + ": " + first.message);
    } else {
      add_problems(errors);
    }
    return std::nullopt;
  }
}

std::optional<std::string> read_file_name(const Field& field) {
  return read_name(field, "the name of a file, such as \"cold_start.csv\"");
}

std::optional<std::size_t> find_column(MeasuredFiles& files, const MeasuredTable& table,
                                       const std::string& name) {
  std::vector<std::string> names;
  names.reserve(table.heads.size());
  for (std::size_t i = 0; i < table.heads.size(); ++i) {
    if (table.heads[i].name == name) {
      return i;
    }
    names.push_back(table.heads[i].name);
  }
  files.add_problem({table.file, table.head_line, 1, "",
                     "there is no column " + in_quotes(name) + nearest_hint(name, names) +
                         (names.size() == 1 ? "; the column is " : "; the columns are ") +
                         listed(names)});
  return std::nullopt;
}

}  // namespace lashband::io
