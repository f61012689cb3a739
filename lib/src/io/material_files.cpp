#include "lashband/io/material_files.hpp"

#include <algorithm>
#include <map>
#include <system_error>

#include "io/decode.hpp"
#include "io/embedded_files.hpp"
#include "io/file_text.hpp"
#include "io/material_reader.hpp"
#include "lashband/error.hpp"
#include "lashband/io/input_error.hpp"
#include "lashband/materials/registry.hpp"

namespace lashband::io {
namespace {

void throw_problems(const SourceFile& file) {
  if (file.problem_count() > 0) {
    throw InputErrors(file.problems());
  }
}

/// Reads the one record of a file; the problems stay in `file`.
MaterialPointer read_record(SourceFile& file, RecordOrigin origin, bool must_be_new) {
  const json::Value* root = file.root();
  if (root == nullptr) {
    return nullptr;
  }
  const ReadMaterial read = read_material(Field(file, *root, ""), origin);
  if (must_be_new) {
    refuse_shipped_id(read);
  }
  return read.material;
}

MaterialPointer material_of(std::string_view text, const std::string& name, RecordOrigin origin,
                            bool must_be_new) {
  SourceFile file(name, text);
  MaterialPointer material = read_record(file, origin, must_be_new);
  throw_problems(file);
  return material;
}

MaterialPointer shipped_material_of(const EmbeddedFile& file) {
  return material_of(file.text, "shipped material " + std::string(file.name), RecordOrigin::shipped,
                     false);
}

void sort_by_id(std::vector<MaterialPointer>& list) {
  std::sort(list.begin(), list.end(),
            [](const MaterialPointer& a, const MaterialPointer& b) { return a->id() < b->id(); });
}

std::vector<std::filesystem::path> json_files_in(const std::filesystem::path& folder) {
  std::error_code problem;
  std::filesystem::directory_iterator entries(folder, problem);
  std::vector<std::filesystem::path> files;
  for (; !problem && entries != std::filesystem::directory_iterator(); entries.increment(problem)) {
    if (entries->path().extension() == ".json") {
      files.push_back(entries->path());
    }
  }
  if (problem) {
    throw InputErrors(
        {InputProblem{folder.string(), 0, 0, "",
                      "the folder of materials cannot be read: " + problem.message()}});
  }
  if (files.empty()) {
    throw InputErrors({InputProblem{folder.string(), 0, 0, "",
                                    "the folder of materials has no *.json file; allowed is a "
                                    "folder with one file for each material"}});
  }
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace

MaterialPointer load_shipped(std::string_view id) {
  std::string name;
  try {
    name = materials::material_file_name(id);
  } catch (const DomainError&) {
    return nullptr;  // no letter or digit: no material is called so
  }
  const auto files = shipped_material_files();
  const auto file = std::lower_bound(
      files.begin(), files.end(), name,
      [](const EmbeddedFile& entry, const std::string& wanted) { return entry.name < wanted; });
  if (file == files.end() || file->name != name) {
    return nullptr;
  }
  MaterialPointer material = shipped_material_of(*file);
  // Several ids lead to one file name; only one of them is the material's.
  return material->id() == id ? material : nullptr;
}

std::vector<MaterialPointer> shipped_materials() {
  std::vector<MaterialPointer> list;
  for (const EmbeddedFile& file : shipped_material_files()) {
    list.push_back(shipped_material_of(file));
  }
  sort_by_id(list);
  return list;
}

MaterialPointer read_material_text(std::string_view text, const std::string& name) {
  return material_of(text, name, RecordOrigin::user, false);
}

MaterialPointer read_material_file(const std::filesystem::path& file) {
  return read_material_text(file_text(file, file.string()), file.string());
}

MaterialPointer check_material_file(const std::filesystem::path& file) {
  return material_of(file_text(file, file.string()), file.string(), RecordOrigin::user, true);
}

std::vector<MaterialPointer> materials_in_folder(const std::filesystem::path& folder) {
  std::vector<MaterialPointer> list;
  std::vector<InputProblem> problems;
  std::map<std::string, std::string> file_of_id;
  for (const std::filesystem::path& path : json_files_in(folder)) {
    try {
      const std::string text = file_text(path, path.string());
      SourceFile file(path.string(), text);
      const json::Value* root = file.root();
      if (root != nullptr) {
        const ReadMaterial read = read_material(Field(file, *root, ""), RecordOrigin::user);
        refuse_shipped_id(read);
        if (read.id) {
          const auto [first, is_new] = file_of_id.emplace(*read.id, path.string());
          if (!is_new) {
            read.id_field.report("read the id " + in_quotes(*read.id) + ", which " + first->second +
                                 " has already; allowed is each id once");
          }
        }
        list.push_back(read.material);
      }
      throw_problems(file);
    } catch (const InputErrors& errors) {
      problems.insert(problems.end(), errors.problems().begin(), errors.problems().end());
    }
  }
  if (!problems.empty()) {
    throw InputErrors(std::move(problems));
  }
  sort_by_id(list);
  return list;
}

void refuse_shipped_id(const ReadMaterial& read) {
  if (read.id && load_shipped(*read.id)) {
    read.id_field.report("read the id " + in_quotes(*read.id) +
                         ", which a shipped material has; allowed is an id of your own");
  }
}

}  // namespace lashband::io
