// What the page and the charts say of the train as a whole: ratios, lost motion, loops,
// frequencies.
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"
#include "file_text.hpp"
#include "lashband/io/design_file.hpp"
#include "lashband/report/html.hpp"
#include "lashband/report/vega_lite.hpp"
#include "lashband/units/format.hpp"
#include "made_train.hpp"
#include "page_text.hpp"
#include "report/chart/study_charts.hpp"

using namespace lashband;
using nlohmann::json;
using test::rows_of;
using test::section_of;
using test::shown_text;
using test::start_tags;

namespace {

const std::string examples = LASHBAND_SOURCE_DIR "/examples/";

// A design of two meshes with results made by hand, so that nothing is run.
design::Study made_study(const design::TrainResult& train,
                         const design::FrequenciesResult& frequencies) {
  design::Study study;
  study.design = io::read_design_text(test::text_of(examples + "polar_antenna/train.json"),
                                      "train.json", examples + "polar_antenna", {});
  study.design.histories.clear();
  for (const thermal::Carrier& carrier : study.design.carriers) {
    design::CarrierRow row;
    row.result = train.backlash.states.empty() ? test::bare_result() : train.backlash;
    row.result.carrier = carrier.id;
    row.result.meshes.clear();
    for (const design::Mesh& mesh : study.design.meshes) {
      row.result.meshes.push_back(test::bare_mesh(mesh.id));
    }
    row.result.failures.clear();
    study.carriers.rows.push_back(row);
  }
  study.carriers.rows[study.design.carrier_in_use].in_use = true;
  study.train = train;
  study.train.failures.clear();
  study.frequencies = frequencies;
  return study;
}

design::Study full_study() {
  return made_study(test::full_train(), test::full_frequencies());
}

std::string page_of(const design::Study& study, const report::View& view = {}) {
  report::ReportOptions options;
  options.view = view;
  options.input_name = "train.json";
  std::string page = report::html(study, options);
  (void)start_tags(page);
  return page;
}

std::string words_of(const std::string& page, const std::string& section) {
  return shown_text(section_of(page, section));
}

std::set<std::string> chart_ids(const design::Study& study) {
  std::set<std::string> ids;
  for (const report::ChartName& name : report::chart_names(study, {})) {
    ids.insert(name.id);
  }
  return ids;
}

json chart_of(const design::Study& study, const std::string& id) {
  const auto text = report::vega_lite(study, {}, id);
  REQUIRE(text);
  return json::parse(*text);
}

std::size_t count_of(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) {
    ++count;
  }
  return count;
}

}  // namespace

TEST_CASE("the page tells ratios exactly, with the sense and the speeds") {
  const std::string page = page_of(full_study());
  const std::string text = words_of(page, "motion");
  CHECK_THAT(text, ContainsText("-41/38"));
  CHECK_THAT(text, ContainsText("opposite"));
  CHECK_THAT(text, ContainsText("held"));
  CHECK_THAT(text, ContainsText("-1942.5"));
  CHECK_THAT(text, ContainsText("planet arm arm, which turns 2/7"));
  CHECK_THAT(text, ContainsText("internal"));
  // -z_1 / z_2 of an external mesh, z_1 / z_2 of an internal one.
  CHECK_THAT(text, ContainsText("19/60"));
}

TEST_CASE("lost motion on the page has the digits of the result, and nothing where a loop binds") {
  const design::Study study = full_study();
  const std::string page = page_of(study);
  const auto rows = rows_of(page, "data-lost-motion-1");
  const design::LostMotion& motion = study.train.lost_motion[0];
  REQUIRE(rows.size() == motion.states.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto& total = motion.states[i].total;
    CHECK(rows[i].at("condition") == study.train.backlash.states[i].id);
    CHECK(rows[i].at("nominal") == (total ? json(total->nominal.value()).dump() : ""));
    CHECK(rows[i].at("worst_high") == (total ? json(total->high.value()).dump() : ""));
    CHECK(rows[i].at("least_p0.135") == (total ? json(total->least->low.value()).dump() : ""));
    CHECK(rows[i].at("backlash_alone_low") ==
          (total ? json(motion.states[i].backlash_alone->low.value()).dump() : ""));
  }
  const std::string text = words_of(page, "motion");
  CHECK_THAT(text, ContainsText("With crank A held, idler turns back and forth by"));
  CHECK_THAT(text, ContainsText("A loop between them binds at 1 state"));
  CHECK_THAT(text,
             ContainsText("Required is at most 30.00 arcmin: kept with 5.75 arcmin to spare"));
  CHECK_THAT(text, ContainsText("Several ways join the two"));
  CHECK_THAT(text, ContainsText("17 pairs of shafts with the reference are left out"));
  CHECK_THAT(text, ContainsText("65536 units"));
}

TEST_CASE("lost motion under torque stands on the page where there are mean torques") {
  design::Study study = full_study();
  const std::string text = words_of(page_of(study), "motion");
  CHECK_THAT(text, ContainsText("Lost motion under torque, beside that of backlash and float"));
  CHECK_THAT(text, ContainsText("idlercrank Acold start10.255.7515.751.7513.759.2519.25"));
  // Where a loop binds there is a wind-up alone.
  CHECK_THAT(text, ContainsText("idlercrank Arunning hot, gears lead the casebinds1.75binds"));
  report::View hot;
  hot.condition = "running hot, gears lead the case";
  CHECK(words_of(page_of(study, hot), "motion").find("crank Acold start10.25") ==
        std::string::npos);
  for (design::LostMotionState& at : study.train.lost_motion[0].states) {
    at.wind_up.reset();
    at.under_torque.reset();
  }
  CHECK(words_of(page_of(study), "motion").find("under torque") == std::string::npos);
}

TEST_CASE("a mesh has its backlash under mean forces beside the unloaded one") {
  design::Study study = full_study();
  const std::string none = page_of(study);
  CHECK(none.find("under the mean forces") == std::string::npos);
  design::CarrierRow& row = study.carriers.rows[0];
  row.result.meshes[1] = test::full_mesh(study.design.meshes[1].id);
  const std::string part = section_of(page_of(study), "backlash");
  const std::string text = shown_text(part);
  CHECK(count_of(text, "under the mean forces") == 1);
  CHECK_THAT(text,
             ContainsText(row.result.carrier + "cold start82.990.952.9132.92.30.5-1.86.1512"));
  CHECK_THAT(part, ContainsText("value=\"0.006125\""));
  CHECK_THAT(part, ContainsText("value=\"-1230.0\""));
  // A soak has no forces.
  const std::string table = text.substr(text.find("Backlash j_wt under the mean forces"));
  CHECK(table.substr(0, table.find("The mean forces are")).find("soak") == std::string::npos);
}

TEST_CASE("a chart of lost motion draws the requirement and reads in the unit of its table") {
  const design::Study study = full_study();
  const json spec = chart_of(study, "lost-motion-1");
  const std::string text = spec.dump();
  CHECK_THAT(text, ContainsText("lost motion [arcmin]"));
  // 30 minutes of arc, through radians and back.
  constexpr double rounding = 1e-12;
  double limit = 0.0;
  for (const json& layer : spec.at("vconcat").at(0).at("layer")) {
    const json& encoding = layer.at("encoding");
    if (encoding.contains("y") && encoding.at("y").contains("datum")) {
      limit = encoding.at("y").at("datum").get<double>();
    }
  }
  CHECK_THAT(limit, WithinRel(30.0, rounding));
  const double nominal = spec["data"]["values"][0]["nominal"];
  CHECK_THAT(nominal, WithinRel(10.25, rounding));
}

TEST_CASE("shares of a pair add up to the whole and are ranked") {
  const design::Study study = full_study();
  const auto rows = rows_of(page_of(study), "data-lost-motion-shares");
  REQUIRE(rows.size() == 2);
  double sum = 0.0;
  for (const auto& row : rows) {
    for (const char* part : {"share_backlash", "share_float", "share_axial_float"}) {
      sum += json::parse(row.at(part)).get<double>();
    }
  }
  constexpr double rounding = 1e-12;
  CHECK_THAT(sum, WithinAbs(1.0, rounding));
  CHECK(rows[0].at("rank") == "1.0");
  CHECK(rows[1].at("rank") == "2.0");
  // 14.5 of 20.75 minutes.
  CHECK_THAT(words_of(page_of(study), "motion"), ContainsText("A-B makes 70 %"));
}

TEST_CASE("of many pairs and loops a bounded number is drawn, those that matter first") {
  design::TrainResult train = test::full_train();
  const design::LostMotion asked = train.lost_motion[0];
  for (int i = 0; i < 8; ++i) {
    design::LostMotion other = asked;
    other.of = "wheel " + std::to_string(i);
    train.lost_motion.insert(train.lost_motion.begin(), other);
    design::LoopResult loop = test::made_loop();
    for (design::LoopState& at : loop.states) {
      at.margin_rss_low = *at.margin_rss_low - test::micrometres(1.0 + i);
    }
    train.backlash.loops.push_back(loop);
  }
  const design::Study study = made_study(train, test::full_frequencies());
  const std::set<std::string> ids = chart_ids(study);
  // The pair with a requirement is the last.
  CHECK(ids.count("lost-motion-9") == 1);
  CHECK(std::count_if(ids.begin(), ids.end(), [](const std::string& id) {
          return id.rfind("lost-motion-", 0) == 0 && id != "lost-motion-shares";
        }) == 6);
  CHECK(std::count_if(ids.begin(), ids.end(),
                      [](const std::string& id) { return id.rfind("loop-", 0) == 0; }) == 6);
  // Of the eleven loops the last is the tightest; one has no states.
  CHECK(ids.count("loop-11") == 1);
  const std::string page = page_of(study);
  const std::string text = words_of(page, "motion");
  CHECK_THAT(text, ContainsText("3 pairs of the table have no chart here"));
  CHECK_THAT(text, ContainsText("Drawn are the 6 tightest; 4 loops more"));
  CHECK(page.find("id=\"loop-11\"") < page.find("id=\"loop-10\""));
}

TEST_CASE("a loop is told with how it closes, its margins and what a bore may be off") {
  const design::Study study = full_study();
  const std::string page = page_of(study);
  const std::string text = words_of(page, "motion");
  CHECK_THAT(text, ContainsText("crank A - A-B - crank B - B-I - idler - I-A - crank A"));
  CHECK_THAT(text, ContainsText("Closed by the places of its shafts: 0.0123 pitches of A-B"));
  CHECK_THAT(text, ContainsText("Closed at assembly: a gear on idler"));
  CHECK_THAT(text, ContainsText("not known"));
  CHECK_THAT(text, ContainsText("the loop BINDS"));
  CHECK_THAT(text, ContainsText("the bore of idler alone may be 82.0"));
  const auto rows = rows_of(page, "data-loop-1");
  const design::LoopResult& loop = study.train.backlash.loops[0];
  REQUIRE(rows.size() == loop.states.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    CHECK(rows[i].at("margin_low") ==
          json(units::value_in(loop.states[i].margin_low, "mm")).dump());
    CHECK(rows[i].at("taken_up_rss_low") ==
          json(units::value_in(*loop.states[i].taken_up_rss_low, "mm")).dump());
  }
  // Float to take up: two panels, with one zero line each.
  const json spec = chart_of(study, "loop-1");
  CHECK(count_of(spec.dump(), R"("all float taken up")") == 1);
}

TEST_CASE("the verdict counts what is asked of lost motion and of loops") {
  design::TrainResult train = test::full_train();
  train.requirements.back().met = false;
  const std::string text =
      words_of(page_of(made_study(train, test::full_frequencies())), "verdict");
  CHECK_THAT(text, ContainsText("lost motion idler - crank A"));
  CHECK_THAT(text, ContainsText("loop A-B, B-I, I-A"));
  const auto& rows = train.backlash.requirements;
  const auto missed =
      1 + std::count_if(rows.begin(), rows.end(), [](const auto& row) { return !row.met; });
  CHECK_THAT(text, ContainsText(std::to_string(missed) + " of " + std::to_string(rows.size() + 1) +
                                " requirements are not met"));
}

TEST_CASE("frequencies are orders times speeds, of each speed once") {
  design::FrequenciesResult frequencies = test::full_frequencies();
  frequencies.speeds.push_back({"the same again", frequencies.speeds[0].speed});
  const design::Study study = made_study(test::full_train(), frequencies);
  const auto rows = rows_of(page_of(study), "data-frequencies");
  REQUIRE(rows.size() == frequencies.lines.size());
  constexpr double rounding = 1e-12;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double order = json::parse(rows[i].at("order"));
    CHECK(order == frequencies.lines[i].order);
    // 1800 rpm are 30 turns a second.
    CHECK_THAT(json::parse(rows[i].at("f_1")).get<double>(), WithinRel(30.0 * order, rounding));
    CHECK_THAT(json::parse(rows[i].at("f_2")).get<double>(), WithinRel(15.0 * order, rounding));
    CHECK(rows[i].count("f_3") == 0);
  }
  const json spec = chart_of(study, "frequency-over-speed");
  CHECK_THAT(spec["description"].get<std::string>(),
             ContainsText("1800 rpm: cold start, the same again; 900 rpm"));
  CHECK_THAT(spec["description"].get<std::string>(),
             ContainsText("5 pairs of lines fall together within 2 % whatever the speed; the "
                          "closest are mesh A-B, 2 f_z and excitation gas torque, order 81.4, 0.73 "
                          "% apart."));
  // The coincidence at both speeds.
  double greatest = 0.0;
  for (const json& layer : spec["layer"]) {
    if (layer.at("mark").at("type") == "point") {
      REQUIRE(layer.at("data").at("values").size() == 2);
      greatest = layer.at("data").at("values").at(0).at("hertz");
    }
  }
  CHECK_THAT(greatest, WithinRel(82.0 * 30.0, rounding));
}

TEST_CASE("without a speed there are orders alone") {
  const design::Study study = made_study(test::bare_train(), test::bare_frequencies());
  const std::set<std::string> ids = chart_ids(study);
  CHECK(ids.count("frequency-over-speed") == 0);
  REQUIRE(ids.count("frequency-kinds") == 1);
  CHECK(chart_of(study, "frequency-kinds")["title"] == "Orders by kind");
  const std::string text = words_of(page_of(study), "frequencies");
  CHECK_THAT(text, ContainsText("there are orders alone"));
  CHECK(text.find("Hz") == std::string::npos);
}

TEST_CASE("the page tells how teeth meet, phases and what falls together") {
  const std::string text = words_of(page_of(full_study()), "frequencies");
  CHECK_THAT(text, ContainsText("Hunting tooth and assembly phase of each mesh"));
  CHECK_THAT(text, ContainsText("0.02631579"));
  CHECK_THAT(text, ContainsText("Phases between the meshes of one gear"));
  CHECK_THAT(text, ContainsText("71.62"));  // 1.25 rad in deg
  CHECK_THAT(text, ContainsText("0.732"));
  CHECK_THAT(text, ContainsText("1 of 5 coincidences are shown"));
  CHECK_THAT(text, ContainsText("no mesh joins them to crank A"));
}

TEST_CASE("of very many lines sidebands go first, and how many is told") {
  design::FrequenciesResult frequencies = test::full_frequencies();
  for (int i = 1; i <= 400; ++i) {
    frequencies.lines.push_back(
        {spectrum::LineKind::sideband, "A-B", 1, i, "crank A", 41.0 + 0.01 * i});
  }
  const std::string page = page_of(made_study(test::full_train(), frequencies));
  const auto rows = rows_of(page, "data-frequencies");
  CHECK(rows.size() == 10);
  CHECK_THAT(words_of(page, "frequencies"), ContainsText("401 lines left out"));
  for (int i = 1; i <= 400; ++i) {
    frequencies.lines.push_back(
        {spectrum::LineKind::shaft, "s" + std::to_string(i), 1, 0, "", 1.0 + 0.01 * i});
  }
  CHECK(rows_of(page_of(made_study(test::full_train(), frequencies)), "data-frequencies").size() ==
        300);
}

TEST_CASE("a mesh chosen leaves ways and lines of other meshes out") {
  report::View other;
  other.mesh = "F-1";
  const std::string page = page_of(full_study(), other);
  CHECK(page.find("data-lost-motion-1") == std::string::npos);
  for (const auto& row : rows_of(page, "data-frequencies")) {
    CHECK(row.at("kind") != "mesh");
    CHECK(row.at("kind") != "sideband");
  }
}

TEST_CASE("a study without anything of the train has no section of it") {
  const std::string page = page_of(made_study({}, {}));
  CHECK(page.find("id=\"motion\"") == std::string::npos);
  CHECK(page.find("id=\"frequencies\"") == std::string::npos);
}

TEST_CASE("charts that look the same share one specification") {
  const design::Study study = full_study();
  const std::string page = page_of(study);
  const std::size_t charts =
      report::charts_can_be_drawn() ? report::chart_names(study, {}).size() : 0;
  CHECK(count_of(page, "data-spec=\"") == charts);
  std::size_t specifications = 0;
  for (const std::string& tag : start_tags(page)) {
    const std::size_t at = tag.find("data-spec=\"");
    if (at != std::string::npos) {
      const std::string id = tag.substr(at + 11, tag.find('"', at + 11) - at - 11);
      CHECK(count_of(page, "id=\"" + id + "\"") == 1);
    }
    specifications += tag.find("id=\"spec-") != std::string::npos ? 1U : 0U;
  }
  // The two meshes are alike.
  CHECK((specifications < charts || charts == 0));
}

TEST_CASE("hostile names of shafts, meshes and sources are text in every chart") {
  design::TrainResult train = test::full_train();
  design::FrequenciesResult frequencies = test::full_frequencies();
  const std::string hostile =
      "</script><script>alert(1)</script> \"' ${x} " + std::string(300, 'y');
  train.shafts[1].id = train.lost_motion[0].of = train.lost_motion[0].shares[0].mesh = hostile;
  train.backlash.loops[0].shafts[0] = train.backlash.loops[0].meshes[0] = hostile;
  frequencies.reference = frequencies.lines[1].source = frequencies.speeds[0].condition = hostile;
  const design::Study study = made_study(train, frequencies);
  const std::string page = page_of(study);
  std::size_t scripts = 0;
  for (const std::string& tag : start_tags(page)) {
    scripts += tag == "script" ? 1U : 0U;
  }
  CHECK(scripts == (report::charts_can_be_drawn() ? 1U : 0U));
  for (const std::string& id : chart_ids(study)) {
    CHECK_NOTHROW(chart_of(study, id));
  }
}
