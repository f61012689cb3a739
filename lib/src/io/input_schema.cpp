#include "lashband/io/input_schema.hpp"

#include "io/embedded_files.hpp"
#include "lashband/error.hpp"

namespace lashband::io {

std::string_view input_schema() {
  for (const EmbeddedFile& file : schema_files()) {
    if (file.name == "input.schema.json") {
      return file.text;
    }
  }
  throw Error("the program was built without input.schema.json");
}

}  // namespace lashband::io
