#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "lashband/design/results.hpp"

// Results made by hand for the renderers: with everything that a result can have, and with as
// little as there can be. The numbers are invented; most differ, so that none stands for another.
namespace lashband::test {

/// As if read from "<x> um" with three decimals at most: the double nearest to that.
inline units::Length micrometres(double x) {
  return units::from_si<units::Length>(std::round(1000.0 * x) / 1e9);
}

inline design::Percentiles<units::Length> percentiles_um(double low, double mid, double high) {
  return {micrometres(low), micrometres(mid), micrometres(high)};
}

/// A gap with its root sum square and percentiles around `nominal`, in micrometres.
inline design::ResultBand<units::Length> full_band(double nominal) {
  design::ResultBand<units::Length> band{micrometres(nominal),
                                         micrometres(nominal - 40.25),
                                         micrometres(nominal + 40.75),
                                         {},
                                         {},
                                         {},
                                         {}};
  band.rss_low = micrometres(nominal - 30.5);
  band.rss_high = micrometres(nominal + 30.5);
  band.least = percentiles_um(nominal - 28.125, nominal - 2.0, nominal + 20.0);
  band.greatest = percentiles_um(nominal - 20.0, nominal + 2.0, nominal + 28.5);
  return band;
}

inline design::ResultBand<units::Length> plain_band(double nominal, double low, double high) {
  return {micrometres(nominal), micrometres(low), micrometres(high), {}, {}, {}, {}};
}

inline design::ResultBand<units::Angle> full_angle_band(double nominal) {
  const auto angle = [](double x) { return units::from_si<units::Angle>(x); };
  design::ResultBand<units::Angle> band{
      angle(nominal), angle(0.5 * nominal), angle(2.0 * nominal), {}, {}, {}, {}};
  band.rss_low = angle(0.75 * nominal);
  band.rss_high = angle(1.25 * nominal);
  band.least = design::Percentiles<units::Angle>{angle(0.7 * nominal), angle(0.9 * nominal),
                                                 angle(1.1 * nominal)};
  band.greatest = design::Percentiles<units::Angle>{angle(0.8 * nominal), angle(1.0 * nominal),
                                                    angle(1.3 * nominal)};
  return band;
}

inline std::vector<design::State> made_states() {
  const auto at = [](double level) {
    return thermal::TemperatureState({units::celsius(level), units::celsius(level - 5.0)});
  };
  return {{"cold start", "cold start", 0, at(-40.0)},
          {"running hot, gears lead the case", "running hot, gears lead the case", 1, at(118.0)},
          {"soak 20 degC", "soak", 0, at(20.0)}};
}

/// A mesh at the places of `made_states`: geometry and nominal backlash, no tolerance anywhere.
inline design::MeshResult bare_mesh(const std::string& id) {
  design::MeshResult mesh;
  mesh.id = id;
  mesh.gear_1 = "gA";
  mesh.gear_2 = "gB";
  const double nominal[] = {82.9, 1234.5, 119.7};
  for (std::size_t i = 0; i < 3; ++i) {
    design::MeshState at;
    at.state = i;
    at.a = units::from_si<units::Length>(0.106608);
    at.alpha_wt = units::from_si<units::Angle>(0.3725);
    at.eps_alpha = 1.603;
    at.eps_beta = 0.593;
    at.c_1 = micrometres(696.0);
    at.c_2 = micrometres(710.0);
    const auto band = plain_band(nominal[i], nominal[i], nominal[i]);
    at.gap.j_wt = at.gap.j_bt = at.gap.j_bn = at.gap.j_r_iso = at.gap.j_bind = band;
    mesh.states.push_back(at);
  }
  mesh.least = 0;
  mesh.greatest = 1;
  mesh.swing = micrometres(1151.6);
  return mesh;
}

/// The same with everything.
inline design::MeshResult full_mesh(const std::string& id) {
  design::MeshResult mesh = bare_mesh(id);
  const double binds[] = {2.34e-8, 0.0, 3.0e-14};
  for (std::size_t i = 0; i < mesh.states.size(); ++i) {
    design::MeshState& at = mesh.states[i];
    const double nominal = at.gap.j_wt.nominal.value() * 1e6;
    at.gap.j_wt = full_band(nominal);
    at.gap.j_bt = full_band(nominal - 5.0);
    at.gap.j_bn = full_band(nominal - 7.0);
    at.gap.j_r = plain_band(nominal + 10.0, nominal, nominal + 20.0);
    at.gap.phi_1 = full_angle_band(1.2e-3);
    at.gap.phi_2 = full_angle_band(1.6e-3);
    at.gap.j_bind = plain_band(nominal - 3.0, nominal - 43.0, nominal + 37.0);
    at.gap.j_bind.rss_low = micrometres(nominal - 33.0);
    at.gap.j_bind.rss_high = micrometres(nominal + 27.0);
    at.gap.j_bind.least = percentiles_um(nominal - 31.0, nominal - 3.5, nominal + 24.0);
    at.gap.cycle_resolved = i != 2;
    at.float_1 = plain_band(12.0, 5.0, 19.0);
    at.float_2 = plain_band(13.0, 6.0, 21.0);
    at.j_wt_loaded = plain_band(nominal + 8.0, nominal - 30.0, nominal + 50.0);
    at.tilt = units::from_si<units::Angle>(2.5e-4);
    at.tilt_over_face = micrometres(4.5);
    at.failure = {binds[i], 1.25e-3, 0.9999};
  }
  mesh.anywhere = design::AnywhereProbability{
      {3.1e-8, 1.2e-8}, design::SampledProbability{2.5e-3, 1.0e-5}, design::SampledProbability{}};
  mesh.loose_rings = {
      {"crank A bearing 1", true, micrometres(6.25), "running hot, gears lead the case"},
      {"crank B bearing 2", false, micrometres(0.75), "cold start"}};
  return mesh;
}

inline std::vector<design::RequirementRow> made_requirements(const std::string& mesh) {
  using Kind = design::RequirementRow::Kind;
  return {
      {mesh, "least_backlash", Kind::length, 30e-6, 42.65e-6, "cold start",
       design::Basis::worst_case, true},
      {mesh, "greatest_normal_backlash", Kind::length, 260e-6, 1256e-6,
       "running hot, gears lead the case", design::Basis::percentile, false},
      {mesh, "least_contact_ratio", Kind::ratio, 1.2, 1.603, "cold start", design::Basis::rss,
       true},
      {mesh, "no_binding", Kind::length, 0.0, 79.9e-6, "cold start", design::Basis::nominal, true}};
}

inline const char* made_digest() {
  return "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef";
}

/// No tolerance, no requirement, no title.
inline design::BacklashResult bare_result() {
  design::BacklashResult result;
  result.input = {"", made_digest()};
  result.carrier = "case";
  result.zones = {"gears", "case"};
  result.states = made_states();
  for (std::size_t i = 0; i < result.states.size(); ++i) {
    result.carrier_states.push_back({i, {}});
  }
  result.meshes = {bare_mesh("A-B")};
  return result;
}

inline design::BacklashResult full_result(const std::string& carrier = "floating steel plate") {
  design::BacklashResult result = bare_result();
  result.input.title = "A train made by hand (invented)";
  result.carrier = carrier;
  for (design::CarrierStateResult& at : result.carrier_states) {
    at.carrier.joint_force = units::from_si<units::Force>(-1500.0);
    at.carrier.squeeze_left = micrometres(-12.5);
    at.carrier.stretch_left = micrometres(400.0);
  }
  result.meshes = {full_mesh("A-B"), full_mesh("a mesh of a long name")};
  result.meshes[1].percentiles_sampled = true;
  result.sampling = design::Sampling{7, 1000000, "AVX2"};
  result.requirements = made_requirements("A-B");
  result.warnings = {{"joint", "", "carrier " + carrier, "cold start", "the joint slips"},
                     {"tilt", "", "mesh A-B", "", "the axes are out of parallel"}};
  result.failures = {{"mesh A-B", "soak 200 degC", "beyond the range of the material"}};
  return result;
}

inline design::CarriersResult full_comparison() {
  design::CarriersResult result;
  design::CarrierRow row;
  row.result = full_result();
  row.in_use = true;
  row.joint = {units::from_si<units::Force>(-18000.0), units::from_si<units::Force>(18000.0),
               micrometres(-12.5), micrometres(400.0)};
  result.rows.push_back(row);
  design::CarrierRow other;
  other.result = full_result("bores in the case, which has a long name");
  other.result.sampling.reset();
  other.result.requirements.clear();
  other.result.failures.clear();
  for (design::MeshResult& mesh : other.result.meshes) {
    mesh.anywhere.reset();
    mesh.percentiles_sampled = false;
  }
  result.rows.push_back(other);
  result.input = row.result.input;
  result.warnings = row.result.warnings;
  result.warnings[0].carrier = row.result.carrier;
  result.warnings[1].carrier = row.result.carrier;
  return result;
}

inline design::CarriersResult bare_comparison() {
  design::CarriersResult result;
  design::CarrierRow row;
  row.result = bare_result();
  row.in_use = true;
  result.rows.push_back(row);
  result.input = row.result.input;
  return result;
}

inline design::BudgetResult full_budget() {
  design::BudgetResult result;
  result.backlash = full_result();
  result.input = result.backlash.input;
  result.carrier = result.backlash.carrier;
  result.warnings = result.backlash.warnings;
  result.failures = result.backlash.failures;
  const std::vector<design::BudgetRow> rows = {
      {"E_sn gA", "tooth thickness of gA", "-110 um .. -70 um", micrometres(43.5), 0.625,
       micrometres(21.75), micrometres(12.25)},
      {"clearance crank A bearing 1", "radial clearance of crank A bearing 1", "5 um .. 20 um",
       micrometres(11.0), 0.375, micrometres(5.5), micrometres(1.5)}};
  for (const std::string state :
       {"envelope", "cold start", "running hot, gears lead the case", "soak 20 degC"}) {
    design::Budget budget;
    budget.mesh = "A-B";
    budget.state = state;
    budget.j_wt = full_band(100.0);
    budget.temperature = micrometres(-36.8);
    budget.rows = rows;
    if (state == "envelope") {
      budget.least_at = "cold start";
      budget.greatest_at = "running hot, gears lead the case";
      budget.temperature = micrometres(21.0);
    }
    result.budgets.push_back(budget);
  }
  return result;
}

inline design::BudgetResult bare_budget() {
  design::BudgetResult result;
  result.backlash = bare_result();
  result.input = result.backlash.input;
  result.carrier = result.backlash.carrier;
  design::Budget budget;
  budget.mesh = "A-B";
  budget.state = "envelope";
  budget.j_wt = plain_band(100.0, 82.9, 119.7);
  budget.temperature = micrometres(36.8);
  result.budgets = {budget};
  return result;
}

}  // namespace lashband::test
