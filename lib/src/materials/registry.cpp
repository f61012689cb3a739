#include "lashband/materials/registry.hpp"

#include <utility>

#include "lashband/error.hpp"
#include "lashband/nearest_name.hpp"

namespace lashband::materials {

void MaterialRegistry::add(std::shared_ptr<const Material> material) {
  if (!material) {
    throw DomainError("no material was given to the registry");
  }
  const std::string& id = material->id();
  if (materials_.contains(id)) {
    throw DomainError("material '" + id + "' is known already; an id may be given only once");
  }
  materials_.emplace(id, std::move(material));
}

std::shared_ptr<const Material> MaterialRegistry::find(std::string_view id) const {
  const auto found = materials_.find(id);
  return found == materials_.end() ? nullptr : found->second;
}

std::shared_ptr<const Material> MaterialRegistry::at(std::string_view id) const {
  if (auto material = find(id)) {
    return material;
  }
  const std::optional<std::string> nearest = nearest_id(id);
  throw MaterialError("material '" + std::string(id) + "' is not known" +
                      (nearest ? "; did you mean '" + *nearest + "'?" : std::string()));
}

std::optional<std::string> MaterialRegistry::nearest_id(std::string_view written) const {
  return nearest_name(written, ids());
}

std::vector<std::string> MaterialRegistry::ids() const {
  std::vector<std::string> ids;
  ids.reserve(materials_.size());
  for (const auto& [id, material] : materials_) {
    ids.push_back(id);
  }
  return ids;
}

std::string material_file_name(std::string_view id) {
  std::string name;
  bool between = false;
  for (const char c : id) {
    const bool upper = c >= 'A' && c <= 'Z';
    const bool kept = upper || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    if (!kept) {
      between = !name.empty();
      continue;
    }
    if (between) {
      name += '_';
      between = false;
    }
    name += upper ? static_cast<char>(c - 'A' + 'a') : c;
  }
  if (name.empty()) {
    throw DomainError("material id '" + std::string(id) +
                      "' has no letter a-z and no digit to make a file name of");
  }
  return name + ".json";
}

}  // namespace lashband::materials
