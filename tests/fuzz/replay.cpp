// Runs a fuzz target over every file of the folders that are named, and fails where there is none.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

int main(int argc, char** argv) {
  std::vector<std::filesystem::path> files;
  for (int i = 1; i < argc; ++i) {
    for (const auto& entry : std::filesystem::recursive_directory_iterator(argv[i])) {
      if (entry.is_regular_file()) {
        files.push_back(entry.path());
      }
    }
  }
  if (files.empty()) {
    std::puts("no files to replay");
    return EXIT_FAILURE;
  }
  std::sort(files.begin(), files.end());
  for (const std::filesystem::path& path : files) {
    std::ifstream file(path, std::ios::binary);
    const std::vector<char> bytes{std::istreambuf_iterator<char>(file), {}};
    if (!file.is_open() || file.bad()) {
      std::printf("cannot read %s\n", path.c_str());
      return EXIT_FAILURE;
    }
    // Named first, so that a breach tells in which file it is.
    std::printf("%s\n", path.c_str());
    const std::vector<std::uint8_t> data(bytes.begin(), bytes.end());
    LLVMFuzzerTestOneInput(data.data(), data.size());
  }
  std::printf("%zu files replayed\n", files.size());
  return EXIT_SUCCESS;
}
