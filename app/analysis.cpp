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

// Whether it reads as the name of a moment of some history, "cold start at 140.25 s".
bool may_be_moment(const std::string& id, const design::Design& design) {
  return std::any_of(
      design.histories.begin(), design.histories.end(), [&id](const design::History& history) {
        return id.rfind(history.id + " at ", 0) == 0 && id.substr(id.size() - 2) == " s";
      });
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

std::size_t shaft_named(const design::Design& design, const std::string& id,
                        const std::string& option) {
  return place_of(id, ids_of(design.shafts), option, "shaft");
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
    const std::vector<std::string> histories = ids_of(design.histories);
    names.insert(names.end(), histories.begin(), histories.end());
    bool is_single_state = may_be_moment(*options.view.condition, design);
    for (const design::State& state : states_of(design)) {
      is_single_state = is_single_state || state.id == *options.view.condition;
    }
    if (!is_single_state) {
      (void)place_of(*options.view.condition, names, "--condition", "condition");
    }
  }
  return design;
}

void check_histories(const design::Design& design, const AnalysisOptions& options) {
  if (design.histories.empty()) {
    throw UsageError(
        options.file +
        " has no history: warmup needs the key \"histories\", each a record of measured "
        "temperatures (\"file\") or what a \"thermal_network\" goes through; docs/warm-up.md "
        "tells how");
  }
  if (options.view.condition) {
    (void)place_of(*options.view.condition, ids_of(design.histories), "--condition", "history");
  }
}

void check_moment(const std::vector<design::State>& states, const AnalysisOptions& options) {
  const std::optional<std::string>& asked = options.view.condition;
  if (!asked) {
    return;
  }
  const auto any = [&states](const auto& is) {
    return std::any_of(states.begin(), states.end(), is);
  };
  const bool reads_as_moment = any([&asked](const design::State& state) {
    return state.time && asked->rfind(state.condition + " at ", 0) == 0;
  });
  const bool found = any([&asked](const design::State& state) {
    return state.id == *asked || state.condition == *asked;
  });
  if (reads_as_moment && !found) {
    throw UsageError(
        "--condition: \"" + *asked +
        "\" is none of the moments that this analysis looks at; CSV and JSON list them");
  }
}

}  // namespace lashband::app
