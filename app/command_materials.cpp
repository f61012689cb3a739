#include <algorithm>
#include <iostream>
#include <string>
#include <vector>

#include "commands.hpp"
#include "errors.hpp"
#include "exit_codes.hpp"
#include "lashband/io/material_files.hpp"
#include "lashband/report/material_text.hpp"
#include "output.hpp"
#include "suggestion.hpp"

namespace lashband::app {
namespace {

// The shipped materials and those of the folder, in the order of their ids.
std::vector<io::MaterialPointer> known_materials(
    const std::optional<std::filesystem::path>& folder) {
  std::vector<io::MaterialPointer> all = io::shipped_materials();
  if (folder) {
    const auto own = io::materials_in_folder(*folder);
    all.insert(all.end(), own.begin(), own.end());
    std::sort(all.begin(), all.end(),
              [](const auto& a, const auto& b) { return a->id() < b->id(); });
  }
  return all;
}

}  // namespace

int run(const MaterialsListCommand& command) {
  std::vector<io::MaterialPointer> shown = known_materials(command.materials_folder);
  if (command.family) {
    std::vector<std::string> families;
    families.reserve(shown.size());
    for (const auto& material : shown) {
      families.push_back(material->record().family);
    }
    std::sort(families.begin(), families.end());
    families.erase(std::unique(families.begin(), families.end()), families.end());
    if (std::find(families.begin(), families.end(), *command.family) == families.end()) {
      std::string list;
      for (const std::string& family : families) {
        list += (list.empty() ? "" : ", ") + family;
      }
      throw UsageError("there is no material of the family \"" + *command.family +
                       "\"; there are " + list);
    }
    shown.erase(std::remove_if(shown.begin(), shown.end(),
                               [&](const auto& material) {
                                 return material->record().family != *command.family;
                               }),
                shown.end());
  }
  write_output(report::material_list(shown), {});
  return done;
}

int run(const MaterialsShowCommand& command) {
  std::vector<std::string> ids;
  for (const auto& material : known_materials(command.materials_folder)) {
    if (material->id() == command.id) {
      write_output(report::material_sheet(*material), {});
      return done;
    }
    ids.push_back(material->id());
  }
  throw UsageError("there is no material \"" + command.id + "\"" + suggestion(command.id, ids) +
                   " lashband materials lists them");
}

int run(const MaterialsCheckCommand& command) {
  const io::MaterialPointer material = io::check_material_file(command.file);
  write_output(
      "  " + command.file.string() + " is a usable record:\n" + report::material_sheet(*material),
      {});
  return done;
}

}  // namespace lashband::app
