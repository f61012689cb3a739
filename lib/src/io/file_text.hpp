#pragma once

#include <cstddef>
#include <filesystem>
#include <string>

namespace lashband::io {

/// The largest file that is read, 16 MiB: a thousand times a long input, and little enough that no
/// file can exhaust a machine.
inline constexpr std::size_t largest_file_in_bytes = std::size_t{16} << 20;

/// The bytes of a file. Throws InputErrors where it is missing, no plain file, unreadable or larger
/// than largest_file_in_bytes. `name` stands in the message.
[[nodiscard]] std::string file_text(const std::filesystem::path& file, const std::string& name);

}  // namespace lashband::io
