// Every file of tests/data/invalid is refused with exactly the lines of its .expect file. The first
// line there is for the schema's test (tests/schema).
#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "catch.hpp"
#include "file_text.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/io/input_error.hpp"

namespace {

namespace io = lashband::io;
using lashband::test::text_of;

const std::filesystem::path folder =
    std::filesystem::path(LASHBAND_SOURCE_DIR) / "tests" / "data" / "invalid";

constexpr std::size_t fewest_files = 100;

std::vector<std::filesystem::path> invalid_files() {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() == ".json") {
      files.push_back(entry.path());
    }
  }
  std::sort(files.begin(), files.end());
  return files;
}

std::string lines_of_errors(const std::string& text, const std::string& name) {
  try {
    static_cast<void>(io::read_design_text(text, name, folder));
  } catch (const io::InputErrors& errors) {
    return std::string(errors.what()) + "\n";
  }
  return "accepted\n";
}

}  // namespace

TEST_CASE("Every invalid file is refused with the messages beside it", "[io]") {
  const auto files = invalid_files();
  REQUIRE(files.size() >= fewest_files);
  for (const auto& file : files) {
    const std::string name = file.filename().string();
    INFO(name);
    const std::string expected = text_of(std::filesystem::path(file).replace_extension(".expect"));
    CHECK(lines_of_errors(text_of(file), name) == expected.substr(expected.find('\n') + 1));
  }
}

TEST_CASE("Every .expect file has its input file", "[io]") {
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    INFO(entry.path().string());
    CHECK((entry.path().extension() == ".json" || entry.path().extension() == ".expect"));
    CHECK(std::filesystem::exists(std::filesystem::path(entry.path()).replace_extension(".json")));
  }
}

TEST_CASE("Problems carry file, place, pointer and message, in the order of the text", "[io]") {
  const std::filesystem::path file = folder / "many_errors_at_once.json";
  try {
    static_cast<void>(io::read_design_file(file));
    FAIL("the file was accepted");
  } catch (const io::InputErrors& errors) {
    const auto& problems = errors.problems();
    REQUIRE(problems.size() == 7);
    CHECK(problems[1].file == file.string());
    CHECK(problems[1].line == 7);
    CHECK(problems[1].column == 46);
    CHECK(problems[1].pointer == "/gears/0/teeth");
    CHECK(problems[1].message == "read the number 2; allowed is a whole number from 3 to 10000");
    for (std::size_t i = 1; i < problems.size(); ++i) {
      CHECK(problems[i - 1].line <= problems[i].line);
    }
  }
}

TEST_CASE("A file cut off anywhere is refused with one problem at its end or before", "[io]") {
  const std::string whole = text_of(folder.parent_path() / "valid" / "maximal.json");
  const std::size_t last = whole.rfind('}');
  for (std::size_t size = 0; size <= last; size += 7) {
    INFO("cut to " << size << " bytes");
    try {
      static_cast<void>(io::read_design_text(whole.substr(0, size), "cut.json", "."));
      FAIL("the file was accepted");
    } catch (const io::InputErrors& errors) {
      REQUIRE(errors.problems().size() == 1);
      CHECK(errors.problems()[0].line >= 1);
      const std::string& message = errors.problems()[0].message;
      CHECK((message.find("the file ends within") == 0 || message.find("the file is empty") == 0 ||
             message.find("read ") == 0));
    }
  }
}
