#include "lashband/io/input_changes.hpp"

#include <string>

#include "catch.hpp"

using lashband::InputChange;
using lashband::io::input_changes;

namespace {

// One line a change, so that a failed check shows all of them.
std::string as_text(const std::vector<InputChange>& changes) {
  std::string text;
  for (const InputChange& change : changes) {
    text += change.where + ": " + change.first + " -> " + change.second + "\n";
  }
  return text;
}

}  // namespace

TEST_CASE("files that say the same have no changes, whatever their layout") {
  CHECK(input_changes(R"({"a": 1, "b": [1, 2], "c": {"d": "x"}})", R"({
    // a comment
    "c": { "d": "x" }, "b": [ 1.0, 2e0 ],
    "a": 1 })")
            .empty());
}

TEST_CASE("a value that differs is told with its place, as both files have it") {
  CHECK(as_text(input_changes(R"({"title": "A", "soak": {"from": "-40 degC", "points": 9}})",
                              R"({"title": "A", "soak": {"from": "-50 degC", "points": 17}})")) ==
        "soak, from: \"-40 degC\" -> \"-50 degC\"\n"
        "soak, points: 9 -> 17\n");
}

TEST_CASE("what only one file has is told with an empty other side") {
  CHECK(as_text(input_changes(R"({"a": true})", R"({"b": {"c": null, "d": []}})")) ==
        "a: true -> \n"
        "b:  -> { \"c\": null, \"d\": [] }\n");
}

TEST_CASE("parts are matched by their id and not by their place") {
  CHECK(
      as_text(input_changes(R"({"gears": [{"id": "g1", "teeth": 20}, {"id": "g2", "teeth": 30}]})",
                            R"({"gears": [{"id": "g3", "teeth": 9}, {"id": "g2", "teeth": 31},
                          {"id": "g1", "teeth": 20}]})")) ==
      "gears g2, teeth: 30 -> 31\n"
      "gears g3:  -> { \"id\": \"g3\", \"teeth\": 9 }\n");
}

TEST_CASE("parts without an id are matched by their number") {
  CHECK(as_text(input_changes(
            R"({"shafts": [{"id": "s", "bearings": [{"at": "1 mm"}, {"at": "2 mm"}]}]})",
            R"({"shafts": [{"id": "s", "bearings": [{"at": "1 mm"}]}]})")) ==
        "shafts s, bearings 2: { \"at\": \"2 mm\" } -> \n");
}

TEST_CASE("a list of values is one value") {
  CHECK(as_text(input_changes(R"({"thickness_allowance": ["-80 um", "-60 um"]})",
                              R"({"thickness_allowance": ["-70 um", "-60 um"]})")) ==
        "thickness_allowance: [\"-80 um\", \"-60 um\"] -> [\"-70 um\", \"-60 um\"]\n");
  CHECK(as_text(input_changes(R"({"a": ["1 mm"]})", R"({"a": "1 mm"})")) ==
        "a: [\"1 mm\"] -> \"1 mm\"\n");
}

TEST_CASE("a long value is cut between characters, a control character is made visible") {
  std::string list;
  for (int i = 0; i < 200; ++i) {
    list += std::string(i == 0 ? "" : ", ") + "\"ä\"";
  }
  const auto changes = input_changes(R"({"a": "\u001b[31m"})", R"({"a": [)" + list + "]}");
  REQUIRE(changes.size() == 1);
  CHECK_THAT(changes[0].first, ContainsText("\\u001b"));
  CHECK(changes[0].second.size() < 210);
  CHECK(changes[0].second.substr(changes[0].second.size() - 3) == "…");
  CHECK_THAT(changes[0].second, ContainsText("\"ä\""));
}

TEST_CASE("parts of a thermal network and histories are matched by their id") {
  const std::string first = R"({
    "thermal_network": { "bodies": [{"id": "oil", "capacity": "4 kJ/K"}, {"id": "case"}],
      "conductances": [{"between": ["oil", "case"], "conductance": "6 W/K"},
                       {"id": "film", "conductance": "5 W/K"}] },
    "histories": [{"id": "a", "boundaries": {"ambient": [["0 s", "1 degC"], ["1 h", "2 degC"]]}},
                  {"id": "b", "file": "b.csv"}]})";
  const std::string second = R"({
    "thermal_network": { "bodies": [{"id": "case"}, {"id": "oil", "capacity": "5 kJ/K"}],
      "conductances": [{"between": ["oil", "case"], "conductance": "7 W/K"},
                       {"id": "film", "conductance": "5 W/K"}] },
    "histories": [{"id": "b", "file": "c.csv"},
                  {"id": "a", "boundaries": {"ambient": [["0 s", "1 degC"], ["1 h", "3 degC"]]}}]})";
  CHECK(as_text(input_changes(first, second)) ==
        "thermal_network, bodies oil, capacity: \"4 kJ/K\" -> \"5 kJ/K\"\n"
        "thermal_network, conductances 1, conductance: \"6 W/K\" -> \"7 W/K\"\n"
        "histories a, boundaries, ambient: [[\"0 s\", \"1 degC\"], [\"1 h\", \"2 degC\"]] -> "
        "[[\"0 s\", \"1 degC\"], [\"1 h\", \"3 degC\"]]\n"
        "histories b, file: \"b.csv\" -> \"c.csv\"\n");
}
