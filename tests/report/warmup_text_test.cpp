#include <algorithm>
#include <limits>
#include <vector>

#include "catch.hpp"
#include "lashband/report/text.hpp"
#include "made_results.hpp"
#include "report/over_time_text.hpp"
#include "report/terminal_table.hpp"

using namespace lashband;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines(1);
  for (const char c : text) {
    if (c == '\n') {
      lines.emplace_back();
    } else {
      lines.back() += c;
    }
  }
  lines.pop_back();
  return lines;
}

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string line_with(const std::string& text, const std::string& part) {
  for (const std::string& line : lines_of(text)) {
    if (contains(line, part)) {
      return line;
    }
  }
  return "no line with " + part + " in\n" + text;
}

// The text with its lines joined where they were broken between words.
std::string unbroken(const std::string& text) {
  std::string joined;
  for (const std::string& line : lines_of(text)) {
    joined += (joined.empty() ? "" : " ") +
              line.substr(std::min(line.find_first_not_of(' '), line.size()));
  }
  return joined;
}

// Every view of a result that is 80 columns wide and has no number that is none.
void check_layout(const design::WarmupResult& result) {
  for (const auto units : {report::UnitSystem::metric, report::UnitSystem::inch}) {
    for (const bool ascii : {false, true}) {
      report::View view;
      view.units = units;
      view.ascii = ascii;
      const std::string text = report::text(result, view);
      CHECK_FALSE(contains(text, "nan"));
      CHECK_FALSE(contains(text, "inf"));
      for (const std::string& line : lines_of(text)) {
        INFO(line);
        CHECK(report::columns_of(line) <= report::terminal_width);
        CHECK((line.empty() || line.back() != ' '));
      }
    }
  }
}

units::Time seconds(double x) {
  return units::from_si<units::Time>(x);
}

// A requirement over a history of 0 to 1000 s.
std::string violations(const std::vector<std::pair<double, double>>& spans) {
  design::HistoryResult history;
  history.start = seconds(0.0);
  history.end = seconds(1000.0);
  design::RequirementOverTime requirement;
  requirement.row.met = spans.empty();
  for (const auto& [from, to] : spans) {
    requirement.violated.push_back({seconds(from), seconds(to)});
  }
  if (spans.empty() || spans.back().second < 1000.0) {
    requirement.holds_from = seconds(spans.empty() ? 0.0 : spans.back().second);
  }
  return report::violation_words(requirement, history);
}

}  // namespace

TEST_CASE("the train over time is 80 columns wide, with everything and with nothing") {
  check_layout(test::bare_warmup());
  check_layout(test::full_warmup());
  design::WarmupResult none;
  none.carrier = "case";
  none.failures = {{"history cold start", "", "the network cannot be solved"}};
  check_layout(none);
  CHECK_THAT(report::text(none, {}), ContainsText("not computed: history cold start"));
}

TEST_CASE("a history of one moment has a table and no plot") {
  design::WarmupResult result = test::bare_warmup();
  result.histories = {test::made_history("a moment", 1)};
  check_layout(result);
  const std::string text = report::text(result, {});
  CHECK_FALSE(contains(text, "┤"));
  CHECK_THAT(line_with(text, "106.6080"), StartsWith("↕         0  -40.0"));
}

TEST_CASE("a constant backlash is a straight line") {
  design::WarmupResult result = test::bare_warmup();
  for (design::MeshState& at : result.histories[0].backlash.meshes[0].states) {
    at.gap.j_wt = test::plain_band(50.0, 50.0, 50.0);
  }
  result.histories[0].backlash.meshes[0].basis = design::Basis::nominal;
  check_layout(result);
  const std::string text = report::text(result, {});
  // Any braille letter, as often as the plot has columns, and the curve's name.
  const std::string end = " nominal";
  std::string line;
  for (const std::string& one : lines_of(text)) {
    const bool ends_so = one.size() > end.size() && one.substr(one.size() - end.size()) == end;
    line = ends_so && contains(one, "\xE2\xA0") ? one : line;
  }
  INFO(line);
  REQUIRE_FALSE(line.empty());
  const std::string dots = line.substr(line.find("\xE2\xA0"), 3);
  std::string straight;
  for (int column = 0; column < 60; ++column) {
    straight += dots;
  }
  CHECK(contains(line, straight));
}

TEST_CASE("a moment that could not be computed leaves a gap in the curve") {
  design::WarmupResult whole = test::bare_warmup();
  design::WarmupResult holed = whole;
  auto& states = holed.histories[0].backlash.meshes[0].states;
  states.erase(states.begin() + 25, states.begin() + 35);
  check_layout(holed);
  CHECK(report::text(whole, {}) != report::text(holed, {}));

  states.clear();
  holed.histories[0].backlash.meshes[0].least.reset();
  holed.histories[0].backlash.meshes[0].greatest.reset();
  CHECK_THAT(report::text(holed, {}), ContainsText("mesh A-B: no moment could be computed"));
}

TEST_CASE("many zones: as many columns as fit, the rest told") {
  design::WarmupResult result = test::bare_warmup();
  result.zones.clear();
  std::vector<units::Temperature> levels;
  for (int zone = 0; zone < 9; ++zone) {
    result.zones.push_back("a zone of the machine, number " + std::to_string(zone));
    levels.push_back(units::celsius(10.0 * zone));
  }
  for (design::State& state : result.histories[0].backlash.states) {
    state.temperatures = thermal::TemperatureState(levels);
  }
  check_layout(result);
  const std::string text = report::text(result, {});
  CHECK_THAT(text, ContainsText("the first 6 of 9 zones"));
  CHECK_THAT(text, ContainsText("5 of 9 zones"));
}

TEST_CASE("the table of a history has what matters, and says what it leaves out") {
  const design::WarmupResult result = test::full_warmup();
  report::View view;
  view.condition = "measured start";
  const std::string text = report::text(result, view);
  CHECK_THAT(text, ContainsText("history measured start: record start.csv, 10 min"));
  CHECK_THAT(unbroken(text), ContainsText("↓ least 10.0 at 5 min, ↑ greatest 75.0 at 0 s"));
  // time, two zones, a, nominal, low, high
  CHECK_THAT(text, ContainsText("\n↓       300   -6.7  -23.3 106.6080    20.0   10.0   35.0\n"));
  CHECK_THAT(text, ContainsText("12 of 41 moments shown; CSV and JSON have all"));
  CHECK_FALSE(contains(text, "thermal network"));
  CHECK_THAT(text, ContainsText("A-B          least backlash             ≥ 30.0 µm     10.0 µm"
                                "  NOT MET"));
  CHECK_THAT(unbroken(text), ContainsText("worst at 5 min; violated from 3 min 20 s to 6 min 40 s; "
                                          "holds from 6 min 40 s on"));
  CHECK_THAT(text, ContainsText("2 of 5 requirements not met over all histories"));
}

TEST_CASE("the history of a network tells its cycles and where its heat went") {
  const std::string text = report::text(test::full_warmup(), {});
  CHECK_THAT(unbroken(text), ContainsText("thermal network, 2 h 20 min 30 s, 3 cycles until one is "
                                          "like the last"));
  CHECK_THAT(text, ContainsText("  stored      gears and oil 40.1, case 812.3; in all 852.4\n"));
  CHECK_THAT(text, ContainsText("  boundaries  ambient -47.6\n"));
  CHECK_THAT(text, ContainsText("  residual    2.5e-10 of 1.8e+03 turned over\n"));
  // h:mm:ss, the joint's force and the travel left
  CHECK_THAT(line_with(text, "2:20:30"), EndsWith("   -1500   -12.5"));
  CHECK_THAT(unbroken(text), ContainsText("a built unit anywhere in this history: binds 3.1e-08 ± "
                                          "1.2e-08, below the least asked for 0.0025 ± 1.0e-05, "
                                          "above the greatest asked for none"));
  CHECK_THAT(unbroken(text), ContainsText("first holds from 14 min 3 s on: do not load before"));
}

TEST_CASE("a mesh that is not asked for is not shown, but judged") {
  report::View view;
  view.mesh = "a mesh of a long name";
  const std::string text = report::text(test::full_warmup(), view);
  CHECK_FALSE(contains(text, "mesh A-B: backlash"));
  CHECK_THAT(text, ContainsText("mesh a mesh of a long name: backlash"));
  CHECK_THAT(text, ContainsText("2 of 5 requirements not met"));
}

TEST_CASE("limits near the curves are drawn, others told") {
  design::WarmupResult result = test::full_warmup();
  CHECK_THAT(line_with(report::text(result, {}), " ≥ 30.0"), EndsWith(" ≥ 30.0"));
  auto& row = result.histories[0].requirements[0].row;
  row.limit = 500e-6;
  row.what = "greatest_backlash";
  row.met = true;
  CHECK_THAT(report::text(result, {}), ContainsText("beyond the plot: ≤ 500.0"));
}

TEST_CASE("when a requirement is violated, in words") {
  CHECK(violations({}) == "holds throughout");
  CHECK(violations({{0.0, 1000.0}}) == "violated throughout");
  CHECK(violations({{130.0, 843.0}}) ==
        "violated from 2 min 10 s to 14 min 3 s; holds from 14 min 3 s on");
  CHECK(violations({{0.0, 140.0}}) ==
        "violated from 0 s to 2 min 20 s; first holds from 2 min 20 s on: do not load before");
  CHECK(violations({{900.0, 1000.0}}) ==
        "violated from 15 min to 16 min 40 s; does not hold at the end");
  CHECK(violations({{50.0, 50.0}, {70.0, 80.0}}) ==
        "violated at 50 s, from 1 min 10 s to 1 min 20 s; holds from 1 min 20 s on");
  CHECK(violations({{0.0, 1.0}, {2.0, 3.0}, {4.0, 5.0}, {6.0, 7.0}, {8.0, 9.0}}) ==
        "violated from 0 s to 1 s, from 2 s to 3 s, from 4 s to 5 s and 2 times more, which JSON "
        "has; holds from 9 s on");
}

TEST_CASE("in ASCII the plots have no other characters") {
  design::WarmupResult result = test::bare_warmup();
  report::View view;
  view.ascii = true;
  const auto lines = lines_of(report::text(result, view));
  std::size_t plotted = 0;
  for (const std::string& line : lines) {
    if (line.size() > 9 && line[7] == ' ' && (line[8] == '|' || line[8] == '+')) {
      ++plotted;
      CHECK(std::all_of(line.begin(), line.end(),
                        [](char c) { return static_cast<unsigned char>(c) < 0x80U; }));
    }
  }
  CHECK(plotted > 10);
}

TEST_CASE("verdicts are the only thing in colour over time too") {
  report::View coloured;
  coloured.color = true;
  std::string text = report::text(test::full_warmup(), coloured);
  CHECK(contains(text, "\x1b[1;31mNOT MET\x1b[0m"));
  for (const std::string code : {"\x1b[32m", "\x1b[1;31m", "\x1b[0m"}) {
    for (std::size_t at = text.find(code); at != std::string::npos; at = text.find(code)) {
      text.erase(at, code.size());
    }
  }
  CHECK(text == report::text(test::full_warmup(), {}));
}
