#include "io/material_shelf.hpp"

#include <algorithm>
#include <iterator>

#include "io/material_reader.hpp"

namespace lashband::io {

MaterialShelf::MaterialShelf(std::vector<MaterialPointer> of_folder, bool folder_is_complete)
    : complete_(folder_is_complete) {
  for (MaterialPointer& material : of_folder) {
    of_folder_.insert(material->id());
    std::string id = material->id();
    known_.emplace(std::move(id), std::move(material));
  }
}

void MaterialShelf::add_own(const Field& list) {
  const auto entries = read_list(list, "a list of up to 1000 materials", 0, most_entries);
  if (!entries) {
    complete_ = complete_ && !list.given();
    return;
  }
  Names names("material", "materials");
  for (const Field& entry : *entries) {
    const ReadMaterial read = read_material(entry, RecordOrigin::user);
    names.add(read.id, read.id_field);
    if (!read.id) {
      complete_ = false;
      continue;
    }
    refuse_shipped_id(read);
    if (of_folder_.contains(*read.id)) {
      read.id_field.report(
          "read the id " + in_quotes(*read.id) +
          ", which a material of the materials folder has; allowed is each id once");
    }
    if (known_.emplace(*read.id, read.material).second) {
      own_.push_back(*read.id);
    }
  }
}

MaterialPointer MaterialShelf::find(const Field& field) {
  if (const auto* id = field.given() ? std::get_if<std::string>(&field.value().data) : nullptr) {
    used_.insert(*id);
  }
  return look_up(field);
}

MaterialPointer MaterialShelf::look_up(const Field& field) {
  const auto id = read_name(field, "the id of a material, such as \"C45\"");
  if (!id) {
    return nullptr;
  }
  const auto known = known_.find(*id);
  if (known != known_.end()) {
    return known->second;
  }
  if (MaterialPointer shipped = load_shipped(*id)) {
    known_.emplace(*id, shipped);
    return shipped;
  }
  if (complete_) {
    std::string message = "read " + in_quotes(*id) + ", which is no known material";
    if (field.file().suggests_names()) {
      const std::vector<std::string> added = added_ids();
      std::vector<std::string> all = added;
      for (const MaterialPointer& shipped : shipped_materials()) {
        all.push_back(shipped->id());
      }
      message += nearest_hint(*id, all) +
                 "; allowed are the shipped materials, which `lashband materials` lists" +
                 (added.empty() ? "" : ", and " + listed(added));
    }
    field.report(std::move(message));
  }
  return nullptr;
}

std::vector<std::string> MaterialShelf::unused_own() const {
  std::vector<std::string> unused;
  std::copy_if(own_.begin(), own_.end(), std::back_inserter(unused),
               [this](const std::string& id) { return !used_.contains(id); });
  return unused;
}

std::vector<std::string> MaterialShelf::added_ids() const {
  std::vector<std::string> ids = own_;
  ids.insert(ids.end(), of_folder_.begin(), of_folder_.end());
  return ids;
}

}  // namespace lashband::io
