#include "analysis.hpp"

#include <algorithm>
#include <iostream>
#include <iterator>
#include <string>
#include <thread>
#include <vector>

#include "errors.hpp"
#include "lashband/io/design_file.hpp"
#include "suggestion.hpp"

namespace lashband::app {
namespace {

std::string list_of(const std::vector<std::string>& names) {
  std::string list;
  for (const std::string& name : names) {
    list += (list.empty() ? "\"" : ", \"") + name + "\"";
  }
  return list;
}

// The place of `id` among `names`; otherwise an error that says what there is.
std::size_t place_of(const std::string& id, const std::vector<std::string>& names,
                     const std::string& option, const std::string& what) {
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (names[i] == id) {
      return i;
    }
  }
  throw UsageError(option + ": the file has no " + what + " \"" + id + "\"" +
                   suggestion(id, names) + " It has " + list_of(names));
}

template <class Items>
std::vector<std::string> ids_of(const Items& items) {
  std::vector<std::string> ids;
  ids.reserve(items.size());
  for (const auto& item : items) {
    ids.push_back(item.id);
  }
  return ids;
}

}  // namespace

design::RunOptions run_options(const AnalysisOptions& options) {
  design::RunOptions run;
  run.extrapolation =
      options.extrapolate ? materials::Extrapolation::allow : materials::Extrapolation::refuse;
  run.seed = options.seed;
  run.samples = options.samples;
  run.threads =
      options.threads ? *options.threads : std::max(1U, std::thread::hardware_concurrency());
  return run;
}

InputText input_text(const AnalysisOptions& options) {
  if (options.file != "-") {
    const std::filesystem::path file = options.file;
    return {file.string(), io::read_input_text(file), file.parent_path()};
  }
  return {"<stdin>", std::string{std::istreambuf_iterator<char>(std::cin), {}}, "."};
}

design::Design design_for(const AnalysisOptions& options) {
  return design_for(options, input_text(options));
}

design::Design design_for(const AnalysisOptions& options, const InputText& input) {
  io::ReadOptions read_options;
  read_options.materials_folder = options.materials_folder;
  read_options.extrapolation = run_options(options).extrapolation;
  design::Design design =
      io::read_design_text(input.text, input.name, input.base_folder, read_options);
  if (options.carrier) {
    design.carrier_in_use =
        place_of(*options.carrier, ids_of(design.carriers), "--carrier", "carrier");
  }
  if (options.view.mesh) {
    (void)place_of(*options.view.mesh, ids_of(design.meshes), "--mesh", "mesh");
  }
  if (options.view.condition) {
    std::vector<std::string> names = ids_of(design.conditions);
    if (design.soak) {
      names.emplace_back("soak");
    }
    bool is_soak_point = false;
    for (const design::State& state : states_of(design)) {
      is_soak_point = is_soak_point || state.id == *options.view.condition;
    }
    if (!is_soak_point) {
      (void)place_of(*options.view.condition, names, "--condition", "condition");
    }
  }
  return design;
}

}  // namespace lashband::app
