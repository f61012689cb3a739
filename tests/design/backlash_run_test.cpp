// Whole runs on designs made in C++, without a file.
#include <algorithm>
#include <memory>

#include "catch.hpp"
#include "lashband/design/run.hpp"

using namespace lashband;
using namespace lashband::design;
using units::celsius;
using units::from_si;
using units::Length;

namespace {

constexpr double gap_rounding = 1e-13;  // m
constexpr double degree = 3.14159265358979323846 / 180.0;

Length mm(double value) {
  return from_si<Length>(1e-3 * value);
}

std::shared_ptr<const materials::Material> material(const std::string& id, double alpha,
                                                    double low = -100.0) {
  materials::MaterialRecord record;
  record.id = id;
  record.family = "test";
  record.range = {celsius(low), celsius(300)};
  record.elongation =
      materials::ElongationRecord{materials::MeanCoefficient{from_si<units::PerKelvin>(alpha)}, {}};
  record.sources["all"] = "invented for this test";
  return std::make_shared<const materials::Material>(std::move(record));
}

tolerance::Toleranced<Length> between(double low_in_mm, double high_in_mm) {
  return {{mm(low_in_mm), mm(high_in_mm)}, tolerance::Shape::normal()};
}

Gear gear(const std::string& id, std::size_t shaft, const geometry::ToothedBody& body,
          const thermal::Solid& solid) {
  return {id, shaft, body, between(-0.11, -0.07), solid};
}

// Two equal gears, zones "gears" and "case", a plain carrier.
Design two_gears(double alpha_case) {
  geometry::ToothData data;
  data.teeth = 41;
  data.module = mm(2.5);
  data.pressure_angle = from_si<units::Angle>(20.0 * degree);
  data.face_width = mm(18.0);
  const geometry::ToothedBody body(data);
  const thermal::Solid steel{material("steel", 11.5e-6), thermal::ZoneIndex{0}};
  Design design;
  design.title = "two gears";
  design.zones = {"gears", "case"};
  design.carriers = {
      {"case", thermal::PlainCarrier{{material("case metal", alpha_case), thermal::ZoneIndex{1}}}}};
  design.shafts.resize(2);
  design.shafts[0].id = "s1";
  design.shafts[1].id = "s2";
  design.gears = {gear("g1", 0, body, steel), gear("g2", 1, body, steel)};
  Mesh mesh;
  mesh.id = "m";
  mesh.gear_1 = 0;
  mesh.gear_2 = 1;
  mesh.centre_distance = body.reference_diameter();
  mesh.centre_distance_deviation = between(-0.015, 0.015);
  design.meshes = {mesh};
  return design;
}

Condition condition(const std::string& id, double gears, double housing) {
  return {id, thermal::TemperatureState({celsius(gears), celsius(housing)}), {}};
}

}  // namespace

TEST_CASE("equal materials at equal temperature keep the angular backlash at every soak") {
  // Common practice, no source: a steel carrier holds a steel train's clearance constant.
  Design design = two_gears(11.5e-6);
  design.soak = Soak{celsius(-60), celsius(140), 11};
  const BacklashResult result = backlash(design, 0, {});
  REQUIRE(result.meshes[0].states.size() == 11);
  const MeshState& first = result.meshes[0].states.front();
  for (const MeshState& at : result.meshes[0].states) {
    CHECK_THAT(at.gap.phi_1.nominal.value(),
               WithinAbs(first.gap.phi_1.nominal.value(), gap_rounding / 0.05));
    CHECK_THAT(at.gap.phi_1.low.value(),
               WithinAbs(first.gap.phi_1.low.value(), gap_rounding / 0.05));
    CHECK_THAT(at.gap.phi_1.high.value(),
               WithinAbs(first.gap.phi_1.high.value(), gap_rounding / 0.05));
    CHECK(at.gap.cycle_resolved);
  }
  CHECK(result.failures.empty());
}

TEST_CASE("the worst case lies where every tolerance is at an end") {
  // A different route: all eight corners and many points within the bands; none leaves the
  // interval.
  Design design = two_gears(21.0e-6);
  design.conditions = {condition("cold", -20, -40)};
  const BacklashResult whole = backlash(design, 0, {});
  const auto& band = whole.meshes[0].states[0].gap.j_bt;
  double low = 1.0;
  double high = -1.0;
  for (int i = 0; i < 125; ++i) {
    const auto share = [](int step) { return 0.25 * step; };
    Design one = design;
    const auto at = [](const std::optional<tolerance::Toleranced<Length>>& value, double s) {
      const units::Band<Length>& b = value->band;
      const Length only = b.low + s * (b.high - b.low);
      return tolerance::Toleranced<Length>{{only, only}, value->shape};
    };
    one.gears[0].thickness_allowance = at(design.gears[0].thickness_allowance, share(i % 5));
    one.gears[1].thickness_allowance = at(design.gears[1].thickness_allowance, share(i / 5 % 5));
    one.meshes[0].centre_distance_deviation =
        at(design.meshes[0].centre_distance_deviation, share(i / 25));
    const auto j = backlash(one, 0, {}).meshes[0].states[0].gap.j_bt;
    CHECK(j.low == j.high);
    low = std::min(low, j.low.value());
    high = std::max(high, j.high.value());
  }
  CHECK_THAT(band.low.value(), WithinAbs(low, gap_rounding));
  CHECK_THAT(band.high.value(), WithinAbs(high, gap_rounding));
}

TEST_CASE("conditions come first, then the sweep, and each state has its name") {
  Design design = two_gears(21.0e-6);
  design.conditions = {condition("hot", 110, 90), condition("cold", -40, -40)};
  design.soak = Soak{celsius(-40), celsius(120), 4};
  const auto states = states_of(design);
  REQUIRE(states.size() == 6);
  CHECK(states[0].id == "hot");
  CHECK(states[1].id == "cold");
  CHECK(states[2].id == "soak -40 degC");
  CHECK(states[3].id == "soak 13.3333 degC");
  CHECK(states[5].id == "soak 120 degC");
  CHECK(states[3].condition == "soak");
  CHECK(states[5].temperatures.by_zone()[1].value() == 120.0);
}

TEST_CASE("a state that cannot be computed is named, and the others are there") {
  Design design = two_gears(21.0e-6);
  SECTION("base circles that overlap at one state") {
    design.meshes[0].centre_distance = mm(96.40);  // r_b1 + r_b2 = 96.318 mm
    design.conditions = {condition("fine", 20, 20), condition("apart", 200, -90)};
    const BacklashResult result = backlash(design, 0, {});
    REQUIRE(result.failures.size() == 1);
    CHECK(result.failures[0].subject == "mesh m");
    CHECK(result.failures[0].state == "apart");
    CHECK_THAT(result.failures[0].text, ContainsText("base circles overlap"));
    CHECK(result.meshes[0].states.size() == 1);
  }
  SECTION("a gear outside its material's range at one state") {
    design.gears[0].solid.material = material("warm steel", 11.5e-6, 0.0);
    design.conditions = {condition("fine", 20, 20), condition("cold", -10, 20)};
    const BacklashResult refused = backlash(design, 0, {});
    REQUIRE(refused.failures.size() == 1);
    CHECK_THAT(refused.failures[0].text, ContainsText("warm steel"));
    const BacklashResult allowed = backlash(design, 0, {materials::Extrapolation::allow});
    CHECK(allowed.failures.empty());
    CHECK(allowed.meshes[0].states.size() == 2);
  }
  SECTION("a carrier outside its material's range") {
    design.carriers[0].build =
        thermal::PlainCarrier{{material("warm", 21e-6, 0.0), thermal::ZoneIndex{1}}};
    design.conditions = {condition("fine", 20, 20), condition("cold", 20, -10)};
    const BacklashResult result = backlash(design, 0, {});
    REQUIRE(result.failures.size() == 1);
    CHECK(result.failures[0].subject == "carrier case");
    CHECK(result.failures[0].state == "cold");
    CHECK(result.meshes[0].states.size() == 1);
  }
}

TEST_CASE("what a designer should know is found") {
  Design design = two_gears(21.0e-6);
  const auto has = [](const BacklashResult& result, const std::string& kind) {
    return std::any_of(result.warnings.begin(), result.warnings.end(),
                       [&kind](const Warning& warning) { return warning.kind == kind; });
  };
  design.conditions = {condition("ref", 20, 20)};
  CHECK(backlash(design, 0, {}).warnings.empty());
  SECTION("undercut") {
    geometry::ToothData data;
    data.teeth = 12;
    data.module = mm(2.5);
    data.pressure_angle = from_si<units::Angle>(20.0 * degree);
    data.face_width = mm(18.0);
    design.gears[0].body = geometry::ToothedBody(data);
    design.meshes[0].centre_distance = mm(66.25);
    CHECK(has(backlash(design, 0, {}), "undercut"));
    CHECK(has(backlash(design, 0, {}), "interference"));
  }
  SECTION("contact lost") {
    design.meshes[0].centre_distance = mm(106.0);
    CHECK(has(backlash(design, 0, {}), "contact ratio"));
  }
  SECTION("tips in the roots") {
    design.meshes[0].centre_distance = mm(101.7);
    CHECK(has(backlash(design, 0, {}), "tip clearance"));
  }
  SECTION("no radial play") {
    design.meshes[0].centre_distance = mm(110.0);
    design.gears[0].thickness_allowance = between(-2.4, -2.4);
    design.gears[1].thickness_allowance = between(-2.4, -2.4);
    CHECK(has(backlash(design, 0, {}), "radial play"));
  }
  SECTION("bounds instead of values") {
    design.meshes[0].centre_distance = mm(106.5);
    design.gears[1].solid.zone = thermal::ZoneIndex{1};
    design.conditions = {condition("warm", 60, 20)};
    const BacklashResult result = backlash(design, 0, {});
    CHECK(has(result, "bound"));
    CHECK_FALSE(result.meshes[0].states[0].gap.cycle_resolved);
  }
  SECTION("notes of the reader are handed on") {
    design.notes = {{"unused", "zone z", "nobody uses it"}};
    CHECK(has(backlash(design, 0, {}), "unused"));
  }
}

TEST_CASE("carriers are compared side by side and differences are named") {
  Design design = two_gears(21.0e-6);
  design.carriers.push_back(
      {"plate", thermal::PlainCarrier{{material("plate metal", 11.5e-6), thermal::ZoneIndex{1}}}});
  design.carrier_in_use = 1;
  design.soak = Soak{celsius(-40), celsius(120), 17};
  design.notes = {{"unused", "zone z", "nobody uses it"}};
  const CarriersResult result = carriers(design, {});
  REQUIRE(result.rows.size() == 2);
  CHECK_FALSE(result.rows[0].in_use);
  CHECK(result.rows[1].in_use);
  CHECK(result.rows[0].result.meshes[0].swing > 10.0 * result.rows[1].result.meshes[0].swing);
  CHECK_FALSE(result.rows[0].joint.force_low.has_value());
  // Said once, since it holds for both.
  REQUIRE(result.warnings.size() == 1);
  CHECK(result.warnings[0].carrier.empty());
}
