#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "lashband/materials/material.hpp"

/// Materials from files: those that the program ships, and the user's own. A file holds one record;
/// docs/input-format.md describes it.
namespace lashband::io {

using MaterialPointer = std::shared_ptr<const materials::Material>;

/// The shipped material with exactly that id, or null. Reads no other material's file. Safe to call
/// from several threads.
[[nodiscard]] MaterialPointer load_shipped(std::string_view id);

/// Every shipped material, in the order of their ids.
[[nodiscard]] std::vector<MaterialPointer> shipped_materials();

/// The material of the record in `text`; `name` stands for the file in errors.
/// Throws InputErrors with everything that is wrong with the record.
[[nodiscard]] MaterialPointer read_material_text(std::string_view text, const std::string& name);

/// The material of a file. Throws InputErrors, also where the file cannot be read.
[[nodiscard]] MaterialPointer read_material_file(const std::filesystem::path& file);

/// The same for a file that is to be used beside the shipped ones: throws InputErrors also where
/// the id is a shipped one.
MaterialPointer check_material_file(const std::filesystem::path& file);

/// The materials of every *.json file in the folder, in the order of their ids. Throws InputErrors
/// with everything that is wrong in any of them, where an id is a shipped one or stands twice, and
/// where the folder cannot be read. A folder without such a file is an error too.
[[nodiscard]] std::vector<MaterialPointer> materials_in_folder(const std::filesystem::path& folder);

}  // namespace lashband::io
