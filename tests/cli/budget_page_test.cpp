// The figures of docs/reading-a-budget.md are those of the program.
#include <cmath>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>

#include "catch.hpp"
#include "program.hpp"

using namespace lashband::test;
using nlohmann::json;

namespace {

// A figure of the page is rounded to a tenth.
constexpr double rounding = 0.0501;
constexpr double um_per_mm = 1000.0;

json envelope_of(const std::string& carrier) {
  const json result = json::parse(run_lashband({"budget", "examples/rail_compressor/train.json",
                                                "--format", "json", "--carrier", carrier})
                                      .out);
  for (const json& budget : result.at("budgets")) {
    if (budget.at("mesh") == "A-B" && budget.at("condition") == "envelope") {
      return budget;
    }
  }
  throw std::runtime_error("no budget of the mesh over its envelope");
}

double number_after(const std::string& page, const std::string& words) {
  const std::size_t at = page.find(words);
  REQUIRE(at != std::string::npos);
  return std::stod(page.substr(at + words.size()));
}

double um(const json& quantity) {
  return um_per_mm * quantity.at("value").get<double>();
}

}  // namespace

TEST_CASE("the page that reads a budget has the figures of the program", "[slow]") {
  const std::string page = text_of(fs::path(LASHBAND_SOURCE_DIR) / "docs" / "reading-a-budget.md");
  const json budget = envelope_of("floating steel plate");

  const json& band = budget.at("j_wt");
  const double low = um_per_mm * band.at("worst_case")[0].get<double>();
  const double high = um_per_mm * band.at("worst_case")[1].get<double>();
  CHECK_THAT(number_after(page, "- worst case "), WithinAbs(low, rounding));
  CHECK_THAT(number_after(page, "- worst case 6.3 to "), WithinAbs(high, rounding));
  CHECK_THAT(number_after(page, "percentiles "),
             WithinAbs(um_per_mm * band.at("percentiles").at("least").at("0.135").get<double>(),
                       rounding));
  CHECK_THAT(number_after(page, "percentiles 70.3 to "),
             WithinAbs(um_per_mm * band.at("percentiles").at("greatest").at("99.865").get<double>(),
                       rounding));
  CHECK_THAT(number_after(page, "moves the nominal by "),
             WithinAbs(um(budget.at("temperature")), rounding));
  CHECK_THAT(number_after(page, "alone moves the nominal\nby "),
             WithinAbs(um(envelope_of("bores in the case").at("temperature")), rounding));

  const std::regex row(R"(\| `([^`]+)` \| ([0-9.]+) \| ([0-9.]+) \| ([0-9.]+) \| ([0-9.]+) \|)");
  std::size_t rows = 0;
  for (std::sregex_iterator it(page.begin(), page.end(), row); it != std::sregex_iterator();
       ++it, ++rows) {
    const json& found = budget.at("rows").at(rows);
    CHECK(found.at("contributor") == (*it)[1].str());
    CHECK_THAT(std::stod((*it)[2]), WithinAbs(um(found.at("range")), rounding));
    CHECK_THAT(std::stod((*it)[3]), WithinAbs(100.0 * found.at("share").get<double>(), rounding));
    CHECK_THAT(std::stod((*it)[4]), WithinAbs(um(found.at("gain_worst_case")), rounding));
    CHECK_THAT(std::stod((*it)[5]), WithinAbs(um(found.at("gain_percentile")), rounding));
  }
  CHECK(rows == 3);
}
