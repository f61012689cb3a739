#pragma once

#include <cstddef>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lashband/materials/material.hpp"

namespace lashband::materials {

/// The materials that are known, by id. In memory only: io fills it from files and from the input.
class MaterialRegistry {
 public:
  /// Throws DomainError if the id is known already or there is no material.
  void add(std::shared_ptr<const Material> material);

  /// The material with exactly that id, or none.
  [[nodiscard]] std::shared_ptr<const Material> find(std::string_view id) const;

  /// The material with exactly that id. Throws MaterialError that suggests the nearest known id.
  [[nodiscard]] std::shared_ptr<const Material> at(std::string_view id) const;

  /// The known id that `written` most likely stands for (see nearest_name).
  [[nodiscard]] std::optional<std::string> nearest_id(std::string_view written) const;

  /// Every id, in the order of their characters.
  [[nodiscard]] std::vector<std::string> ids() const;

  [[nodiscard]] std::size_t size() const { return materials_.size(); }

 private:
  std::map<std::string, std::shared_ptr<const Material>, std::less<>> materials_;
};

/// The name under which a material is kept as a file: the id in lower case, `_` for every run of
/// characters that are not letters a-z or digits, none at the ends, and ".json". "EN AC-43500" is
/// en_ac_43500.json, "18CrNiMo7-6" is 18crnimo7_6.json. Throws DomainError if no letter or digit is
/// left.
[[nodiscard]] std::string material_file_name(std::string_view id);

}  // namespace lashband::materials
