#pragma once

#include <string_view>

namespace lashband::io {

/// A text file that was built into the program. Both views point to constant data that lives as
/// long as the program; `text` is byte for byte what the file held.
struct EmbeddedFile {
  std::string_view name;  ///< path below the folder that was embedded, with `/`: "c45.json"
  std::string_view text;  ///< the whole content
};

}  // namespace lashband::io
