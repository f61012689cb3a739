#pragma once

#include <string_view>

namespace lashband::io {

/// A text file that was built into the program. All views point to constant data that lives as
/// long as the program; `text` is byte for byte what the file held.
struct EmbeddedFile {
  std::string_view name;    ///< path below the folder that was embedded, with `/`: "c45.json"
  std::string_view text;    ///< the whole content
  std::string_view sha256;  ///< of the content, in lower-case hexadecimal
};

}  // namespace lashband::io
