#include <algorithm>
#include <iostream>
#include <string>
#include <string_view>
#include <vector>

#include "commands.hpp"
#include "errors.hpp"
#include "example_files.hpp"
#include "exit_codes.hpp"
#include "output.hpp"
#include "suggestion.hpp"

namespace lashband::app {
namespace {

namespace fs = std::filesystem;

std::string folder_of(std::string_view name) {
  return std::string(name.substr(0, name.find('/')));
}

std::vector<std::string> example_names() {
  std::vector<std::string> names;
  for (const io::EmbeddedFile& file : example_files()) {
    if (names.empty() || names.back() != folder_of(file.name)) {
      names.push_back(folder_of(file.name));
    }
  }
  return names;
}

// The heading of an example's README says in one line what it is.
std::string heading(const std::string& example) {
  for (const io::EmbeddedFile& file : example_files()) {
    if (file.name == example + "/README.md") {
      const std::string_view line = file.text.substr(0, file.text.find('\n'));
      return std::string(line.substr(std::min(line.find_first_not_of("# "), line.size())));
    }
  }
  return "";
}

int list() {
  for (const std::string& name : example_names()) {
    std::cout << name << "\n    " << heading(name) << '\n';
  }
  std::cout << "\nlashband example NAME writes one to a folder to start from.\n";
  return done;
}

}  // namespace

int run(const ExampleCommand& command) {
  if (!command.name) {
    return list();
  }
  const std::vector<std::string> names = example_names();
  const std::string& name = *command.name;
  if (std::find(names.begin(), names.end(), name) == names.end()) {
    throw UsageError("there is no example \"" + name + "\"" + suggestion(name, names) +
                     " lashband example lists them");
  }
  const fs::path folder = command.folder.value_or(name);
  std::vector<const io::EmbeddedFile*> files;
  for (const io::EmbeddedFile& file : example_files()) {
    if (folder_of(file.name) == name) {
      files.push_back(&file);
    }
  }
  const auto target = [&](const io::EmbeddedFile& file) {
    return folder / file.name.substr(name.size() + 1);
  };
  // Nothing is written unless everything can be.
  for (const io::EmbeddedFile* file : files) {
    check_output({target(*file), command.force, command.quiet});
  }
  for (const io::EmbeddedFile* file : files) {
    std::error_code error;
    fs::create_directories(target(*file).parent_path(), error);
    if (error) {
      throw OutputError("cannot make the folder " + target(*file).parent_path().string() + ": " +
                        error.message());
    }
    write_file(target(*file), file->text, command.force);
  }
  if (!command.quiet) {
    std::cerr << "wrote " << files.size() << " files to " << folder.string()
              << "; next: lashband backlash " << (folder / "train.json").string() << '\n';
  }
  return done;
}

}  // namespace lashband::app
