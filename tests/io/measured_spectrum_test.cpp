// Measured spectra: what is read, and what is refused with which words.
#include "lashband/io/measured_spectrum.hpp"

#include <string>
#include <vector>

#include "catch.hpp"
#include "folder.hpp"
#include "lashband/io/input_error.hpp"

namespace {

using lashband::design::MeasuredInput;
using lashband::test::Folder;

MeasuredInput read(const std::string& text) {
  const Folder folder;
  return lashband::io::measured_spectrum(folder.file("s.csv", text));
}

// The first problem, without the folder of the file: "s.csv:1:1: …".
std::string problem(const std::string& text) {
  try {
    (void)read(text);
  } catch (const lashband::io::InputErrors& errors) {
    const std::string all = errors.what();
    return all.substr(all.find("s.csv"));
  }
  return "no problem";
}

std::vector<double> hertz(const MeasuredInput& input) {
  std::vector<double> values;
  for (const auto& frequency : input.spectrum.frequency) {
    values.push_back(frequency.value());
  }
  return values;
}

const std::string rows = "0,0\n60,1\n120,3.5\n180,1\n240,0\n";

}  // namespace

TEST_CASE("a spectrum over frequency: names, units and amplitudes as they are") {
  const MeasuredInput input = read("frequency [Hz],velocity [mm/s]\n" + rows);
  CHECK(input.axis == MeasuredInput::Axis::frequency);
  CHECK(hertz(input) == std::vector<double>{0.0, 60.0, 120.0, 180.0, 240.0});
  CHECK(input.spectrum.amplitude == std::vector<double>{0.0, 1.0, 3.5, 1.0, 0.0});
  CHECK(input.file.find("s.csv") != std::string::npos);
  // A mark at the front, capitals, semicolons and decimal commas.
  const MeasuredInput other = read(
      "\xEF\xBB\xBF# bench\n\nFrequency (kHz);Amplitude\r\n0;0\r\n0,06;1\r\n0,12;3,5\r\n"
      "0,18;1\r\n0,24;0\r\n");
  CHECK(hertz(other) == hertz(input));
  CHECK(other.spectrum.amplitude == input.spectrum.amplitude);
}

TEST_CASE("frequencies per minute and speeds of rotation become turns a second") {
  const std::vector<double> in_hertz = {0.0, 1.0, 2.0, 3.0, 4.0};
  for (const char* unit : {"rpm", "cpm", "CPM", "1/min", "rev/min"}) {
    INFO(unit);
    const std::vector<double> read_in =
        hertz(read("frequency [" + std::string(unit) + "],a\n" + rows));
    REQUIRE(read_in.size() == in_hertz.size());
    for (std::size_t i = 0; i < in_hertz.size(); ++i) {
      constexpr double rounding = 1e-14;  // of factors with pi
      CHECK_THAT(read_in[i], WithinAbs(in_hertz[i], rounding));
    }
  }
}

TEST_CASE("a spectrum over orders") {
  for (const char* head : {"order,a", "Order [-],a", "order [1],a"}) {
    const MeasuredInput input = read(std::string(head) + "\n" + rows);
    CHECK(input.axis == MeasuredInput::Axis::order);
    CHECK(hertz(input) == std::vector<double>{0.0, 60.0, 120.0, 180.0, 240.0});
  }
}

TEST_CASE("levels in dB become amplitudes") {
  const MeasuredInput input =
      read("frequency [Hz],level [dB re 1 um/s]\n0,0\n1,20\n2,-40\n3,6.020599913279624\n4,0\n");
  constexpr double rounding = 1e-15;
  const std::vector<double> amplitudes = {1.0, 10.0, 0.01, 2.0, 1.0};
  for (std::size_t i = 0; i < amplitudes.size(); ++i) {
    CHECK_THAT(input.spectrum.amplitude[i], WithinRel(amplitudes[i], rounding));
  }
  CHECK_THAT(problem("frequency [Hz],level [dB]\n0,0\n1,7000\n2,0\n3,1\n4,0\n"),
             StartsWith("s.csv:3:1: column level: a level of 7000 dB"));
}

TEST_CASE("what is no spectrum is refused, with its place") {
  CHECK_THAT(problem("frequenzy [Hz],a\n" + rows),
             StartsWith("s.csv:1:1: the first column is \"frequenzy\"; did you mean "
                        "\"frequency\"?; needed are two columns"));
  CHECK_THAT(problem("a [mm],frequency [Hz]\n" + rows),
             StartsWith("s.csv:1:1: the first column is \"a\"; needed are"));
  CHECK_THAT(problem("frequency [Hz]\n1\n2\n3\n4\n5\n"),
             StartsWith("s.csv:1:1: the head names 1 column;"));
  CHECK_THAT(problem("frequency [Hz],x,y\n1,2,3\n2,3,4\n3,4,5\n4,5,6\n5,6,7\n"),
             StartsWith("s.csv:1:18: the head names 3 columns;"));
  CHECK_THAT(problem("frequency,a\n" + rows),
             StartsWith("s.csv:1:1: the column frequency has no unit"));
  CHECK_THAT(problem("frequency [mm],a\n" + rows),
             StartsWith("s.csv:1:1: the column frequency is in mm"));
  CHECK_THAT(problem("order [Hz],a\n" + rows), StartsWith("s.csv:1:1: the column order is in Hz"));
  CHECK_THAT(problem("frequency [Hz],a\n1,2\n2,3\n3,2\n4,1\n"),
             StartsWith("s.csv:1:1: there are 4 rows below the head; a peak takes 5"));
  CHECK_THAT(problem("frequency [Hz],a\n1,2\n1,3\n3,2\n4,1\n5,1\n"), StartsWith("s.csv:3:1: "));
  CHECK_THAT(problem("frequency [Hz],a\n-1,2\n1,3\n3,2\n4,1\n5,1\n"),
             StartsWith("s.csv:2:1: column frequency: read -1; allowed is a number of 0 or more"));
  CHECK_THAT(problem("frequency [Hz],a\n1,2\n2,3\n3,-2\n4,1\n5,1\n"),
             StartsWith("s.csv:4:1: column a: read -2; allowed is an amplitude of 0 or more, or "
                        "levels with the unit dB"));
  CHECK_THAT(problem("frequency [Hz],a\n1,2\n2,2\n3,2\n4,2\n5,2\n"),
             StartsWith("s.csv:2:1: column a: every row has the same amplitude"));
  CHECK_THAT(problem("frequency [Hz],a\n1,2\n2,many\n3,2\n4,2\n5,2\n"), ContainsText("many"));
  CHECK_THROWS_AS(lashband::io::measured_spectrum("no/such/file.csv"), lashband::io::InputErrors);
  // Without a head the example is that of a spectrum.
  CHECK(problem("") ==
        "s.csv: holds no table; needed is a head line, such as \"frequency [Hz],amplitude [mm/s]\" "
        "or \"order,amplitude [mm/s]\", and rows of numbers below it");
  CHECK_THAT(problem("frequency Hz],a\n" + rows),
             ContainsText("a head is a name and its unit, as in frequency [Hz]"));
}
