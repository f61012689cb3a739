// The page as text: what must hold before any browser opens it. tests/browser opens it.
#include "lashband/report/html.hpp"

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"
#include "file_text.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/report/json.hpp"
#include "lashband/report/vega_lite.hpp"

using namespace lashband;
using nlohmann::json;

namespace {

const std::string examples = LASHBAND_SOURCE_DIR "/examples/";

design::Study studied(const std::string& text) {
  return design::study(io::read_design_text(text, "train.json", ".", {}), {});
}

design::Study studied_example(const std::string& name) {
  return studied(test::text_of(examples + name + "/train.json"));
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

// Every start tag of the page outside scripts and styles, with its attributes as text; checks on
// the way that elements are closed in order.
std::vector<std::string> start_tags(const std::string& page) {
  const std::set<std::string> without_end = {"meta", "!DOCTYPE", "br", "circle", "path", "line"};
  std::vector<std::string> tags;
  std::vector<std::string> open;
  for (std::size_t at = page.find('<'); at != std::string::npos; at = page.find('<', at)) {
    const std::size_t end = page.find('>', at);
    REQUIRE(end != std::string::npos);
    std::string tag = page.substr(at + 1, end - at - 1);
    at = end + 1;
    const std::string name = tag.substr(0, tag.find_first_of(" /", 1));
    if (tag[0] == '/') {
      REQUIRE(!open.empty());
      REQUIRE(open.back() == tag.substr(1));
      open.pop_back();
      continue;
    }
    tags.push_back(tag);
    if (tag.back() == '/' || without_end.count(name) != 0) {
      continue;
    }
    open.push_back(name);
    if (name == "script" || name == "style") {
      at = page.find("</" + name + ">", at);
      REQUIRE(at != std::string::npos);
    }
  }
  CHECK(open.empty());
  return tags;
}

// The names of a tag and of its attributes, without their values.
std::string names_of(const std::string& tag) {
  std::string names;
  bool quoted = false;
  for (const char c : tag) {
    quoted = quoted != (c == '"');
    if (!quoted && c != '"') {
      names += c;
    }
  }
  return names;
}

// The text of the page: what stands between tags.
std::string shown_text(const std::string& page) {
  std::string text;
  bool inside = false;
  for (const char c : page) {
    if (c == '<') {
      inside = true;
    } else if (c == '>') {
      inside = false;
    } else if (!inside) {
      text += c;
    }
  }
  return text;
}

// Rows of the data table of that id: values of <data> by field, texts for the others.
std::vector<std::map<std::string, std::string>> rows_of(const std::string& page,
                                                        const std::string& id) {
  const std::size_t begin = page.find("id=\"" + id + "\"");
  REQUIRE(begin != std::string::npos);
  const std::string part = page.substr(begin, page.find("</details>", begin) - begin);
  std::vector<std::string> fields;
  for (std::size_t at = part.find("data-field=\""); at != std::string::npos;
       at = part.find("data-field=\"", at)) {
    at += 12;
    fields.push_back(part.substr(at, part.find('"', at) - at));
  }
  std::vector<std::map<std::string, std::string>> rows;
  std::size_t at = part.find("<tbody>");
  while ((at = part.find("<tr>", at)) != std::string::npos) {
    const std::size_t end = part.find("</tr>", at);
    std::map<std::string, std::string> row;
    std::size_t cell = at + 4;
    for (const std::string& field : fields) {
      const std::size_t cell_end = std::min(part.find("</td>", cell), part.find("</th>", cell));
      REQUIRE(cell_end < end);
      const std::string content = part.substr(cell, cell_end - cell);
      const std::size_t value = content.find("value=\"");
      row[field] = value == std::string::npos
                       ? content.substr(content.find('>') + 1)
                       : content.substr(value + 7, content.find('"', value + 7) - value - 7);
      cell = cell_end + 5;
    }
    rows.push_back(row);
    at = end;
  }
  return rows;
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
          if (row.at("carrier") == carrier.result.carrier) {
            by_state[row.at("condition")] = row;
          }
        }
        REQUIRE(by_state.size() == mesh["states"].size());
        for (const json& state : mesh["states"]) {
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
  // 1.5 MB, the most that the page may be; what draws the charts is about half of it.
  constexpr std::size_t largest = 1500000;
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
  const design::Study study = studied(text);
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
  const design::Study first = studied(text);
  const design::Study second = studied(text);
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
  const auto& mesh = first.backlash().meshes[0];
  REQUIRE(rows.size() == 2 * mesh.states.size());
  CHECK(rows[0].at("carrier") == "new.json");
  CHECK(rows.back().at("carrier") == "old.json");
  CHECK(rows[0].at("j_wt_nominal") == rows[mesh.states.size()].at("j_wt_nominal"));
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
