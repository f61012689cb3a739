#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "lashband/design/design.hpp"
#include "lashband/materials/temperature_range.hpp"

/// The input file of a gear train, as docs/input-format.md describes it.
namespace lashband::io {

struct ReadOptions {
  /// A folder whose material files are known beside the shipped ones.
  std::optional<std::filesystem::path> materials_folder;
  /// With `allow`, a temperature outside a material's range is a note of the design, not an error.
  materials::Extrapolation extrapolation = materials::Extrapolation::refuse;
};

/// The design that the file describes, every name resolved and everything checked that needs no
/// computation over temperature.
///
/// Throws InputErrors with every problem of the file (and of the materials folder) unless all of it
/// can be used; a file that cannot be read is such a problem.
[[nodiscard]] design::Design read_design_file(const std::filesystem::path& file,
                                              const ReadOptions& options = {});

/// The same for a text. `name` stands for the file in errors. `base_folder` is where relative names
/// of files of measured values within the text begin. The design's digest is that of the text and
/// these files, in the order in which the text first names them.
[[nodiscard]] design::Design read_design_text(std::string_view text, const std::string& name,
                                              const std::filesystem::path& base_folder,
                                              const ReadOptions& options = {});

/// The bytes of an input file, for `read_design_text`. Throws InputErrors where it is missing, no
/// plain file, unreadable or larger than 16 MiB.
[[nodiscard]] std::string read_input_text(const std::filesystem::path& file);

}  // namespace lashband::io
