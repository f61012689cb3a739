// The train over time: where its extremes lie, and when requirements hold.
#include "lashband/design/warmup.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <string>
#include <utility>
#include <variant>

#include "catch.hpp"
#include "lashband/design/run.hpp"
#include "lashband/error.hpp"

using namespace lashband;
using namespace lashband::design;
using units::celsius;
using units::from_si;
using units::Length;
using units::Time;

namespace {

constexpr double gap_rounding = 1e-13;  // m
// Moments are told to a millisecond.
constexpr double moment_rounding = 1.1e-3;  // s
constexpr double degree = 3.14159265358979323846 / 180.0;

Length mm(double value) {
  return from_si<Length>(1e-3 * value);
}
Time s(double value) {
  return from_si<Time>(value);
}

std::shared_ptr<const materials::Material> material(const std::string& id, double alpha, double E) {
  materials::MaterialRecord record;
  record.id = id;
  record.family = "test";
  record.range = {celsius(-100), celsius(200)};
  record.elongation =
      materials::ElongationRecord{materials::MeanCoefficient{from_si<units::PerKelvin>(alpha)}, {}};
  record.youngs_modulus = from_si<units::Pressure>(E);
  record.poissons_ratio = from_si<units::Ratio>(0.3);
  record.sources["all"] = "invented for this test";
  return std::make_shared<const materials::Material>(std::move(record));
}

const thermal::ZoneIndex gears_zone{0};
const thermal::ZoneIndex plate_zone{1};
const thermal::ZoneIndex case_zone{2};

thermal::Solid steel(thermal::ZoneIndex zone) {
  return {material("steel", 12e-6, 210e9), zone};
}
thermal::Solid aluminium() {
  return {material("aluminium", 21e-6, 71e9), case_zone};
}

thermal::Carrier plate(thermal::Joint joint) {
  return {"plate", thermal::InsertCarrier{{steel(plate_zone), from_si<units::Area>(1200e-6), {}},
                                          {aluminium(), from_si<units::Area>(2600e-6), {}},
                                          mm(250),
                                          std::move(joint)}};
}

// Two equal gears of 41 teeth, module 2.5 mm, with nothing but their mid values.
Design two_gears(thermal::Carrier carrier) {
  geometry::ToothData data;
  data.teeth = 41;
  data.module = mm(2.5);
  data.pressure_angle = from_si<units::Angle>(20.0 * degree);
  data.face_width = mm(18.0);
  const geometry::ToothedBody body(data);
  Design design;
  design.zones = {"gears", "plate", "case"};
  design.carriers = {std::move(carrier)};
  design.shafts.resize(2);
  design.shafts[0].id = "s1";
  design.shafts[1].id = "s2";
  design.gears.resize(2, Gear{"", 0, body});
  for (std::size_t i = 0; i < 2; ++i) {
    design.gears[i].id = i == 0 ? "g1" : "g2";
    design.gears[i].shaft = i;
    design.gears[i].solid = steel(gears_zone);
    design.gears[i].thickness_allowance =
        tolerance::Toleranced<Length>{{mm(-0.09), mm(-0.09)}, tolerance::Shape::normal()};
  }
  Mesh mesh;
  mesh.id = "m";
  mesh.gear_1 = 0;
  mesh.gear_2 = 1;
  mesh.centre_distance = body.reference_diameter();
  design.meshes = {mesh};
  return design;
}

thermal::TemperatureState levels(double gears, double plate, double housing) {
  return thermal::TemperatureState({celsius(gears), celsius(plate), celsius(housing)});
}

History record(const std::string& id,
               std::vector<std::pair<double, thermal::TemperatureState>> rows) {
  TemperatureRecord record{"invented.csv", {}, {}};
  for (auto& [time, state] : rows) {
    record.times.push_back(s(time));
    record.rows.push_back(std::move(state));
  }
  return {id, std::move(record), {}};
}

// The nominal j_wt of the design at one temperature state, by an analysis that knows no time.
double backlash_of(Design design, const thermal::TemperatureState& state) {
  design.histories.clear();
  design.soak.reset();
  design.conditions = {{"only", state, {}, {}}};
  return backlash(design, 0, {}).meshes[0].states[0].gap.j_wt.nominal.value();
}

const State& least_state(const BacklashResult& result) {
  return result.states[result.meshes[0].states[*result.meshes[0].least].state];
}
const State& greatest_state(const BacklashResult& result) {
  return result.states[result.meshes[0].states[*result.meshes[0].greatest].state];
}

const RequirementOverTime& requirement(const HistoryResult& history, const std::string& what) {
  for (const RequirementOverTime& one : history.requirements) {
    if (one.row.what == what) {
      return one;
    }
  }
  throw std::runtime_error("no requirement " + what);
}

thermal::Carrier bores() {
  return {"bores", thermal::PlainCarrier{aluminium()}};
}

}  // namespace

TEST_CASE("the extreme of a history is found between its rows") {
  // The plate lies free until the shrinking case presses on it. Before that the cooling gears open
  // the backlash, after it the case closes it faster.
  Design design = two_gears(plate(thermal::ClearanceJoint{mm(0.1), {}, {}}));
  design.histories = {
      record("cooling", {{10.0, levels(20, 20, 20)}, {3610.0, levels(-20, 20, -60)}})};
  // Delta = 250 mm * 21e-6/K * (T - 20 degC) = -0.1 mm.
  const double fall = 0.1 / (250.0 * 21e-6);
  const double pressed = 10.0 + 3600.0 * fall / 80.0;
  const WarmupResult result = warmup(design, 0, {});
  REQUIRE(result.failures.empty());
  REQUIRE(result.histories.size() == 1);
  const HistoryResult& history = result.histories[0];
  CHECK(history.start.value() == 10.0);
  CHECK(history.end.value() == 3610.0);
  CHECK(history.source == HistoryResult::Source::record);
  const State& greatest = greatest_state(history.backlash);
  CHECK_THAT(greatest.time->value(), WithinAbs(pressed, moment_rounding));
  CHECK_THAT(history.backlash.meshes[0]
                 .states[*history.backlash.meshes[0].greatest]
                 .gap.j_wt.nominal.value(),
             WithinAbs(backlash_of(design, greatest.temperatures), gap_rounding));
  // The ordinary analysis has it among its states, and as its extreme.
  const BacklashResult envelope = backlash(design, 0, {});
  REQUIRE(envelope.failures.empty());
  CHECK(greatest_state(envelope).id == greatest.id);
  CHECK(greatest.id.rfind("cooling at ", 0) == 0);
  CHECK(greatest.condition == "cooling");
}

TEST_CASE("a requirement is violated from one moment to another") {
  Design design = two_gears(bores());
  // The gears warm first, then the case follows: down in 600 s and up again in 3000 s.
  design.histories = {record(
      "start",
      {{0.0, levels(-30, -30, -30)}, {600.0, levels(60, -20, -20)}, {3600.0, levels(80, 60, 60)}})};
  const double at_start = backlash_of(design, levels(-30, -30, -30));
  const double at_dip = backlash_of(design, levels(60, -20, -20));
  REQUIRE(at_dip < at_start);
  const double limit = 0.5 * (at_start + at_dip);
  design.meshes[0].require.least_backlash = from_si<Length>(limit);
  const WarmupResult result = warmup(design, 0, {});
  REQUIRE(result.failures.empty());
  CHECK_FALSE(result.all_requirements_met());
  const HistoryResult& history = result.histories[0];
  const RequirementOverTime& least = requirement(history, "least_backlash");
  CHECK_FALSE(least.row.met);
  CHECK_THAT(least.at.value(), WithinAbs(600.0, moment_rounding));
  CHECK_THAT(least.row.found, WithinAbs(at_dip, gap_rounding));
  REQUIRE(least.violated.size() == 1);
  const auto on_the_way = [](double time) {
    const double share = time <= 600.0 ? time / 600.0 : (time - 600.0) / 3000.0;
    return time <= 600.0 ? levels(-30 + 90 * share, -30 + 10 * share, -30 + 10 * share)
                         : levels(60 + 20 * share, -20 + 80 * share, -20 + 80 * share);
  };
  // A millisecond either side, by an analysis that knows no time.
  const double from = least.violated[0].from.value();
  const double to = least.violated[0].to.value();
  CHECK(backlash_of(design, on_the_way(from - moment_rounding)) > limit);
  CHECK(backlash_of(design, on_the_way(from + moment_rounding)) < limit);
  CHECK(backlash_of(design, on_the_way(to - moment_rounding)) < limit);
  CHECK(backlash_of(design, on_the_way(to + moment_rounding)) > limit);
  REQUIRE(least.holds_from.has_value());
  CHECK(least.holds_from->value() == to);
  const RequirementOverTime& binding = requirement(history, "no_binding");
  CHECK(binding.row.met);
  CHECK(binding.violated.empty());
  CHECK(binding.holds_from->value() == 0.0);
  // The corners of the history are among the moments told.
  for (const double time : {0.0, 600.0, 3600.0}) {
    CHECK(std::any_of(history.backlash.states.begin(), history.backlash.states.end(),
                      [time](const State& state) {
                        return std::abs(state.time->value() - time) < moment_rounding;
                      }));
  }
}

TEST_CASE("a dip shorter than the spacing of the moments is not missed") {
  Design design = two_gears(bores());
  design.histories = {record("knock", {{0.0, levels(20, 20, 20)},
                                       {5000.0, levels(20, 20, 20)},
                                       {5001.0, levels(90, 20, 20)},
                                       {5002.0, levels(20, 20, 20)},
                                       {20000.0, levels(20, 20, 20)}})};
  const double before = backlash_of(design, levels(20, 20, 20));
  const double dip = backlash_of(design, levels(90, 20, 20));
  design.meshes[0].require.least_backlash = from_si<Length>(0.5 * (before + dip));
  const WarmupResult result = warmup(design, 0, {});
  const RequirementOverTime& least = requirement(result.histories[0], "least_backlash");
  REQUIRE(least.violated.size() == 1);
  CHECK(least.violated[0].from.value() > 5000.0);
  CHECK(least.violated[0].to.value() < 5002.0);
  CHECK_THAT(least.row.found, WithinAbs(dip, gap_rounding));
  CHECK_THAT(least.at.value(), WithinAbs(5001.0, moment_rounding));
}

TEST_CASE("what is violated to the end never holds again") {
  Design design = two_gears(bores());
  design.histories = {record("start", {{0.0, levels(20, 20, 20)}, {600.0, levels(90, 20, 20)}})};
  design.meshes[0].require.least_backlash = from_si<Length>(
      0.5 * (backlash_of(design, levels(20, 20, 20)) + backlash_of(design, levels(90, 20, 20))));
  const WarmupResult result = warmup(design, 0, {});
  const RequirementOverTime& least = requirement(result.histories[0], "least_backlash");
  REQUIRE(least.violated.size() == 1);
  CHECK(least.violated[0].to.value() == 600.0);
  CHECK_FALSE(least.holds_from.has_value());
}

TEST_CASE("percentiles that were sampled are straight between the moments") {
  Design design = two_gears(bores());
  for (Gear& gear : design.gears) {
    gear.thickness_allowance =
        tolerance::Toleranced<Length>{{mm(-0.12), mm(-0.06)}, tolerance::Shape::normal()};
  }
  design.correlations = {{"E_sn g1", "E_sn g2", 0.5}};
  design.meshes[0].require.basis = Basis::percentile;
  design.histories = {record("start", {{0.0, levels(20, 20, 20)}, {600.0, levels(90, 20, 20)}})};
  RunOptions options;
  options.samples = 2000;
  const auto low = [](const MeshState& at) { return at.gap.j_wt.least->low.value(); };

  const WarmupResult free = warmup(design, 0, options);
  REQUIRE(free.failures.empty());
  const std::vector<MeshState>& states = free.histories[0].backlash.meshes[0].states;
  REQUIRE(free.histories[0].backlash.meshes[0].percentiles_sampled);
  // A third of the way from the first moment below the middle to the one before.
  const double middle = 0.5 * (low(states.front()) + low(states.back()));
  const auto below = std::find_if(states.begin(), states.end(),
                                  [&](const MeshState& at) { return low(at) < middle; });
  REQUIRE(below != states.begin());
  REQUIRE(below != states.end());
  const double limit = std::lerp(low(*below), low(*(below - 1)), 1.0 / 3.0);
  const auto time_of = [&free](const MeshState& at) {
    return free.histories[0].backlash.states[at.state].time->value();
  };
  const double expected = std::lerp(time_of(*below), time_of(*(below - 1)), 1.0 / 3.0);

  design.meshes[0].require.least_backlash = from_si<Length>(limit);
  const WarmupResult result = warmup(design, 0, options);
  REQUIRE(result.failures.empty());
  const RequirementOverTime& least = requirement(result.histories[0], "least_backlash");
  REQUIRE(least.violated.size() == 1);
  CHECK_THAT(least.violated[0].from.value(), WithinAbs(expected, moment_rounding));
  CHECK(least.violated[0].to.value() == 600.0);
}

TEST_CASE("a friction joint follows its history in the order of time") {
  Design design = two_gears(plate(thermal::FrictionJoint{from_si<units::Force>(15e3), {}}));
  design.histories = {record(
      "day",
      {{0.0, levels(20, 20, 20)}, {3600.0, levels(90, 90, 90)}, {7200.0, levels(20, 20, 20)}})};
  const BacklashResult result = backlash(design, 0, {});
  REQUIRE(result.failures.empty());
  // Heated, the case pulls the plate until the joint slips; cooled again, it presses on it.
  const auto at = [&result](double time) -> const thermal::CarrierState& {
    for (const CarrierStateResult& one : result.carrier_states) {
      if (result.states[one.state].time->value() == time) {
        return one.carrier;
      }
    }
    throw std::runtime_error("no such moment");
  };
  CHECK_THAT(at(0.0).joint_force->value(), WithinAbs(0.0, 1e-6));
  CHECK_THAT(at(3600.0).joint_force->value(), WithinRel(15e3, 1e-12));
  CHECK_THAT(at(7200.0).joint_force->value(), WithinRel(-15e3, 1e-12));
  // The next day begins where this one ended.
  CHECK_THAT(at(0.0).joint_force_reach->low.value(), WithinRel(-15e3, 1e-12));
  // Temperatures without an order leave both open.
  Design unordered = design;
  unordered.histories.clear();
  unordered.conditions = {{"warm", levels(90, 90, 90), {}, {}},
                          {"mild", levels(20, 20, 20), {}, {}}};
  const BacklashResult loose = backlash(unordered, 0, {});
  const thermal::CarrierState& mild = loose.carrier_states[1].carrier;
  CHECK(mild.joint_force->value() == 0.0);
  CHECK_THAT(mild.joint_force_reach->low.value(), WithinRel(-15e3, 1e-12));
}

TEST_CASE("a network warms its gears before its case") {
  // Two bodies without a way between them, each with its own film to the air: closed forms.
  Design design = two_gears(bores());
  using units::HeatCapacity;
  using units::ThermalConductance;
  const heat::Place gears{heat::Place::Kind::body, 0};
  const heat::Place housing{heat::Place::Kind::body, 1};
  const heat::Place air{heat::Place::Kind::boundary, 0};
  const double C_g = 2000.0;
  const double C_c = 12000.0;
  const double G_g = 10.0;
  const double G_c = 12.0;
  ThermalNetwork network{
      heat::Network({{"gears", from_si<HeatCapacity>(C_g)}, {"case", from_si<HeatCapacity>(C_c)}},
                    {{"air"}},
                    {{"film 1", gears, air, from_si<ThermalConductance>(G_g), {}},
                     {"film 2", housing, air, from_si<ThermalConductance>(G_c), {}}},
                    {}),
      {gears, gears, housing},
      {},
      {{"friction", 0, PowerShare{0, 0.05}},
       {"cylinder", 1, GivenPower{from_si<units::Power>(900)}}}};
  design.thermal_network = std::move(network);
  NetworkRun run;
  run.start = {celsius(-30), celsius(-30)};
  run.boundaries = {heat::Schedule<units::Temperature>(celsius(-30))};
  run.shaft_power = {heat::Schedule<units::Power>(from_si<units::Power>(12000.0)), std::nullopt};
  run.duration = s(7200);
  design.histories = {{"start", run, {}}};
  const auto temperatures = [&](double t) {
    const double warmer_gears = 600.0 / G_g * (1.0 - std::exp(-G_g / C_g * t));
    const double warmer_case = 900.0 / G_c * (1.0 - std::exp(-G_c / C_c * t));
    return levels(-30 + warmer_gears, -30 + warmer_gears, -30 + warmer_case);
  };
  const WarmupResult result = warmup(design, 0, {});
  REQUIRE(result.failures.empty());
  const HistoryResult& history = result.histories[0];
  CHECK(history.source == HistoryResult::Source::network);
  const State& least = least_state(history.backlash);
  // Temperatures of linear stretches are exact to 1e-10 of their differences.
  for (const State& state : history.backlash.states) {
    const thermal::TemperatureState exact = temperatures(state.time->value());
    for (const thermal::ZoneIndex zone : {gears_zone, plate_zone, case_zone}) {
      CHECK_THAT(state.temperatures.of(zone).value(), WithinAbs(exact.of(zone).value(), 1e-8));
    }
  }
  // Its place on the closed form, by thirds.
  double low = 10.0;
  double high = 1500.0;
  while (high - low > 0.01) {
    const double third = (high - low) / 3.0;
    if (backlash_of(design, temperatures(low + third)) <
        backlash_of(design, temperatures(high - third))) {
      high -= third;
    } else {
      low += third;
    }
  }
  // The minimum is flat: 1e-6 of the least backlash is some 0.1 s.
  CHECK_THAT(least.time->value(), WithinAbs(0.5 * (low + high), 0.5));
  CHECK_THAT(
      history.backlash.meshes[0].states[*history.backlash.meshes[0].least].gap.j_wt.nominal.value(),
      WithinAbs(backlash_of(design, temperatures(0.5 * (low + high))), 1e-12));
  REQUIRE(history.places.size() == 3);
  CHECK(history.places[2].is_boundary);
  CHECK(history.places[2].temperature.size() == history.backlash.states.size());
  REQUIRE(history.heat.has_value());
  double stored = 0.0;
  double came_in = 0.0;
  for (const HeatRow& row : history.heat->rows) {
    (row.kind == HeatRow::Kind::stored ? stored : came_in) += row.heat.value();
  }
  CHECK_THAT(stored, WithinRel(came_in, 1e-12));
  CHECK_THAT(stored, WithinRel(C_g * (history.places[0].temperature.back().value() + 30.0) +
                                   C_c * (history.places[1].temperature.back().value() + 30.0),
                               1e-9));
}

TEST_CASE("a history that leaves a material's range is a failure and the others stand") {
  Design design = two_gears(bores());
  design.histories = {record("too hot", {{0.0, levels(20, 20, 20)}, {600.0, levels(250, 20, 20)}}),
                      record("good", {{0.0, levels(20, 20, 20)}, {600.0, levels(90, 20, 20)}})};
  const WarmupResult result = warmup(design, 0, {});
  REQUIRE(result.histories.size() == 2);
  CHECK_FALSE(result.failures.empty());
  for (const Failure& failure : result.failures) {
    CHECK(failure.state.rfind("too hot at ", 0) == 0);
  }
  CHECK(result.histories[1].backlash.failures.empty());
  // What of the first could be worked out is there.
  CHECK_FALSE(result.histories[0].backlash.meshes[0].states.empty());
}

TEST_CASE("the force of a condition opens no moment of a history") {
  Design design = two_gears(bores());
  design.histories = {record("start", {{0.0, levels(20, 20, 20)}, {600.0, levels(60, 20, 20)}})};
  design.meshes[0].separation =
      Separation{mm(0.002), from_si<units::Compliance>(1e-8)};  // 2 um and 10 um a kilonewton
  const BacklashResult alone = backlash(design, 0, {});
  REQUIRE(alone.failures.empty());
  design.conditions = {{"loaded", levels(20, 20, 20), {}, {}, {from_si<units::Force>(5000.0)}}};
  const BacklashResult beside = backlash(design, 0, {});
  REQUIRE(beside.meshes[0].states.size() == alone.meshes[0].states.size() + 1);
  const auto opened = [](const MeshState& at) {
    return at.j_wt_loaded->nominal.value() - at.gap.j_wt.nominal.value();
  };
  for (std::size_t i = 0; i < alone.meshes[0].states.size(); ++i) {
    CHECK_THAT(opened(beside.meshes[0].states[i + 1]),
               WithinAbs(opened(alone.meshes[0].states[i]), gap_rounding));
  }
  CHECK(opened(beside.meshes[0].states[0]) > 10.0 * opened(beside.meshes[0].states[1]));
}

TEST_CASE("a history that does not fit its network is a failure") {
  Design design = two_gears(bores());
  design.histories = {{"start", NetworkRun{}, {}}};
  const WarmupResult result = warmup(design, 0, {});
  CHECK(result.histories.empty());
  REQUIRE(result.failures.size() == 1);
  CHECK(result.failures[0].subject == "history start");
  CHECK(result.failures[0].text == "the history needs a thermal network, and the design has none");
}

TEST_CASE("a design without histories has no warm-up") {
  Design design = two_gears(bores());
  design.conditions = {{"mild", levels(20, 20, 20), {}, {}}};
  const WarmupResult result = warmup(design, 0, {});
  CHECK(result.histories.empty());
  CHECK(result.all_requirements_met());
}
