#pragma once

#include <span>

#include "lashband/io/embedded_file.hpp"

/// Files built into the library; the build writes these functions.
namespace lashband::io {

/// The folder materials/, sorted by name.
[[nodiscard]] std::span<const EmbeddedFile> shipped_material_files();

/// The folder lib/src/io/schema/, sorted by name.
[[nodiscard]] std::span<const EmbeddedFile> schema_files();

}  // namespace lashband::io
