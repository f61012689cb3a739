#include "lashband/io/embedded_file.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "catch.hpp"

// Written at build time by lashband_embed, see CMakeLists.txt.
namespace lashband::embedding_test {
std::span<const io::EmbeddedFile> awkward_files();
std::span<const io::EmbeddedFile> large_files();
}  // namespace lashband::embedding_test

namespace {

std::string bytes_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  REQUIRE(file);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

/// Names of all files below `root`, in the byte order that embedded files have.
std::vector<std::string> names_below(const std::filesystem::path& root) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(root)) {
    if (entry.is_regular_file()) {
      names.push_back(entry.path().lexically_relative(root).generic_string());
    }
  }
  std::sort(names.begin(), names.end());
  return names;
}

void check_files_match_folder(std::span<const lashband::io::EmbeddedFile> files,
                              const std::filesystem::path& root) {
  std::vector<std::string> names;
  for (const auto& file : files) {
    names.emplace_back(file.name);
    INFO(file.name);
    CHECK((bytes_of(root / file.name) == file.text));
  }
  CHECK(names == names_below(root));
}

}  // namespace

TEST_CASE("embedded files are sorted by name and equal the files on disk, byte for byte") {
  const auto files = lashband::embedding_test::awkward_files();
  REQUIRE(!files.empty());
  check_files_match_folder(files, LASHBAND_SOURCE_DIR "/tests/embedding/data");
}

TEST_CASE("a file of a megabyte is embedded whole") {
  const auto files = lashband::embedding_test::large_files();
  REQUIRE(files.size() == 1);
  CHECK(files.front().text.size() > 1'000'000);
  check_files_match_folder(files, LARGE_FILE_FOLDER);
}

TEST_CASE("an embedded file holds every byte value") {
  const auto files = lashband::embedding_test::awkward_files();
  const auto found = std::find_if(files.begin(), files.end(),
                                  [](const auto& file) { return file.name == "every_byte.bin"; });
  REQUIRE(found != files.end());
  std::string every_byte;
  for (int value = 0; value < 256; ++value) {
    every_byte.push_back(static_cast<char>(value));
  }
  CHECK((found->text == every_byte));
}

TEST_CASE("an embedded file knows its SHA-256") {
  const auto files = lashband::embedding_test::awkward_files();
  const auto digest_of = [&files](std::string_view name) {
    const auto found = std::find_if(files.begin(), files.end(),
                                    [name](const auto& file) { return file.name == name; });
    REQUIRE(found != files.end());
    return found->sha256;
  };
  // Both from sha256sum of GNU coreutils.
  CHECK(digest_of("empty.txt") ==
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(digest_of("every_byte.bin") ==
        "40aff2e9d2d8922e47afd4648e6967497158785fbd1da870e7110266bf944880");
}
