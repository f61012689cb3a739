// The page as text: what must hold before any browser opens it. tests/browser opens it.
#include "lashband/report/html.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"
#include "file_text.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/report/json.hpp"
#include "lashband/report/vega_lite.hpp"
#include "lashband/units/format.hpp"
#include "page_text.hpp"

using namespace lashband;
using nlohmann::json;
using test::names_of;
using test::rows_of;
using test::section_of;
using test::shown_text;
using test::start_tags;

namespace {

const std::string examples = LASHBAND_SOURCE_DIR "/examples/";

// An input that stands in the folder of an example.
design::Study studied(const std::string& text, const std::string& name) {
  return design::study(io::read_design_text(text, "train.json", examples + name, {}), {});
}

design::Study studied_example(const std::string& name) {
  return studied(test::text_of(examples + name + "/train.json"), name);
}

// The example without its histories, if it has any.
design::Study timeless_example(const std::string& name) {
  json input = json::parse(test::text_of(examples + name + "/train.json"), nullptr, true, true);
  input.erase("histories");
  input.erase("thermal_network");
  return studied(input.dump(), name);
}

std::string page_of(const design::Study& study) {
  report::ReportOptions options;
  options.input_name = "train.json";
  options.command = "lashband report train.json -o report.html";
  return report::html(study, options);
}

std::string with(std::string text, const std::string& part, const std::string& instead) {
  for (std::size_t at = text.find(part); at != std::string::npos;
       at = text.find(part, at + instead.size())) {
    text.replace(at, part.size(), instead);
  }
  return text;
}

}  // namespace

TEST_CASE("the page is well-formed and refers to nothing outside it") {
  const std::string page = page_of(studied_example("four_screw_pump"));
  std::set<std::string> ids;
  for (const std::string& tag : start_tags(page)) {
    INFO(tag);
    CHECK(names_of(tag).find(" src=") == std::string::npos);
    CHECK(names_of(tag).find(" style=") == std::string::npos);
    CHECK(names_of(tag).find(" on") == std::string::npos);
    CHECK(tag.rfind("link", 0) == std::string::npos);
    const std::size_t href = tag.find("href=\"");
    CHECK((href == std::string::npos || tag[href + 6] == '#'));
    const std::size_t id = tag.find(" id=\"");
    if (id != std::string::npos) {
      CHECK(ids.insert(tag.substr(id + 5, tag.find('"', id + 5) - id - 5)).second);
    }
  }
  for (const std::string& tag : start_tags(page)) {
    const std::size_t href = tag.find("href=\"#");
    if (href != std::string::npos) {
      INFO(tag);
      CHECK(ids.count(tag.substr(href + 7, tag.find('"', href + 7) - href - 7)) == 1);
    }
  }
  const std::string text = shown_text(page);
  for (const char* heading :
       {"What was asked, and the verdict", "Backlash over temperature", "What makes the spread",
        "Centre distance", "Tip clearance and contact ratio", "The train",
        "Assumptions and simplifications", "Materials, sources and confidence", "Warnings",
        "Cautions", "Where this page comes from", "licensed practice decide",
        "lashband report train.json -o report.html"}) {
    CHECK_THAT(text, ContainsText(heading));
  }
}

TEST_CASE("the same study gives the same page") {
  CHECK(page_of(studied_example("polar_antenna")) == page_of(studied_example("polar_antenna")));
}

TEST_CASE("the page tells no time unless it is given one") {
  const design::Study study = studied_example("polar_antenna");
  report::ReportOptions options;
  CHECK(report::html(study, options).find("<dt>made</dt>") == std::string::npos);
  options.stamp = "2020-02-29 12:00 UTC";
  CHECK_THAT(report::html(study, options), ContainsText("2020-02-29 12:00 UTC"));
}

TEST_CASE("the tables of the page hold the numbers of the JSON results, to the last digit") {
  for (const std::string name : {"four_screw_pump", "polar_antenna"}) {
    const design::Study study = studied_example(name);
    const std::string page = page_of(study);
    for (const design::CarrierRow& carrier : study.carriers.rows) {
      const json results = json::parse(report::json(carrier.result, {}));
      std::size_t number = 0;
      for (const json& mesh : results["meshes"]) {
        std::map<std::string, std::map<std::string, std::string>> by_state;
        for (const auto& row : rows_of(page, "data-mesh-" + std::to_string(++number))) {
          // Moments of histories have tests of their own.
          const bool is_moment = row.count("history") != 0 && !row.at("history").empty();
          if (row.at("carrier") == carrier.result.carrier && !is_moment) {
            by_state[row.at("condition")] = row;
          }
        }
        const auto states =
            std::count_if(mesh["states"].begin(), mesh["states"].end(),
                          [](const json& state) { return !state.contains("time"); });
        REQUIRE(by_state.size() == static_cast<std::size_t>(states));
        for (const json& state : mesh["states"]) {
          if (state.contains("time")) {
            continue;
          }
          const auto& row = by_state.at(state["condition"].get<std::string>());
          INFO(name << " " << carrier.result.carrier << " " << state["condition"]);
          const json& j_wt = state["j_wt"];
          CHECK(row.at("j_wt_nominal") == j_wt["nominal"].dump());
          CHECK(row.at("j_wt_worst_low") == j_wt["worst_case"][0].dump());
          CHECK(row.at("j_wt_worst_high") == j_wt["worst_case"][1].dump());
          CHECK(row.at("a") == state["a"]["value"].dump());
          CHECK(row.at("eps_alpha") == state["eps_alpha"].dump());
          CHECK(row.at("c_least") == json(std::min(state["c_1"]["value"].get<double>(),
                                                   state["c_2"]["value"].get<double>()))
                                         .dump());
          if (j_wt.contains("rss")) {
            CHECK(row.at("j_wt_rss_low") == j_wt["rss"][0].dump());
            CHECK(row.at("j_wt_rss_high") == j_wt["rss"][1].dump());
          }
          if (j_wt.contains("percentiles")) {
            CHECK(row.at("j_wt_least_p0.135") == j_wt["percentiles"]["least"]["0.135"].dump());
            CHECK(row.at("j_wt_greatest_p99.865") ==
                  j_wt["percentiles"]["greatest"]["99.865"].dump());
          }
        }
      }
    }
    const json budget = json::parse(report::json(study.budget, {}));
    std::size_t number = 0;
    for (const json& one : budget["budgets"]) {
      if (one["condition"] != "envelope") {
        continue;
      }
      ++number;
      if (one["rows"].empty()) {
        continue;
      }
      const auto rows = rows_of(page, "data-budget-" + std::to_string(number));
      REQUIRE(rows.size() == one["rows"].size());
      for (std::size_t i = 0; i < rows.size(); ++i) {
        CHECK(rows[i].at("share") == one["rows"][i]["share"].dump());
        CHECK(rows[i].at("range") == one["rows"][i]["range"]["value"].dump());
        CHECK(rows[i].at("gain_worst_case") == one["rows"][i]["gain_worst_case"]["value"].dump());
      }
    }
  }
}

TEST_CASE("the report of the first example stays small enough for an attachment") {
  // What draws the charts is 0.71 MB of it; all three histories and the torsional model are shown.
  constexpr std::size_t largest = 2000000;
  CHECK(page_of(studied_example("rail_compressor")).size() < largest);
}

TEST_CASE("hostile names are text in the page and in its charts") {
  std::string text = test::text_of(examples + "polar_antenna/train.json");
  const json plain = json::parse(text, nullptr, true, true);
  const std::string title = plain["title"];
  const std::string mesh = plain["meshes"][0]["id"];
  const std::string condition = plain["conditions"][0]["id"];
  text = with(text, "\"title\": " + json(title).dump(),
              R"("title": "</title><script>alert(1)</script>")");
  text = with(text, "\"id\": " + json(mesh).dump(),
              R"("id": "\" onmouseover=\"alert(2)\" </script><!--")");
  text = with(text, "\"id\": " + json(condition).dump(),
              R"("id": "\u05e9\u05dc\u05d5\u05dd' & </style> )" + std::string(10000, 'x') + "\"");
  const design::Study study = studied(text, "polar_antenna");
  report::ReportOptions options;
  options.input_name = "<img src=x onerror=alert(3)>";
  options.input_text = text;
  options.command = "lashband '</code><script>alert(4)</script>'";
  const std::string page = report::html(study, options);
  for (const std::string& tag : start_tags(page)) {
    INFO(tag.substr(0, 200));
    CHECK(names_of(tag).find(" on") == std::string::npos);
    CHECK(tag.rfind("img", 0) == std::string::npos);
  }
  std::size_t scripts = 0;
  for (const std::string& tag : start_tags(page)) {
    scripts += tag == "script" ? 1U : 0U;
  }
  CHECK(scripts == (report::charts_can_be_drawn() ? 1U : 0U));
  CHECK(page.find("alert(1)</script>") == std::string::npos);
  CHECK_THAT(page, ContainsText("\u05e9\u05dc\u05d5\u05dd&#39; &amp; &lt;/style&gt;"));
  CHECK_THAT(page, ContainsText("&lt;script&gt;alert(1)"));
  CHECK_THAT(page, ContainsText(std::string(10000, 'x')));
  for (const report::ChartName& chart : report::chart_names(study, {})) {
    const auto spec = report::vega_lite(study, {}, chart.id);
    REQUIRE(spec);
    CHECK_NOTHROW(json::parse(*spec));
  }
}

TEST_CASE("a chart by itself holds its data in the units of the view") {
  const design::Study study = studied_example("four_screw_pump");
  report::View inch;
  inch.units = report::UnitSystem::inch;
  const auto names = report::chart_names(study, {});
  REQUIRE(!names.empty());
  for (const report::ChartName& name : names) {
    const json metric = json::parse(*report::vega_lite(study, {}, name.id));
    const json imperial = json::parse(*report::vega_lite(study, inch, name.id));
    INFO(name.id);
    CHECK(metric["title"] == name.title);
    CHECK(!metric["description"].get<std::string>().empty());
    REQUIRE(metric["data"]["values"].size() == imperial["data"]["values"].size());
    REQUIRE(!metric["data"]["values"].empty());
    const json& row = metric["data"]["values"][0];
    if (row.contains("j_wt_nominal")) {
      const double um = row["j_wt_nominal"];
      const double thou = imperial["data"]["values"][0]["j_wt_nominal"];
      constexpr double rounding = 1e-12;
      CHECK_THAT(thou, WithinRel(um / 25.4, rounding));
    }
  }
  CHECK(!report::vega_lite(study, {}, "soak-99"));
}

TEST_CASE("a comparison tells what changed and what became of the requirements") {
  const std::string text = test::text_of(examples + "four_screw_pump/train.json");
  const design::Study first = studied(text, "four_screw_pump");
  const design::Study second = studied(text, "four_screw_pump");
  report::ReportOptions options;
  options.input_name = "new.json";
  options.other.emplace(report::Comparison{
      second, "old.json", {{"meshes m, centre_distance, nominal", "\"80 mm\"", "\"81 mm\""}}});
  const std::string shown = shown_text(report::html(first, options));
  CHECK_THAT(shown, ContainsText("Beside old.json"));
  CHECK_THAT(shown, ContainsText("meshes m, centre_distance, nominal"));
  CHECK_THAT(shown, ContainsText("The requirements side by side"));
  CHECK_THAT(shown, ContainsText("in both files at the conditions"));
  const auto rows = rows_of(report::html(first, options), "data-compared-1");
  REQUIRE(!rows.empty());
  REQUIRE(rows.size() % 2 == 0);
  CHECK(rows[0].at("carrier") == "new.json");
  CHECK(rows.back().at("carrier") == "old.json");
  CHECK(rows[0].at("j_wt_nominal") == rows[rows.size() / 2].at("j_wt_nominal"));
  options.other.reset();
  CHECK(shown_text(report::html(first, options)).find("Beside") == std::string::npos);
}

TEST_CASE("a study whose states failed has a page that says so") {
  design::Study study = studied_example("polar_antenna");
  for (design::CarrierRow& row : study.carriers.rows) {
    for (design::MeshResult& mesh : row.result.meshes) {
      mesh.states.clear();
      mesh.least.reset();
      mesh.greatest.reset();
    }
    row.result.carrier_states.clear();
    row.result.requirements.clear();
    row.result.failures = {{"mesh 1", "cold", "the base circles do not reach"}};
  }
  study.budget.budgets.clear();
  study.budget.failures = study.backlash().failures;
  study.budget.failures.push_back({"budget of mesh 2", "", "no state has a band"});
  const std::string page = page_of(study);
  (void)start_tags(page);
  CHECK_THAT(shown_text(page), ContainsText("What could not be computed"));
  CHECK_THAT(shown_text(page), ContainsText("the base circles do not reach"));
  CHECK_THAT(shown_text(page), ContainsText("this verdict is not complete"));
  CHECK_THAT(shown_text(page), ContainsText("budget of mesh 2: no state has a band"));
  for (const design::CarrierRow& row : study.carriers.rows) {
    const std::string named = "with " + row.result.carrier + ", mesh 1 at cold";
    CHECK((shown_text(page).find(named) == std::string::npos) == row.in_use);
  }
}

namespace {

constexpr double minute = 60.0;

design::State moment(const std::string& history, double seconds, std::size_t order,
                     std::size_t zones) {
  std::vector<units::Temperature> levels;
  for (std::size_t zone = 0; zone < zones; ++zone) {
    const double slowness = 10.0 * minute * static_cast<double>(zone + 1);
    levels.push_back(units::celsius(-40.0 + 100.0 * (1.0 - std::exp(-seconds / slowness))));
  }
  return {history + " at " + std::to_string(static_cast<long>(seconds)) + " s",
          history,
          order,
          thermal::TemperatureState(std::move(levels)),
          units::from_si<units::Time>(seconds),
          {}};
}

// Moves every band of a mesh along j_wt.
design::MeshState moved(design::MeshState at, std::size_t state, double micrometres) {
  at.state = state;
  const auto by = units::from_si<units::Length>(1e-6 * micrometres);
  auto& band = at.gap.j_wt;
  for (units::Length* end : {&band.nominal, &band.low, &band.high}) {
    *end += by;
  }
  at.a += by;
  return at;
}

// `count` moments, a minute apart, of a history in which the backlash of each mesh falls by 30 um
// to `dip` and rises again.
design::BacklashResult over_time(const design::BacklashResult& like, const std::string& id,
                                 std::size_t count, std::size_t dip) {
  design::BacklashResult result = like;
  result.states.clear();
  result.carrier_states.clear();
  result.requirements.clear();
  result.failures.clear();
  for (std::size_t i = 0; i < count; ++i) {
    result.states.push_back(moment(id, minute * static_cast<double>(i), i, like.zones.size()));
    result.carrier_states.push_back({i, like.carrier_states.front().carrier});
  }
  for (design::MeshResult& mesh : result.meshes) {
    const design::MeshState first = mesh.states.front();
    mesh.states.clear();
    for (std::size_t i = 0; i < count; ++i) {
      const double from_dip = static_cast<double>(i) - static_cast<double>(dip);
      mesh.states.push_back(moved(first, i, -30.0 * std::exp(-0.02 * from_dip * from_dip)));
    }
    mesh.least = dip;
    mesh.greatest = count - 1;
  }
  return result;
}

// The study with a history of half an hour, of the kind told; its ordinary results have some of its
// moments, other ones on each carrier.
design::Study with_history(design::Study study, const std::string& id, std::size_t dip = 12) {
  constexpr std::size_t count = 31;
  design::History given;
  given.id = id;
  given.course = design::TemperatureRecord{"start.csv", {}, {}};
  study.design.histories.push_back(given);
  design::HistoryResult history;
  history.id = id;
  history.file = "start.csv";
  history.backlash = over_time(study.backlash(), id, count, dip);
  history.start = *history.backlash.states.front().time;
  history.end = *history.backlash.states.back().time;
  const design::MeshResult& mesh = history.backlash.meshes.front();
  design::RequirementOverTime asked;
  asked.row = {mesh.id,
               "least_backlash",
               design::RequirementRow::Kind::length,
               mesh.states[dip].gap.j_wt.low.value() + 10e-6,
               mesh.states[dip].gap.j_wt.low.value(),
               history.backlash.states[dip].id,
               design::Basis::worst_case,
               false};
  asked.at = *history.backlash.states[dip].time;
  asked.violated = {{units::from_si<units::Time>(minute * static_cast<double>(dip - 2)),
                     units::from_si<units::Time>(minute * static_cast<double>(dip + 2))}};
  asked.holds_from = asked.violated.back().to;
  history.backlash.requirements = {asked.row};
  history.requirements = {asked};
  study.warmup.carrier = study.backlash().carrier;
  study.warmup.zones = study.design.zones;
  study.warmup.histories.push_back(history);
  for (std::size_t c = 0; c < study.carriers.rows.size(); ++c) {
    design::BacklashResult& result = study.carriers.rows[c].result;
    const design::BacklashResult moments = over_time(result, id, count, dip + c);
    const std::size_t before = result.states.size();
    for (std::size_t i = 0; i < count; ++i) {
      result.states.push_back(moments.states[i]);
      result.carrier_states.push_back({before + i, moments.carrier_states[i].carrier});
      for (std::size_t m = 0; m < result.meshes.size(); ++m) {
        result.meshes[m].states.push_back(moments.meshes[m].states[i]);
        result.meshes[m].states.back().state = before + i;
      }
    }
  }
  return study;
}

// The history at that place, as of a network with a body that is no zone, a boundary, and a last
// zone that the network leaves out.
void give_network(design::Study& study, std::size_t place) {
  using Kind = heat::Place::Kind;
  const std::size_t zones = study.design.zones.size();
  std::vector<heat::Body> bodies;
  std::vector<std::optional<heat::Place>> zone_places;
  for (std::size_t zone = 0; zone + 1 < zones; ++zone) {
    bodies.push_back({"lump " + std::to_string(zone), units::from_si<units::HeatCapacity>(500.0)});
    zone_places.emplace_back(heat::Place{Kind::body, zone});
  }
  zone_places.emplace_back(std::nullopt);
  bodies.push_back({"oil", units::from_si<units::HeatCapacity>(500.0)});
  study.design.thermal_network = design::ThermalNetwork{
      heat::Network(bodies, {{"ambient"}}, {}, {}), std::move(zone_places), {}, {}};
  design::HistoryResult& history = study.warmup.histories.at(place);
  history.source = design::HistoryResult::Source::network;
  history.cycles = 5;
  history.is_periodic = true;
  std::vector<units::Temperature> levels(history.backlash.states.size(), units::celsius(-12.5));
  for (const heat::Body& body : bodies) {
    history.places.push_back({body.id, false, levels});
  }
  history.places.push_back({"ambient", true, levels});
  const auto joules = [](double heat) { return units::from_si<units::Energy>(heat); };
  using Row = design::HeatRow;
  history.heat = design::HeatAccount{{{Row::Kind::stored, "oil", joules(-51250.0)},
                                      {Row::Kind::input, "churning", joules(1500.0)}},
                                     joules(1e-9),
                                     joules(1e5)};
}

std::vector<std::string> chart_ids(const design::Study& study, const std::string& with) {
  std::vector<std::string> ids;
  for (const report::ChartName& name : report::chart_names(study, {})) {
    if (name.id.find(with) != std::string::npos) {
      ids.push_back(name.id);
    }
  }
  return ids;
}

}  // namespace

TEST_CASE("without histories nothing of the page is about warm-up") {
  const design::Study study = timeless_example("polar_antenna");
  CHECK(shown_text(page_of(study)).find("Warm-up") == std::string::npos);
  CHECK(chart_ids(study, "warmup").empty());
}

TEST_CASE("each history has its charts, named by its place and the mesh's in the file") {
  design::Study study = with_history(timeless_example("polar_antenna"), "measured start");
  study = with_history(std::move(study), "second start");
  // The carrier in use has an elastic joint.
  const std::vector<std::string> expected = {
      "warmup-temperature-1", "warmup-backlash-1-1", "warmup-centre-1-1",
      "warmup-backlash-1-2",  "warmup-centre-1-2",   "warmup-joint-force-1",
      "warmup-temperature-2", "warmup-backlash-2-1", "warmup-centre-2-1",
      "warmup-backlash-2-2",  "warmup-centre-2-2",   "warmup-joint-force-2"};
  CHECK(chart_ids(study, "warmup") == expected);
  report::View one;
  one.mesh = study.design.meshes[1].id;
  for (const report::ChartName& name : report::chart_names(study, one)) {
    CHECK(name.id.find("warmup-backlash-1-1") == std::string::npos);
  }
  // A history that could not be solved keeps its number.
  study.warmup.histories.erase(study.warmup.histories.begin());
  CHECK(chart_ids(study, "warmup-temperature") == std::vector<std::string>{"warmup-temperature-2"});
}

TEST_CASE("the warm-up section tells when a requirement is violated, and of what it is made") {
  const design::Study study = with_history(timeless_example("polar_antenna"), "measured <start>");
  const std::string page = page_of(study);
  (void)start_tags(page);
  CHECK(page.find("<section id=\"backlash\">") < page.find("<section id=\"warm-up\">"));
  CHECK(page.find("<section id=\"warm-up\">") < page.find("<section id=\"budget\">"));
  const std::string text = shown_text(section_of(page, "warm-up"));
  CHECK_THAT(text, ContainsText("History measured &lt;start&gt;"));
  CHECK_THAT(text, ContainsText("A record, start.csv: temperatures from 0.00 to 30.00 min"));
  CHECK_THAT(text, ContainsText("violated from 10.00 to 14.00 min, worst with"));
  CHECK_THAT(text, ContainsText("holds from 14.00 min on"));
  CHECK_THAT(text, ContainsText("begins to be violated"));
  CHECK_THAT(text, ContainsText("holds again"));
  CHECK_THAT(text, ContainsText("has its least backlash"));
  CHECK_THAT(shown_text(page), ContainsText("temperature states, 1 history"));
}

TEST_CASE("what is drawn of a history is numbers of its moments, extremes among them") {
  const design::Study study = with_history(timeless_example("polar_antenna"), "measured start");
  const std::string page = page_of(study);
  const design::BacklashResult& result = study.warmup.histories[0].backlash;
  for (std::size_t m = 0; m < result.meshes.size(); ++m) {
    const auto rows = rows_of(page, "data-warmup-mesh-1-" + std::to_string(m + 1));
    const design::MeshResult& mesh = result.meshes[m];
    CHECK(rows.size() <= mesh.states.size());
    std::set<double> times;
    for (const auto& row : rows) {
      const double time = json::parse(row.at("time")).get<double>();
      const auto at =
          std::find_if(mesh.states.begin(), mesh.states.end(), [&](const design::MeshState& one) {
            return result.states[one.state].time->value() == time;
          });
      REQUIRE(at != mesh.states.end());
      times.insert(time);
      CHECK(row.at("j_wt_nominal") == json(units::value_in(at->gap.j_wt.nominal, "mm")).dump());
    }
    for (const double told : {0.0, 12.0 * minute, 30.0 * minute}) {  // both ends and the least
      CHECK(times.count(told) == 1);
    }
  }
  const auto temperatures = rows_of(page, "data-warmup-temperature-1");
  std::set<std::string> places;
  for (const auto& row : temperatures) {
    places.insert(row.at("place"));
    CHECK(row.at("kind") == "zone");
  }
  CHECK(places == std::set<std::string>(study.design.zones.begin(), study.design.zones.end()));
}

TEST_CASE("a network's history tells its other bodies and its heat, and no zone without one") {
  design::Study study = with_history(timeless_example("polar_antenna"), "cold start");
  give_network(study, 0);
  study.warmup.warnings = {
      {"floating network", "", "thermal network", "", "no heat of oil can reach the surroundings"}};
  const std::string page = page_of(study);
  (void)start_tags(page);
  std::map<std::string, std::string> kinds;
  for (const auto& row : rows_of(page, "data-warmup-temperature-1")) {
    kinds[row.at("place")] = row.at("kind");
  }
  const std::vector<std::string>& zones = study.design.zones;
  std::map<std::string, std::string> expected = {{"oil", "body"}, {"ambient", "boundary"}};
  for (std::size_t zone = 0; zone + 1 < zones.size(); ++zone) {
    expected[zones[zone]] = "zone";
  }
  CHECK(kinds == expected);
  const std::string text = shown_text(section_of(page, "warm-up"));
  CHECK_THAT(text, ContainsText("in 5 cycles"));
  CHECK_THAT(text, ContainsText("repeated until a cycle is like the one before"));
  CHECK_THAT(text, ContainsText("no heat of oil can reach the surroundings"));
  CHECK_THAT(text, ContainsText("-51.250"));
  CHECK_THAT(text, ContainsText("closes to 1.0e-14"));
}

TEST_CASE("failures over time are told once for each thing that fails in a history") {
  design::Study study = with_history(timeless_example("polar_antenna"), "cold start");
  design::HistoryResult& history = study.warmup.histories[0];
  for (const std::size_t i : {3U, 4U, 5U}) {
    study.warmup.failures.push_back(
        {"mesh one", history.backlash.states[i].id, "beyond the range of C45"});
    for (design::MeshResult& mesh : history.backlash.meshes) {
      std::erase_if(mesh.states, [i](const design::MeshState& at) { return at.state == i; });
    }
  }
  for (design::MeshResult& mesh : history.backlash.meshes) {
    mesh.least.reset();
    mesh.greatest.reset();
  }
  study.warmup.failures.push_back({"history of heat", "", "it ran away"});
  const std::string page = page_of(study);
  const std::string text = shown_text(section_of(page, "warm-up"));
  CHECK_THAT(text, ContainsText("mesh one at cold start at 180 s: beyond the range of C45 (and at "
                                "2 more moments of this history, the last cold start at 300 s)"));
  CHECK_THAT(text, ContainsText("history of heat: it ran away"));
  std::size_t without_value = 0;
  for (const auto& row : rows_of(page, "data-warmup-mesh-1-1")) {
    without_value += row.at("j_wt_nominal").empty() ? 1U : 0U;
  }
  CHECK(without_value == 1);

  study.warmup.histories.clear();
  CHECK_THAT(shown_text(section_of(page_of(study), "warm-up")), ContainsText("it ran away"));
}

TEST_CASE("among the states a history is told by the moments where something is at an end") {
  const design::Study study = with_history(timeless_example("polar_antenna"), "cold start");
  const std::string page = page_of(study);
  std::map<std::string, std::set<std::string>> moments;
  for (const auto& row : rows_of(page, "data-mesh-1")) {
    if (!row.at("history").empty()) {
      CHECK(row.at("history") == "cold start");
      moments[row.at("carrier")].insert(row.at("condition"));
    } else {
      CHECK(row.at("time").empty());
    }
  }
  REQUIRE(moments.size() == study.carriers.rows.size());
  for (std::size_t c = 0; c < study.carriers.rows.size(); ++c) {
    const auto& of = moments.at(study.carriers.rows[c].result.carrier);
    INFO(study.carriers.rows[c].result.carrier);
    CHECK(of.count("cold start at " + std::to_string(60 * (12 + c)) + " s") == 1);
    CHECK(of.size() < 16);  // of 31
  }
  const json spec = json::parse(*report::vega_lite(study, {}, "conditions-1"));
  const json& rows = spec["layer"][0]["encoding"]["y"]["sort"];
  const bool several = study.carriers.rows.size() > 1;
  CHECK(std::find(rows.begin(), rows.end(),
                  several ? "cold start, least" : "cold start at 720 s") != rows.end());
}

TEST_CASE("a comparison sets histories side by side, also such that only one file has") {
  const design::Study plain = timeless_example("polar_antenna");
  const design::Study first = with_history(plain, "cold start");
  design::Study second = with_history(plain, "cold start", 15);
  second = with_history(std::move(second), "second start");
  report::ReportOptions options;
  options.input_name = "new.json";
  options.other.emplace(report::Comparison{second, "old.json", {}});
  const std::string page = report::html(first, options);
  (void)start_tags(page);
  const std::string text = shown_text(page);
  CHECK_THAT(text, ContainsText("Least backlash over time side by side"));
  CHECK_THAT(text, ContainsText("no such history"));
  CHECK_THAT(text, ContainsText("12.00 min"));
  CHECK_THAT(text, ContainsText("15.00 min"));
  options.other.emplace(report::Comparison{plain, "old.json", {}});
  (void)start_tags(report::html(first, options));
}

TEST_CASE("a chart tells every limit that it draws, wherever that is decided") {
  const design::Study study = studied_example("four_screw_pump");
  for (const design::RequirementRow& row : study.backlash().requirements) {
    if (row.what != "least_backlash" && row.what != "greatest_backlash") {
      continue;
    }
    for (std::size_t m = 0; m < study.design.meshes.size(); ++m) {
      if (study.design.meshes[m].id != row.mesh) {
        continue;
      }
      for (const std::string& id : chart_ids(study, "-" + std::to_string(m + 1))) {
        if (id.rfind("soak-", 0) == 0 || id.rfind("conditions-", 0) == 0) {
          INFO(id);
          const json spec = json::parse(*report::vega_lite(study, {}, id));
          CHECK_THAT(spec["description"].get<std::string>(),
                     ContainsText(row.what == "least_backlash" ? "Required is at least"
                                                               : "Required is at most"));
        }
      }
    }
  }
}
