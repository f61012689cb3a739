#pragma once

#include <filesystem>
#include <string_view>

#include "invocation.hpp"

namespace lashband::app {

/// Throws UsageError if the file of `options` exists and may not be replaced, so that nothing is
/// computed in vain.
void check_output(const OutputOptions& options);

/// Writes `text` to the file of `options`, whole or not at all, or to standard output. An existing
/// file is replaced only with `force`. Throws OutputError.
void write_output(std::string_view text, const OutputOptions& options);

/// Writes a file whole or not at all. Without `replace` an existing file is left alone and an
/// OutputError thrown.
void write_file(const std::filesystem::path& file, std::string_view text, bool replace);

}  // namespace lashband::app
