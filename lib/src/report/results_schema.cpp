#include "lashband/report/results_schema.hpp"

#include <span>

#include "lashband/error.hpp"
#include "lashband/io/embedded_file.hpp"

namespace lashband::report {

// Made from lib/src/report/schema by the build.
std::span<const io::EmbeddedFile> schema_files();

std::string_view results_schema() {
  for (const io::EmbeddedFile& file : schema_files()) {
    if (file.name == "results.schema.json") {
      return file.text;
    }
  }
  throw Error("the schema of results was not built into the program");
}

}  // namespace lashband::report
