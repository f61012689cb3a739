#include "lashband/io/design_file.hpp"

#include <algorithm>
#include <utility>

#include "io/design_draft.hpp"
#include "io/file_text.hpp"

namespace lashband::io {
namespace {

constexpr double format_version = 1.0;

/// Whether the file is of this program's format; reports where not.
bool read_version(const Field& field) {
  constexpr ValueRule rule{"1, the version of this format",
                           [](double version) { return version == format_version; }};
  return read_number(field, rule).has_value();
}

/// The section `dampers`, which later versions read: only its kind is looked at.
void read_dampers(Draft& draft, const Field& list) {
  const auto entries = read_list(list, "a list of dampers", 0);
  if (!entries) {
    return;
  }
  for (const Field& entry : *entries) {
    static_cast<void>(read_object(entry, "an object"));
  }
  draft.remarks.sections.emplace_back("dampers");
}

/// Reads the files that the sections name, in the order of the text.
void read_files(Draft& draft, const Field& histories, const Field& torsion) {
  std::vector<Field> names = files_of_histories(histories);
  const std::vector<Field> of_torsion = files_of_torsion(torsion);
  names.insert(names.end(), of_torsion.begin(), of_torsion.end());
  std::stable_sort(names.begin(), names.end(),
                   [](const Field& a, const Field& b) { return a.offset() < b.offset(); });
  draft.measured.read(names);
}

void read_top_level(Draft& draft, ObjectReader& object) {
  if (const auto title = read_line(object.optional("title"), "a title, text on one line")) {
    draft.title = *title;
  }
  if (const auto reference = read_quantity<units::Temperature>(
          object.optional("reference_temperature"), {"a temperature level", rules::any})) {
    draft.reference_temperature = *reference;
  }
  read_zones(draft, object.required("zones"));
  draft.materials.add_own(object.optional("materials"));
  const Field carriers = object.required("carriers");
  read_carriers(draft, carriers, object.optional("carrier"));
  read_shafts(draft, object.required("shafts"));
  read_gears(draft, object.required("gears"));
  read_meshes(draft, object.required("meshes"));
  read_train(draft, object.optional("train"));
  read_excitations(draft, object.optional("excitations"));
  read_expansion_groups(draft, object.optional("expansion_groups"));
  read_correlations(draft, object.optional("correlations"));
  const Field conditions = object.optional("conditions");
  const Field soak = object.optional("soak");
  const Field network = object.optional("thermal_network");
  const Field histories = object.optional("histories");
  const Field torsion = object.optional("torsion");
  read_files(draft, histories, torsion);
  read_states(draft, conditions, soak, histories);
  read_thermal_network(draft, network);
  read_histories(draft, histories);
  read_torsion(draft, torsion);
  read_dampers(draft, object.optional("dampers"));
  object.refuse_unknown_keys();
  check_places_along_shafts(draft);
  check_temperatures(draft);
}

void read_document(Draft& draft) {
  const json::Value* root = draft.file.root();
  if (root == nullptr) {
    return;
  }
  auto object = read_object(Field(draft.file, *root, ""), "one object in braces");
  if (!object) {
    return;
  }
  const Field version = object->required("lashband");
  if (!read_version(version) && version.given() &&
      std::holds_alternative<double>(version.value().data)) {
    return;  // a file of another version: what else it says means something else
  }
  read_top_level(draft, *object);
}

}  // namespace

design::Design read_design_text(std::string_view text, const std::string& name,
                                const std::filesystem::path& base_folder,
                                const ReadOptions& options) {
  SourceFile file(name, text);
  std::vector<InputProblem> problems_of_folder;
  std::vector<MaterialPointer> of_folder;
  if (options.materials_folder) {
    try {
      of_folder = materials_in_folder(*options.materials_folder);
    } catch (const InputErrors& errors) {
      problems_of_folder = errors.problems();
    }
  }
  MaterialShelf shelf(std::move(of_folder), problems_of_folder.empty());
  MeasuredFiles measured(base_folder, text);
  Draft draft(file, options, shelf, measured);
  read_document(draft);
  std::vector<InputProblem> problems = file.problems();
  problems.insert(problems.end(), measured.problems().begin(), measured.problems().end());
  problems.insert(problems.end(), problems_of_folder.begin(), problems_of_folder.end());
  if (!problems.empty()) {
    throw InputErrors(std::move(problems));
  }
  design::Design design = finished(draft);
  check_contributors(draft, design);
  if (file.problem_count() > 0) {
    throw InputErrors(file.problems());
  }
  design.digest = measured.digest();
  return design;
}

design::Design read_design_file(const std::filesystem::path& file, const ReadOptions& options) {
  return read_design_text(read_input_text(file), file.string(), file.parent_path(), options);
}

std::string read_input_text(const std::filesystem::path& file) {
  return file_text(file, file.string());
}

}  // namespace lashband::io
