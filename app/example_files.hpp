#pragma once

#include <span>

#include "lashband/io/embedded_file.hpp"

namespace lashband::app {

/// Every file under examples/*/, sorted by name ("rail_compressor/train.json"). Made by the build.
[[nodiscard]] std::span<const io::EmbeddedFile> example_files();

}  // namespace lashband::app
