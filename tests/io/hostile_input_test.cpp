// Input that is made to crash, to hang or to exhaust the machine: a clear error, and soon.
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "catch.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/io/input_error.hpp"

namespace {

namespace io = lashband::io;
using lashband::io::InputProblem;

std::vector<InputProblem> problems_of(const std::string& text) {
  try {
    static_cast<void>(io::read_design_text(text, "hostile.json", "."));
  } catch (const io::InputErrors& errors) {
    return errors.problems();
  }
  FAIL("the text was accepted");
  return {};
}

std::string repeated(const std::string& part, std::size_t times) {
  std::string text;
  text.reserve(part.size() * times);
  for (std::size_t i = 0; i < times; ++i) {
    text += part;
  }
  return text;
}

/// Text that may stand in a message: printable and short.
void check_harmless(const std::vector<InputProblem>& problems) {
  for (const InputProblem& problem : problems) {
    const std::string line = io::one_line(problem);
    constexpr std::size_t longest_line = 4000;
    CHECK(line.size() < longest_line);
    for (const char c : line) {
      if (static_cast<unsigned char>(c) < 0x20) {
        FAIL("a control character in: " << line);
      }
    }
  }
}

constexpr std::size_t ten_megabytes = 10'000'000;

}  // namespace

TEST_CASE("10 MB of opened lists and objects are refused", "[io]") {
  const std::string open = GENERATE(as<std::string>{}, "[", "{\"a\":", "[{\"a\":");
  const auto problems = problems_of(repeated(open, ten_megabytes / open.size()));
  REQUIRE(problems.size() == 1);
  CHECK_THAT(problems[0].message, ContainsText("more than 64 deep"));
  check_harmless(problems);
}

TEST_CASE("10 MB of nesting deep within a good beginning are refused", "[io]") {
  const auto problems =
      problems_of("{ \"lashband\": 1, \"torsion\": " + repeated("[", ten_megabytes / 2) +
                  repeated("]", ten_megabytes / 2) + " }");
  REQUIRE(problems.size() == 1);
  CHECK_THAT(problems[0].message, ContainsText("more than 64 deep"));
  CHECK_THAT(problems[0].pointer, StartsWith("/torsion/0/0/"));
}

TEST_CASE("64 levels are read, 65 are not", "[io]") {
  // The top level and `torsion` are the first two.
  const auto nested = [](std::size_t levels) {
    return "{ \"lashband\": 1, \"torsion\": { \"a\": " + repeated("[", levels - 2) +
           repeated("]", levels - 2) + " } }";
  };
  CHECK_THAT(problems_of(nested(64))[0].message, ContainsText("is missing"));
  CHECK_THAT(problems_of(nested(65))[0].message, ContainsText("more than 64 deep"));
}

TEST_CASE("The first thousand problems are listed, and how many follow", "[io]") {
  const auto problems =
      problems_of("{ \"lashband\": 1, " + repeated("\"unknown\": 1, ", 5000) + "\"last\": 1 }");
  REQUIRE(problems.size() == 1001);
  // 4999 repeated keys, 5001 unknown ones, 5 lists and the states that are missing.
  CHECK(problems.back().message == "9006 further problems are not listed");
  CHECK(problems.back().line == 0);
  check_harmless(problems);
}

TEST_CASE("Texts of megabytes are cut in messages", "[io]") {
  const std::string huge(ten_megabytes, 'x');
  check_harmless(problems_of("{ \"" + huge + "\": 1 }"));
  check_harmless(problems_of("{ \"lashband\": 1, \"title\": [\"" + huge + "\"], \"zones\": \"" +
                             huge + "\" }"));
  check_harmless(problems_of("{ \"lashband\": 1, \"reference_temperature\": \"" + huge + "\" }"));
  check_harmless(
      problems_of("{ \"lashband\": 1, \"reference_temperature\": \"20 " + huge + "\" }"));
  check_harmless(problems_of(
      "{ \"lashband\": 1, \"reference_temperature\": " + std::string(ten_megabytes, '7') + " }"));
  check_harmless(problems_of("{ \"lashband\": " + huge));
  check_harmless(problems_of("\"" + huge));
  check_harmless(problems_of(
      "{ \"lashband\": 1, \"zones\": [\"" + huge + "\", \"" + huge +
      "\"], \"carriers\": [{ \"id\": \"" + huge + "\", \"kind\": \"plain\", \"material\": \"" +
      huge + "\", \"zone\": \"" + huge + "y\" }], \"carrier\": \"" + huge + "z\" }"));
}

TEST_CASE("Many bearings with fits in many carriers take no noticeable time", "[io]") {
  // Each of 2000 fits asks for the bore's material in each of 1000 carriers.
  std::string carriers;
  std::string shafts;
  for (int i = 0; i < 1000; ++i) {
    const std::string number = std::to_string(i);
    const std::string comma = i == 0 ? "" : ", ";
    carriers += comma + R"({ "id": "c)" + number + R"(", "kind": "path", "segments": [)";
    for (int k = 0; k < 100; ++k) {
      carriers +=
          std::string(k == 0 ? "" : ", ") + R"({ "material": "C45", "zone": "z", "share": 0.01 })";
    }
    carriers += "] }";
    const std::string bearing =
        R"("bore": "30 mm", "outside_diameter": "62 mm", "clearance": "CN", "material": "100Cr6", )"
        R"("zone": "z", "outer_fit": { "bore": "H7", "ring": "normal" } })";
    shafts += comma + R"({ "id": "s)" + number + R"(", "bearings": [{ "at": "0 mm", )" + bearing +
              R"(, { "at": "9 mm", )" + bearing + "] }";
  }
  const auto begin = std::chrono::steady_clock::now();
  const auto problems =
      problems_of(R"({ "lashband": 1, "zones": ["z"], "carrier": "c0", "carriers": [)" + carriers +
                  R"(], "shafts": [)" + shafts +
                  R"(], "gears": [], "meshes": [], "soak": { "from": "0 degC", "to": "9 degC", )"
                  R"("points": 2 } })");
  const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
  CHECK(problems.size() == 2);  // no gears, no meshes
  constexpr double seconds_allowed = 20.0;
  CHECK(taken.count() < seconds_allowed);
}

TEST_CASE("Many long unknown names take no noticeable time", "[io]") {
  // The search for the nearest name would take minutes for all of them.
  std::string zones;
  std::string conditions;
  for (int i = 0; i < 1000; ++i) {
    const std::string number = std::to_string(10000 + i);
    zones += (i == 0 ? "\"" : ", \"") + std::string(60, 'a') + number + '"';
    conditions += (i == 0 ? "\"" : ", \"") + std::string(60, 'b') + number + "\": \"20 degC\"";
  }
  const auto begin = std::chrono::steady_clock::now();
  const auto problems = problems_of("{ \"lashband\": 1, \"zones\": [" + zones +
                                    "], \"conditions\": [{ \"id\": \"c\", " + "\"zones\": { " +
                                    conditions + " } }] }");
  const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - begin;
  CHECK(problems.size() == 1001);
  constexpr double patience_in_seconds = 60.0;  // under sanitizers on a loaded machine
  CHECK(seconds.count() < patience_in_seconds);
}

TEST_CASE("Lists are bounded", "[io]") {
  const auto problems =
      problems_of("{ \"lashband\": 1, \"conditions\": [" + repeated("{}, ", 1000) +
                  "{}], \"zones\": [" + repeated("\"a\", ", 1000) + "\"b\"] }");
  const auto told = [&problems](const std::string& message) {
    for (const InputProblem& problem : problems) {
      if (problem.message == message) {
        return true;
      }
    }
    return false;
  };
  CHECK(told("read a list of 1001 entries; allowed is a list of up to 1000 conditions"));
  CHECK(told("read a list of 1001 entries; allowed is a list of 1 to 1000 zone names"));
}

TEST_CASE("Control and direction characters of names never reach a message", "[io]") {
  check_harmless(
      problems_of("{ \"lashband\": 1, \"title\": \"a\\u001b[2Jb\\u202ec\\u2028d\\u0000\" }"));
  check_harmless(problems_of("{ \"\\u001b]0;owned\\u0007\": 1 }"));
  const auto problems = problems_of("{ \"lashband\": 1, \"zones\": [\"a\\u202eb\"] }");
  CHECK_THAT(problems.back().message, ContainsText("\\u202e"));
  CHECK(problems.back().message.find("\u202e") == std::string::npos);
}

TEST_CASE("A file that is no file, or too large, is refused", "[io]") {
  const auto message_of = [](const std::filesystem::path& file) {
    try {
      static_cast<void>(io::read_design_file(file));
    } catch (const io::InputErrors& errors) {
      REQUIRE(errors.problems().size() == 1);
      CHECK(errors.problems()[0].line == 0);
      CHECK(errors.problems()[0].file == file.string());
      return std::string(errors.what());
    }
    return std::string("accepted");
  };
  CHECK(message_of("no/such/train.json") == "no/such/train.json: there is no such file");
  CHECK(message_of("") == ": there is no such file");
  const auto folder = std::filesystem::temp_directory_path();
  CHECK(message_of(folder) == folder.string() + ": this is a folder; allowed is a file");
  // A device without end stands for any stream that never stops.
  CHECK(message_of("/dev/zero") ==
        "/dev/zero: is larger than 16 MiB, which is the most that is read");
}
