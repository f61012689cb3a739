// The figures of docs/choosing-a-damped-gear.md are those of the program.
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <regex>

#include "catch.hpp"
#include "program.hpp"

using namespace lashband::test;
using nlohmann::json;

namespace {

const fs::path root = LASHBAND_SOURCE_DIR;
constexpr double um_per_mm = 1000.0;
constexpr double degrees = 180.0 / 3.14159265358979323846;

std::string page() {
  return text_of(root / "docs" / "choosing-a-damped-gear.md");
}

// The example with another shear modulus of the ring, or with a rigid gear.
json torsion_with(const Folder& folder, const std::string& compound) {
  const fs::path example = root / "examples" / "rail_compressor";
  json train = json::parse(text_of(example / "train.json"), nullptr, true, true);
  for (json& gear : train.at("torsion").at("gears")) {
    if (gear.contains("elastomer") && compound == "rigid") {
      gear.erase("elastomer");
    } else if (gear.contains("elastomer")) {
      gear.at("elastomer").at("shear_modulus") = compound + " MPa";
    }
  }
  folder.file("cylinder_pressure.csv", text_of(example / "cylinder_pressure.csv"));
  const std::string file = folder.file(compound + ".json", train.dump()).string();
  const Run run = run_lashband({"torsion", file, "--format", "json", "--no-verdict"});
  INFO(run.err);
  REQUIRE(run.status == 0);
  return json::parse(run.out);
}

double value(const json& object, const char* key) {
  return object.at(key).at("value").get<double>();
}

const json& condition_of(const json& result, const std::string& id) {
  for (const json& one : result.at("conditions")) {
    if (one.at("condition") == id) {
      return one;
    }
  }
  throw std::runtime_error("no condition " + id);
}

const json& of_crank_b(const json& condition) {
  for (const json& one : condition.at("wind_up")) {
    if (one.at("shaft") == "crank B") {
      return one;
    }
  }
  throw std::runtime_error("no wind-up of crank B");
}

double first_frequency(const json& condition) {
  for (const json& mode : condition.at("modes")) {
    if (value(mode, "frequency") > 0.0) {
      return value(mode, "frequency");
    }
  }
  throw std::runtime_error("no natural frequency");
}

double level_of_zone(const std::string& condition) {
  // Of the zone `gears`, as in the file.
  const json train =
      json::parse(text_of(root / "examples/rail_compressor/train.json"), nullptr, true, true);
  for (const json& one : train.at("conditions")) {
    if (one.at("id") == condition) {
      return std::stod(one.at("zones").at("gears").get<std::string>());
    }
  }
  throw std::runtime_error("no condition " + condition);
}

// The columns behind the compound.
std::vector<double> row_of(const json& result) {
  double rattle = 0.0;
  double margin = 1e9;
  double swing = 0.0;
  double strain = 0.0;
  double heated = 0.0;
  for (const json& condition : result.at("conditions")) {
    if (condition.at("speed_judged") == false) {
      continue;
    }
    rattle = std::max(rattle, condition.at("meshes")[1].at("rattle_index").get<double>());
    for (const json& crossing : condition.at("crossings")) {
      margin = std::min(margin, std::abs(crossing.at("margin").get<double>()));
    }
    swing = std::max(swing, value(of_crank_b(condition), "phase_error"));
    for (const json& ring : condition.at("elastomers")) {
      strain = std::max(strain, ring.at("shear_strain").get<double>());
      heated = std::max(heated, value(ring, "temperature") -
                                    level_of_zone(condition.at("condition").get<std::string>()));
    }
  }
  const json& hot = condition_of(result, "running hot");
  return {first_frequency(hot),
          rattle,
          100.0 * margin,
          degrees * value(of_crank_b(hot), "mean"),
          degrees * swing,
          100.0 * strain,
          heated};
}

double number_after(const std::string& text, const std::string& words) {
  const std::size_t at = text.find(words);
  INFO(words);
  REQUIRE(at != std::string::npos);
  return std::stod(text.substr(at + words.size()));
}

}  // namespace

TEST_CASE("the page that chooses a damped gear: its table is the program's", "[slow]") {
  const Folder folder;
  const std::string text = page();
  const std::regex line(R"(\n\| ([0-9.]+|rigid) \|([^\n]+)\|)");
  std::size_t rows = 0;
  for (std::sregex_iterator it(text.begin(), text.end(), line); it != std::sregex_iterator();
       ++it, ++rows) {
    const std::vector<double> found = row_of(torsion_with(folder, (*it)[1]));
    const std::string cells = (*it)[2];
    const std::regex cell(R"([0-9.]+|-)");
    std::size_t column = 0;
    for (std::sregex_iterator c(cells.begin(), cells.end(), cell); c != std::sregex_iterator();
         ++c, ++column) {
      const std::string shown = c->str();
      if (shown == "-") {
        CHECK((*it)[1] == "rigid");
        continue;
      }
      INFO((*it)[1] << ", column " << column);
      const std::size_t decimals = shown.size() - shown.find('.') - 1;
      const double half = 0.5001 * std::pow(10.0, -static_cast<double>(decimals));
      CHECK_THAT(found.at(column), WithinAbs(std::stod(shown), half));
    }
    CHECK(column == found.size());
  }
  CHECK(rows == 9);
}

TEST_CASE("the page that chooses a damped gear: its sentences are true of the example", "[slow]") {
  const std::string text = page();
  const Run run =
      run_lashband({"torsion", "examples/rail_compressor/train.json", "--format", "json"});
  REQUIRE(run.status == 0);
  const json result = json::parse(run.out);
  const json& start = condition_of(result, "cold start");
  // The worst Λ of both meshes is that of the cold start.
  CHECK_THAT(start.at("meshes")[0].at("rattle_index").get<double>(),
             WithinAbs(number_after(text, "its Λ of "), 5e-4));
  std::size_t elastomer = 0;
  while (result.at("elements")[elastomer].at("kind") != "elastomer") {
    ++elastomer;
  }
  const json& by_stiffness = start.at("meshes")[1].at("index_by_stiffness");
  const double slope = by_stiffness[elastomer].get<double>();
  CHECK_THAT(slope, WithinAbs(number_after(text, "Λ of A-B changes by "), 5e-4));
  // Stiffer rings, worked out anew.
  const Folder folder;
  const auto at_start = [&folder](const std::string& compound) {
    const json with_it = torsion_with(folder, compound);
    return condition_of(with_it, "cold start").at("meshes")[1].at("rattle_index").get<double>();
  };
  constexpr double half_a_hundredth = 5.001e-3;
  CHECK_THAT(at_start("1.56"), WithinAbs(number_after(text, "brings\n  it to "), half_a_hundredth));
  CHECK_THAT(at_start("1.95"),
             WithinAbs(number_after(text, "50 % stiffer brings it to "), half_a_hundredth));
  // The transmission error meets the second mode.
  double nearest = 0.0;
  for (const json& crossing : start.at("crossings")) {
    if (crossing.at("mode") == 2 && nearest == 0.0) {
      nearest = value(crossing, "speed");
    }
  }
  CHECK_THAT(nearest, WithinAbs(number_after(text, "the second mode at "), 0.5));
  // The ring gives across as well.
  const json gaps = json::parse(
      run_lashband({"backlash", "examples/rail_compressor/train.json", "--format", "json"}).out);
  int states_read = 0;
  for (const json& state : gaps.at("meshes")[1].at("states")) {
    if (state.at("condition") == "running hot" && !state.contains("time")) {
      ++states_read;
      CHECK_THAT(um_per_mm * value(state.at("load"), "ring"),
                 WithinAbs(number_after(text, "cranks' mesh by "), 0.501));
      CHECK_THAT(um_per_mm * state.at("j_wt").at("nominal").get<double>(),
                 WithinAbs(number_after(text, "j_wt is "), 0.0501));
      CHECK_THAT(um_per_mm * state.at("j_wt_loaded").at("nominal").get<double>(),
                 WithinAbs(number_after(text, "without load and "), 0.0501));
    }
  }
  CHECK(states_read == 1);
  // Running up, cold.
  const json& cold = condition_of(result, "cold soak");
  const double first = first_frequency(cold);
  CHECK_THAT(first, WithinAbs(number_after(text, "In the cold soak it is at "), 0.05));
  CHECK_THAT(first * 60.0 * 41.0 / 31.0,
             WithinAbs(number_after(text, "once a turn of the cranks meets at "), 0.5));
  const json& swept = cold.at("sweep").at("meshes")[1].at("rattle_index").at("values");
  const auto greatest = std::max_element(swept.begin(), swept.end());
  CHECK_THAT(greatest->get<double>(), WithinAbs(number_after(text, "Λ of A-B reaches "), 0.5));
}
