#include "io/file_text.hpp"

#include <cerrno>
#include <fstream>
#include <system_error>
#include <vector>

#include "lashband/io/input_error.hpp"

namespace lashband::io {
namespace {

[[noreturn]] void refuse(const std::string& name, const std::string& message) {
  throw InputErrors({InputProblem{name, 0, 0, "", message}});
}

}  // namespace

std::string file_text(const std::filesystem::path& file, const std::string& name) {
  std::error_code problem;
  const std::filesystem::file_status status = std::filesystem::status(file, problem);
  if (status.type() == std::filesystem::file_type::not_found) {
    refuse(name, "there is no such file");
  }
  if (status.type() == std::filesystem::file_type::directory) {
    refuse(name, "this is a folder; allowed is a file");
  }
  std::ifstream stream(file, std::ios::binary);
  if (problem || !stream) {
    refuse(name,
           "cannot be opened: " +
               (problem ? problem : std::error_code(errno, std::generic_category())).message());
  }
  std::string text;
  std::vector<char> block(std::size_t{64} << 10);
  while (stream) {
    stream.read(block.data(), static_cast<std::streamsize>(block.size()));
    text.append(block.data(), static_cast<std::size_t>(stream.gcount()));
    if (text.size() > largest_file_in_bytes) {
      refuse(name, "is larger than 16 MiB, which is the most that is read");
    }
  }
  if (!stream.eof()) {
    refuse(name, "cannot be read to its end");
  }
  return text;
}

}  // namespace lashband::io
