// Runs with what makes a band: bearings, walls, scatter of materials, and the budget of it.
#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <string>
#include <utility>

#include "catch.hpp"
#include "lashband/design/run.hpp"
#include "lashband/error.hpp"
#include "lashband/geometry/backlash.hpp"
#include "lashband/geometry/mesh_cycle.hpp"

using namespace lashband;
using namespace lashband::design;
using units::celsius;
using units::from_si;
using units::Length;

namespace {

constexpr double gap_rounding = 1e-13;         // m
constexpr double percentile_rounding = 2e-12;  // m, of a difference of two percentiles
constexpr double degree = 3.14159265358979323846 / 180.0;
constexpr double alpha_steel = 12.0e-6;
constexpr double alpha_aluminium = 21.0e-6;

Length mm(double value) {
  return from_si<Length>(1e-3 * value);
}

std::shared_ptr<const materials::Material> material(const std::string& id, double alpha, double E,
                                                    double nu, double uncertainty = 0.0) {
  materials::MaterialRecord record;
  record.id = id;
  record.family = "test";
  record.range = {celsius(-100), celsius(300)};
  record.elongation =
      materials::ElongationRecord{materials::MeanCoefficient{from_si<units::PerKelvin>(alpha)}, {}};
  if (uncertainty > 0.0) {
    record.elongation->uncertainty = from_si<units::Ratio>(uncertainty);
  }
  record.youngs_modulus = from_si<units::Pressure>(E);
  record.poissons_ratio = from_si<units::Ratio>(nu);
  record.sources["all"] = "invented for this test";
  return std::make_shared<const materials::Material>(std::move(record));
}

thermal::Solid steel(double uncertainty = 0.0) {
  return {material("steel", alpha_steel, 210e9, 0.30, uncertainty), thermal::ZoneIndex{0}};
}
thermal::Solid aluminium() {
  return {material("aluminium", alpha_aluminium, 71e9, 0.33), thermal::ZoneIndex{1}};
}

template <class Q>
tolerance::Toleranced<Q> between(Q low, Q high) {
  return {{low, high}, tolerance::Shape::normal()};
}
tolerance::Toleranced<Length> between_mm(double low, double high) {
  return between(mm(low), mm(high));
}

// Two equal gears of 41 teeth, module 2.5 mm, in plain aluminium; no tolerance yet.
Design two_gears(const thermal::Solid& gears = steel(),
                 const thermal::Solid& carrier = aluminium()) {
  geometry::ToothData data;
  data.teeth = 41;
  data.module = mm(2.5);
  data.pressure_angle = from_si<units::Angle>(20.0 * degree);
  data.face_width = mm(18.0);
  const geometry::ToothedBody body(data);
  Design design;
  design.zones = {"gears", "case"};
  design.carriers = {{"case", thermal::PlainCarrier{carrier}}};
  design.shafts.resize(2);
  design.shafts[0].id = "s1";
  design.shafts[1].id = "s2";
  design.gears.resize(2, Gear{"", 0, body});
  for (std::size_t i = 0; i < 2; ++i) {
    design.gears[i].id = i == 0 ? "g1" : "g2";
    design.gears[i].shaft = i;
    design.gears[i].solid = gears;
    design.gears[i].thickness_allowance = between_mm(-0.09, -0.09);
  }
  Mesh mesh;
  mesh.id = "m";
  mesh.gear_1 = 0;
  mesh.gear_2 = 1;
  mesh.centre_distance = body.reference_diameter();
  design.meshes = {mesh};
  design.conditions = {{"at 20", thermal::TemperatureState({celsius(20), celsius(20)})}};
  return design;
}

// j_bt of the two gears at 20 degC with the axes moved apart.
double gap_moved(const Design& design, double moved) {
  const Gear& gear = design.gears[0];
  const auto body = gear.body.with_thickness_allowance(gear.thickness_allowance->mid());
  const geometry::GearPair pair(body, body,
                                design.meshes[0].centre_distance + from_si<Length>(moved));
  return geometry::same_tooth_gap(pair).value();
}

Bearing seat_with(const std::string& id, double low_mm, double high_mm) {
  Bearing result;
  result.id = id;
  result.clearance = between_mm(low_mm, high_mm);
  return result;
}

}  // namespace

TEST_CASE("float moves the shafts together, apart, and is taken up before a bind") {
  Design design = two_gears();
  design.shafts[0].bearings = {seat_with("b1", 0.010, 0.020)};
  design.shafts[1].bearings = {seat_with("b2", 0.014, 0.026)};
  const BacklashResult result = backlash(design, 0, {});
  REQUIRE(result.failures.empty());
  const MeshState& at = result.meshes[0].states[0];
  CHECK_THAT(at.gap.j_bt.nominal.value(), WithinAbs(gap_moved(design, 0.0), gap_rounding));
  CHECK_THAT(at.gap.j_bt.low.value(), WithinAbs(gap_moved(design, -23e-6), gap_rounding));
  CHECK_THAT(at.gap.j_bt.high.value(), WithinAbs(gap_moved(design, 23e-6), gap_rounding));
  CHECK_THAT(at.gap.j_bind.low.value(), WithinAbs(gap_moved(design, 12e-6), gap_rounding));
  CHECK_THAT(at.gap.j_bind.nominal.value(), WithinAbs(gap_moved(design, 17.5e-6), gap_rounding));
  REQUIRE(at.float_1.has_value());
  CHECK_THAT(at.float_1->high.value(), WithinAbs(20e-6, gap_rounding));
  CHECK_THAT(at.float_2->nominal.value(), WithinAbs(20e-6, gap_rounding));
  // Under load each shaft lies across its float along the line of action.
  const double sin_alpha = std::sin(20.0 * degree);
  const double loaded = gap_moved(design, 17.5e-6 * sin_alpha);
  constexpr double of_working_angle = 1e-9;  // j_wt against j_bt / cos of an angle that opens
  CHECK_THAT(at.j_wt_loaded->nominal.value(),
             WithinAbs(loaded / std::cos(20.0 * degree), 2e-3 * loaded));
  CHECK(std::abs(at.j_wt_loaded->nominal.value() - at.gap.j_wt.nominal.value()) > of_working_angle);
}

TEST_CASE("an outer ring loses its fit in a hot aluminium bore at 27.8 K") {
  // references: steel ring 70.6/80 mm in aluminium, 20 um at 20 degC, 12 and 21e-6/K (derived,
  // Lame).
  Design design = two_gears();
  Bearing ring = seat_with("b", 0.030, 0.030);
  ring.bore = mm(40.0);
  ring.outside_diameter = mm(80.0);
  ring.outer_raceway = mm(70.6);
  ring.inner_raceway = mm(50.2);
  ring.seat_outside = mm(120.0);
  ring.rings = steel();
  ring.outer_fit = Fit{between_mm(-0.020, -0.020), between_mm(0.0, 0.0)};
  design.shafts[0].bearings = {ring};
  const auto uniform = [](double level) {
    return thermal::TemperatureState({celsius(level), celsius(level)});
  };
  const auto result_at = [&](double level) {
    design.conditions = {{"state", uniform(level)}};
    return backlash(design, 0, {});
  };
  CHECK(result_at(20.0 + 27.7).meshes[0].loose_rings.empty());
  const BacklashResult hot = result_at(20.0 + 27.9);
  REQUIRE(hot.meshes[0].loose_rings.size() == 1);
  CHECK(hot.meshes[0].loose_rings[0].outer);
  CHECK(hot.meshes[0].loose_rings[0].bearing == "b");
  // At 60 degC the ring is loose by 8.80 um, at 100 degC by 37.60 um.
  CHECK_THAT(result_at(60.0).meshes[0].loose_rings[0].by.value(), WithinAbs(8.80e-6, 1e-12));
  CHECK_THAT(result_at(100.0).meshes[0].loose_rings[0].by.value(), WithinAbs(37.60e-6, 1e-12));
  // At 20 degC the raceway closes by 9.73 um, which the float has lost.
  CHECK_THAT(result_at(20.0).meshes[0].states[0].float_1->nominal.value(),
             WithinAbs(30e-6 - 9.73e-6, 0.005e-6));
}

TEST_CASE("two walls tilt the axes and the tilt counts as misalignment") {
  Design design = two_gears();
  design.carriers = {
      {"walls", thermal::WallsCarrier{{mm(-20.0), thermal::PlainCarrier{steel()}},
                                      {mm(40.0), thermal::PlainCarrier{aluminium()}}}}};
  design.gears[0].at = design.gears[1].at = mm(10.0);
  design.gears[0].helix_deviation = tolerance::symmetrical(mm(0.001));
  design.conditions = {{"hot", thermal::TemperatureState({celsius(120), celsius(120)})}};
  const BacklashResult result = backlash(design, 0, {});
  const MeshState& at = result.meshes[0].states[0];
  const double L = design.meshes[0].centre_distance.value();
  const double tilt = L * (alpha_aluminium - alpha_steel) * 100.0 / 0.060;
  CHECK_THAT(at.tilt->value(), WithinAbs(tilt, 1e-12));
  CHECK_THAT(at.tilt_over_face->value(), WithinAbs(tilt * 18e-3, 1e-14));
  CHECK_THAT(at.a.value(),
             WithinAbs(L * (1.0 + 0.5 * (alpha_steel + alpha_aluminium) * 100.0), gap_rounding));
  // The low end loses tilt b sin(alpha) and the helix deviation times cos(alpha) along the normal.
  const double lost = tilt * 18e-3 * std::sin(20.0 * degree) + 1e-6 * std::cos(20.0 * degree);
  CHECK_THAT(at.gap.j_bt.nominal.value() - at.gap.j_bt.low.value(), WithinAbs(lost, gap_rounding));
  const bool warned = std::any_of(result.warnings.begin(), result.warnings.end(),
                                  [](const Warning& warning) { return warning.kind == "tilt"; });
  CHECK(warned);
}

TEST_CASE("one material's uncertainty cancels in the angular backlash of an equal train") {
  Design design = two_gears(steel(0.05), steel(0.05));
  for (Gear& gear : design.gears) {
    gear.thickness_allowance = between_mm(-0.11, -0.07);
  }
  design.conditions = {{"hot", thermal::TemperatureState({celsius(120), celsius(120)})}};
  const auto spread = [](const Design& of) {
    const BacklashResult result = backlash(of, 0, {});
    const auto& phi_1 = result.meshes.at(0).states.at(0).gap.phi_1.least;
    REQUIRE(phi_1.has_value());
    return phi_1->high.value() - phi_1->low.value();
  };
  Design certain = design;
  for (Gear& gear : certain.gears) {
    gear.solid = steel();
  }
  certain.carriers = {{"case", thermal::PlainCarrier{steel()}}};
  constexpr double of_scaling = 1e-7;  // relative: terms of one side scale alike
  CHECK_THAT(spread(design), WithinRel(spread(certain), of_scaling));
  // In an aluminium case it does not cancel.
  Design mixed = two_gears(steel(0.05), aluminium());
  for (Gear& gear : mixed.gears) {
    gear.thickness_allowance = between_mm(-0.11, -0.07);
  }
  mixed.conditions = design.conditions;
  CHECK(spread(mixed) > 1.001 * spread(certain));
}

TEST_CASE("requirements are judged on the end of their basis") {
  Design design = two_gears();
  for (Gear& gear : design.gears) {
    gear.thickness_allowance = between_mm(-0.11, -0.07);
  }
  design.meshes[0].centre_distance_deviation = between_mm(-0.015, 0.015);
  const auto found = [&](Basis basis) {
    design.meshes[0].require.least_backlash = mm(0.1);
    design.meshes[0].require.basis = basis;
    for (const RequirementRow& row : backlash(design, 0, {}).requirements) {
      if (row.what == "least_backlash") {
        CHECK(row.basis == basis);
        return row.found;
      }
    }
    return 0.0;
  };
  const BacklashResult result = backlash(design, 0, {});
  const auto& j_wt = result.meshes[0].states[0].gap.j_wt;
  CHECK(found(Basis::worst_case) == j_wt.low.value());
  CHECK(found(Basis::rss) == j_wt.rss_low->value());
  CHECK(found(Basis::percentile) == j_wt.least->low.value());
  CHECK(found(Basis::nominal) == j_wt.nominal.value());
  CHECK(j_wt.low < *j_wt.rss_low);
  CHECK(*j_wt.rss_low < j_wt.nominal);
}

TEST_CASE("the gain in a budget is that of the drawing with half the tolerance") {
  Design design = two_gears();
  for (Gear& gear : design.gears) {
    gear.thickness_allowance = between_mm(-0.11, -0.07);
    gear.run_out = tolerance::magnitude_up_to(mm(0.024));
  }
  design.meshes[0].centre_distance_deviation = between_mm(-0.015, 0.015);
  design.conditions.push_back({"cold", thermal::TemperatureState({celsius(0), celsius(-40)})});
  const BudgetResult whole = budget(design, 0, {});
  REQUIRE(whole.budgets.size() == 3);  // the envelope and two states
  const auto row = [](const Budget& of, const std::string& id) {
    for (const BudgetRow& one : of.rows) {
      if (one.contributor == id) {
        return one;
      }
    }
    throw std::runtime_error("no row " + id);
  };
  const auto width = [](const Design& of, std::size_t state) {
    const BacklashResult result = backlash(of, 0, {});
    const auto& j_wt = result.meshes[0].states[state].gap.j_wt;
    return std::pair(j_wt.high - j_wt.low, j_wt.greatest->high - j_wt.least->low);
  };
  Design halved = design;
  halved.gears[0].thickness_allowance = between_mm(-0.10, -0.08);
  Design rounder = design;
  rounder.gears[1].run_out = tolerance::magnitude_up_to(mm(0.012));
  for (std::size_t state = 0; state < 2; ++state) {
    const Budget& of = whole.budgets[state + 1];
    const auto full = width(design, state);
    const auto check = [&](const std::string& id, const Design& better) {
      const auto left = width(better, state);
      CHECK_THAT(row(of, id).gain_worst_case.value(),
                 WithinAbs((full.first - left.first).value(), gap_rounding));
      CHECK_THAT(row(of, id).gain_percentile->value(),
                 WithinAbs((full.second - left.second).value(), 1e-12));
    };
    check("E_sn g1", halved);
    check("F_r g2", rounder);
    double shares = 0.0;
    for (const BudgetRow& one : of.rows) {
      shares += one.share;
    }
    CHECK_THAT(shares, WithinAbs(1.0, 1e-12));
  }
  // Temperature beside tolerance: the nominal at the state against that at 20 degC.
  const auto& states = whole.backlash.meshes[0].states;
  CHECK_THAT(
      whole.budgets[2].temperature.value(),
      WithinAbs((states[1].gap.j_wt.nominal - states[0].gap.j_wt.nominal).value(), gap_rounding));
}

TEST_CASE("the envelope's budget is the same without the states' budgets") {
  Design design = two_gears();
  for (Gear& gear : design.gears) {
    gear.thickness_allowance = between_mm(-0.11, -0.07);
    gear.run_out = tolerance::magnitude_up_to(mm(0.024));
  }
  // A lopsided shape: half its band may lower a percentile as well as raise it.
  design.meshes[0].centre_distance_deviation = {{mm(-0.015), mm(0.015)},
                                                tolerance::Shape::triangular(0.9)};
  design.conditions.push_back({"cold", thermal::TemperatureState({celsius(0), celsius(-40)})});
  // As warm as the first condition.
  design.conditions.push_back({"again", design.conditions.front().temperatures});
  design.conditions.push_back({"hot", thermal::TemperatureState({celsius(90), celsius(80)})});
  const BudgetResult every = budget(design, 0, {});
  const BudgetResult envelope = budget(design, 0, {}, BudgetExtent::envelope);
  const BudgetResult from_at_hand =
      budget(design, backlash(design, 0, {}), {}, BudgetExtent::envelope);
  REQUIRE(every.budgets.size() == 1 + 4);
  const Budget& whole = every.budgets.front();
  REQUIRE(whole.rows.size() == 5);
  for (const BudgetResult* other : {&envelope, &from_at_hand}) {
    REQUIRE(other->budgets.size() == 1);
    const Budget& one = other->budgets.front();
    CHECK(one.state == "envelope");
    CHECK(one.least_at == whole.least_at);
    CHECK(one.greatest_at == whole.greatest_at);
    CHECK(one.j_wt.low == whole.j_wt.low);
    CHECK(one.j_wt.high == whole.j_wt.high);
    CHECK(one.temperature == whole.temperature);
    REQUIRE(one.rows.size() == whole.rows.size());
    for (std::size_t i = 0; i < one.rows.size(); ++i) {
      CHECK(one.rows[i].contributor == whole.rows[i].contributor);
      CHECK(one.rows[i].range == whole.rows[i].range);
      CHECK(one.rows[i].share == whole.rows[i].share);
      CHECK(one.rows[i].gain_worst_case == whole.rows[i].gain_worst_case);
      CHECK(*one.rows[i].gain_percentile == *whole.rows[i].gain_percentile);
    }
  }
  // What halving gains over the envelope is what the narrower drawing has less of it.
  const auto width = [](const Design& of) {
    std::array<Length, 4> ends{};
    const BacklashResult result = backlash(of, 0, {});
    for (const MeshState& at : result.meshes[0].states) {
      const auto& j_wt = at.gap.j_wt;
      const bool first = &at == &result.meshes[0].states.front();
      ends[0] = first ? j_wt.low : std::min(ends[0], j_wt.low);
      ends[1] = first ? j_wt.high : std::max(ends[1], j_wt.high);
      ends[2] = first ? j_wt.least->low : std::min(ends[2], j_wt.least->low);
      ends[3] = first ? j_wt.greatest->high : std::max(ends[3], j_wt.greatest->high);
    }
    return std::pair(ends[1] - ends[0], ends[3] - ends[2]);
  };
  const auto full = width(design);
  const auto check = [&](const std::string& id, const Design& better) {
    const auto left = width(better);
    for (const BudgetRow& row : whole.rows) {
      if (row.contributor == id) {
        CHECK_THAT(row.gain_worst_case.value(),
                   WithinAbs((full.first - left.first).value(), gap_rounding));
        CHECK_THAT(row.gain_percentile->value(),
                   WithinAbs((full.second - left.second).value(), percentile_rounding));
        return;
      }
    }
    FAIL("no row " + id);
  };
  Design closer = design;
  closer.meshes[0].centre_distance_deviation->band = {mm(-0.0075), mm(0.0075)};
  check("delta_a m", closer);
  Design rounder = design;
  rounder.gears[1].run_out = tolerance::magnitude_up_to(mm(0.012));
  check("F_r g2", rounder);
  CHECK_THROWS_AS(budget(design, BacklashResult{}, {}), DomainError);
}

TEST_CASE("correlated contributors are sampled, and failing anywhere is at least the worst state") {
  Design design = two_gears();
  for (Gear& gear : design.gears) {
    gear.thickness_allowance = between_mm(-0.11, -0.07);
  }
  design.meshes[0].require.least_backlash = mm(0.165);
  design.conditions.push_back({"cold", thermal::TemperatureState({celsius(0), celsius(-40)})});
  design.correlations = {{"E_sn g1", "E_sn g2", 1.0}};
  RunOptions options;
  options.samples = 1U << 16U;
  const BacklashResult tied = backlash(design, 0, options);
  REQUIRE(tied.meshes[0].percentiles_sampled);
  REQUIRE(tied.sampling->samples == 1U << 16U);
  Design free = design;
  free.correlations.clear();
  const BacklashResult loose = backlash(free, 0, options);
  const auto spread = [](const BacklashResult& of) {
    const auto& least = *of.meshes[0].states[0].gap.j_bt.least;
    return least.high.value() - least.low.value();
  };
  // Two equal normals that go together spread by the square root of two more than free ones.
  constexpr double of_sampling = 0.05;
  CHECK_THAT(spread(tied), WithinRel(std::sqrt(2.0) * spread(loose), of_sampling));
  REQUIRE(loose.meshes[0].anywhere.has_value());
  double worst = 0.0;
  for (const MeshState& at : loose.meshes[0].states) {
    worst = std::max(worst, *at.failure.below_least);
  }
  const SampledProbability& anywhere = *loose.meshes[0].anywhere->below_least;
  CHECK(anywhere.value >= worst - 4.5 * anywhere.standard_error);
}

TEST_CASE("squares of flank deviations add up to 2.104 F_beta^2 as in GB/T 10095-1988") {
  // J_n = sqrt(f_pb1^2 + f_pb2^2 + 2.104 F_beta^2) for axes out of parallel by F_beta in their
  // plane and F_beta/2 across it, 20 deg; the constant is from memory, the sum is exact: 2 cos^2 +
  // sin^2 + cos^2/4.
  Design design = two_gears();
  const double F_beta = 9e-6;
  for (Gear& gear : design.gears) {
    gear.helix_deviation = tolerance::symmetrical(from_si<Length>(F_beta));
  }
  design.meshes[0].parallelism =
      AxisParallelism{tolerance::symmetrical(from_si<Length>(F_beta)),
                      tolerance::symmetrical(from_si<Length>(0.5 * F_beta)), mm(18.0)};
  const BacklashResult result = backlash(design, 0, {});
  const auto& j_bn = result.meshes[0].states[0].gap.j_bn;
  const double lost = j_bn.nominal.value() - j_bn.rss_low->value();
  constexpr double rounding_of_the_constant = 5e-4;
  CHECK_THAT(lost * lost / (F_beta * F_beta), WithinAbs(2.104, rounding_of_the_constant));
}

TEST_CASE("gears hotter than a cast-iron housing lose normal backlash as in GB/T 10095-1988") {
  // j_n1 = 2 a (alpha_gear dt_gear - alpha_housing dt_housing) sin alpha: a = 100 mm, 11.5e-6/K by
  // 55 K, 10.5e-6/K by 30 K: 21.718 um. The formula is from memory and of first order in the
  // strain; the rest is the gap's own growth and the curve of the involute.
  Design design = two_gears({material("gears", 11.5e-6, 206e9, 0.3), thermal::ZoneIndex{0}},
                            {material("housing", 10.5e-6, 110e9, 0.26), thermal::ZoneIndex{1}});
  design.conditions.push_back({"hot", thermal::TemperatureState({celsius(75), celsius(50)})});
  const double a = design.meshes[0].centre_distance.value();
  const BacklashResult result = backlash(design, 0, {});
  const auto& states = result.meshes[0].states;
  const double lost = states[0].gap.j_bn.nominal.value() - states[1].gap.j_bn.nominal.value();
  constexpr double of_first_order = 0.01;
  CHECK_THAT(lost * 0.100 / a, WithinRel(21.718e-6, of_first_order));
}
