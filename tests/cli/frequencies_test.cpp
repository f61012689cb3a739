// The frequencies of a train as a user meets them.
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "catch.hpp"
#include "program.hpp"

using namespace lashband::test;
using nlohmann::json;

namespace {

const std::string compound = "tests/data/valid/compound.json";

std::vector<std::string> with(std::vector<std::string> words,
                              const std::vector<std::string>& more) {
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

json frequencies_of(const std::vector<std::string>& more) {
  const Run run = run_lashband(with({"frequencies", compound, "--format", "json"}, more));
  INFO(run.err);
  REQUIRE(run.status == 0);
  return json::parse(run.out);
}

const json& line_of(const json& result, const std::string& kind, const std::string& source,
                    int harmonic) {
  for (const json& line : result.at("lines")) {
    if (line.at("kind") == kind && line.at("source") == source && line.at("harmonic") == harmonic) {
      return line;
    }
  }
  throw std::runtime_error("no such line");
}

// A spectrum with a hump at each of some frequencies over a low floor, every 0.5 Hz to 1000 Hz.
std::string spectrum(const std::vector<double>& humps, const std::string& head,
                     const char* separator = ",") {
  std::ostringstream text;
  text << head << '\n';
  for (int i = 0; i <= 2000; ++i) {
    const double frequency = 0.5 * i;
    double amplitude = 0.01 * (1.0 + 0.1 * std::sin(1.7 * i));
    for (const double hump : humps) {
      const double bins = (frequency - hump) / 0.5;
      amplitude += std::exp(-bins * bins);
    }
    text << frequency << separator << amplitude << '\n';
  }
  return text.str();
}

}  // namespace

TEST_CASE("frequencies: a table, 80 columns wide, at the speeds of the conditions") {
  const Run run = run_lashband({"frequencies", compound});
  INFO(run.out << run.err);
  CHECK(run.status == 0);
  CHECK(run.err.empty());
  CHECK(widest_line(run.out) <= 80);
  CHECK_THAT(run.out, ContainsText("orders of output"));
  CHECK_THAT(run.out, ContainsText("100 rpm (idle), 375 rpm (full speed)"));
  CHECK_THAT(run.out, ContainsText("mesh in-c1"));
  CHECK_THAT(run.out, ContainsText("bearing input fro"));
}

TEST_CASE("frequencies: mesh orders are teeth times turns, frequencies follow the speed") {
  const json result = frequencies_of({"--speed", "375 rpm", "--harmonics", "2"});
  // The input turns 8 times as fast as the output and has 20 teeth.
  const json& mesh = line_of(result, "mesh", "in-c1", 2);
  CHECK(mesh.at("order") == 320.0);
  constexpr double rounding = 1e-14;
  CHECK_THAT(mesh.at("frequency").at("values")[0].get<double>(),
             WithinRel(320.0 * 375.0 / 60.0, rounding));
  // Orders are referred to another shaft.
  const json to_input = frequencies_of({"--referred-to", "input", "--speed", "3000 rpm"});
  CHECK(line_of(to_input, "mesh", "in-c1", 1).at("order") == 20.0);
  CHECK(line_of(to_input, "excitation", "gas torque", 1).at("order") == 1.0);
}

TEST_CASE("frequencies: speeds are one, several, or a range") {
  CHECK(frequencies_of({"--speed", "100 rpm, 5 rev/s,300rpm"}).at("speeds").size() == 3);
  const json range = frequencies_of({"--speed", "600 rpm .. 3000 rpm"});
  CHECK(range.at("range") == true);
  CHECK(range.at("speeds")[1].at("speed").at("value") == 3000.0);
  CHECK(frequencies_of({"--condition", "idle"}).at("speeds").size() == 1);
}

TEST_CASE("frequencies: what is no answerable question is refused") {
  struct Case {
    std::vector<std::string> words;
    const char* message;
  };
  for (const Case& wrong :
       {Case{{"--speed", "1800"}, "--speed: "}, Case{{"--speed", "25 Hz"}, "--speed: "},
        Case{{"--speed", "0 rpm"}, "is not above 0"}, Case{{"--speed", "-5 rpm"}, "is not above 0"},
        Case{{"--speed", "5 rpm,"}, "--speed: "},
        Case{{"--speed", "900 rpm .. 300 rpm"}, "the lower end comes first"},
        Case{{"--referred-to", "outptu"}, "did you mean \"output\"?"},
        Case{{"--harmonics", "0"}, "is not a whole number from 1 to 1000"},
        Case{{"--sidebands", "1.5"}, "is not a whole number from 0 to 1000"},
        Case{{"--within", "60 %"}, "is not from 0 to 50 %"},
        Case{{"--within", "near"}, "--within: "},
        Case{{"--prominence", "5 %"}, "--prominence goes with --measured"},
        Case{{"--speed-uncertainty", "5 %"}, "--speed-uncertainty goes with --measured"},
        Case{{"--mesh", "in-c9"}, "the file has no mesh"}}) {
    const Run run = run_lashband(with({"frequencies", compound}, wrong.words));
    INFO(wrong.words[0] << ' ' << wrong.words[1] << '\n' << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK_THAT(run.err, ContainsText(wrong.message));
  }
}

TEST_CASE("frequencies: a measured spectrum refines the speed and has its peaks explained") {
  const Folder folder;
  // The output turns at 101 rpm, not at the 100 rpm of the display; 333.3 Hz are nobody's.
  const double turns = 101.0 / 60.0;
  const std::string file = folder
                               .file("bench.csv", spectrum({turns * 15.0 * 4.0, turns * 20.0 * 8.0,
                                                            turns * 320.0, turns * 480.0, 333.3},
                                                           "Frequency (Hz),acceleration [m/s2]"))
                               .string();
  const json measured =
      frequencies_of({"--speed", "100 rpm", "--measured", file, "--sidebands", "0"}).at("measured");
  CHECK(measured.at("file") == file);
  CHECK(measured.at("refined") == true);
  // Four peaks, each to a few hundredths of a line of 0.5 Hz.
  constexpr double of_a_peak = 2e-4;
  CHECK_THAT(measured.at("speed").at("value").get<double>(), WithinRel(101.0, of_a_peak));
  bool mesh_found = false;
  bool stranger_found = false;
  for (const json& peak : measured.at("peaks")) {
    const double frequency = peak.at("frequency").at("value");
    if (std::abs(frequency - turns * 160.0) < 0.1) {
      REQUIRE_FALSE(peak.at("candidates").empty());
      mesh_found = peak.at("candidates")[0].at("line").at("order") == 160.0;
    }
    stranger_found =
        stranger_found || (std::abs(frequency - 333.3) < 0.1 && peak.at("candidates").empty());
  }
  CHECK(mesh_found);
  CHECK(stranger_found);

  const Run table = run_lashband(
      {"frequencies", compound, "--speed", "100 rpm", "--measured", file, "--sidebands", "0"});
  CHECK(table.status == 0);
  CHECK(widest_line(table.out) <= 80);
  CHECK_THAT(table.out, ContainsText("UNEXPLAINED"));
  const Run csv = run_lashband(
      {"frequencies", compound, "--speed", "100 rpm", "--measured", file, "--format", "csv"});
  CHECK_THAT(csv.out, StartsWith("peak,frequency [Hz],order,"));
}

TEST_CASE("frequencies: an order spectrum needs no speed") {
  const Folder folder;
  const std::string file =
      folder.file("orders.csv", spectrum({60.0, 160.0, 320.0, 480.0}, "order;level", ";")).string();
  const json measured = frequencies_of({"--measured", file, "--sidebands", "0"}).at("measured");
  CHECK(measured.at("axis") == "order");
  CHECK_FALSE(measured.contains("speed"));
  CHECK(measured.at("peaks").size() >= 4);
}

TEST_CASE("frequencies: a spectrum that cannot be used is refused with its place") {
  const Folder folder;
  const std::string good =
      folder.file("bench.csv", spectrum({100.0}, "frequency [Hz],amplitude")).string();
  const auto refused = [](const std::vector<std::string>& words) {
    const Run run = run_lashband(with({"frequencies", compound}, words));
    INFO(run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    return run.err;
  };
  CHECK_THAT(refused({"--measured", good}), ContainsText("--measured needs one --speed"));
  CHECK_THAT(refused({"--measured", good, "--speed", "100 rpm, 200 rpm"}),
             ContainsText("--measured needs one --speed"));
  CHECK_THAT(refused({"--measured", "no/such.csv", "--speed", "100 rpm"}),
             ContainsText("no/such.csv: there is no such file"));
  CHECK_THAT(refused({"--measured", good, "--speed", "100 rpm", "--match-within", "20 %"}),
             ContainsText("is not from 0 to 10 %"));
  const std::string bad =
      folder.file("bad.csv", "frequency [Hz],amplitude\n1,2\n2,3\n3,-4\n4,2\n5,1\n").string();
  CHECK_THAT(refused({"--measured", bad, "--speed", "100 rpm"}), ContainsText("bad.csv:4:1: "));
  const std::string empty = folder.file("empty.csv", "").string();
  CHECK_THAT(refused({"--measured", empty, "--speed", "100 rpm"}),
             ContainsText("needed is a head line, such as \"frequency [Hz],amplitude [mm/s]\""));
}
