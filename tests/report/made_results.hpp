#pragma once

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "lashband/design/results.hpp"
#include "lashband/design/warmup.hpp"

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
    // A soak has no speed, and so no forces.
    if (i < 2) {
      at.load = design::MeshLoad{units::from_si<units::Force>(i == 0 ? 512.25 : -1230.0),
                                 micrometres(2.25), micrometres(0.5), micrometres(-1.75),
                                 micrometres(6.125)};
    }
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

/// What the torsional model requires: one index without end, of a mesh without a mean force.
inline std::vector<design::RequirementRow> torsion_requirements() {
  using Kind = design::RequirementRow::Kind;
  constexpr auto basis = design::Basis::nominal;
  return {{"A-B", "greatest_rattle_index", Kind::ratio, 1.25, 1.029268, "cold start", basis, true},
          {"B-I", "greatest_rattle_index", Kind::ratio, 1.25,
           std::numeric_limits<double>::infinity(), "cold start", basis, false},
          {"torque compressor, order 2.50 at mode 1", "least_resonance_margin", Kind::ratio, 0.15,
           0.012146, "cold start", basis, false}};
}

inline design::CarriersResult full_comparison() {
  design::CarriersResult result;
  design::CarrierRow row;
  row.result = full_result();
  row.in_use = true;
  row.joint = {units::from_si<units::Force>(-18000.0), units::from_si<units::Force>(18000.0),
               micrometres(-12.5), micrometres(400.0)};
  row.torsion =
      design::TorsionSummary{1.029268, "A-B", "cold start", 0.012146, "torque load", "cold start"};
  for (const design::RequirementRow& asked : torsion_requirements()) {
    row.result.requirements.push_back(asked);
  }
  result.rows.push_back(row);
  design::CarrierRow other;
  other.result = full_result("bores in the case, which has a long name");
  other.torsion = design::TorsionSummary{
      std::numeric_limits<double>::infinity(), "a mesh of a long name", "cold start", {}, "", ""};
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

/// A moment of a history, named as design names it.
inline design::State made_moment(const std::string& history, double seconds, std::size_t order) {
  std::string number = std::to_string(seconds);
  number.erase(number.find_last_not_of('0') + 1);
  if (number.back() == '.') {
    number.pop_back();
  }
  const double level = -40.0 + 100.0 * seconds / (seconds + 600.0);
  return {history + " at " + number + " s",
          history,
          order,
          thermal::TemperatureState({units::celsius(level), units::celsius(0.5 * level - 20.0)}),
          units::from_si<units::Time>(seconds),
          {}};
}

/// `result` with `moments` more states, a quarter of a minute apart, of a history that takes the
/// backlash of every mesh from 60 um down to 20 um in the middle and back.
inline design::BacklashResult with_history(design::BacklashResult result,
                                           const std::string& history, std::size_t moments) {
  for (std::size_t i = 0; i < moments; ++i) {
    const double seconds = 15.0 * static_cast<double>(i) + (i == 0 ? 0.0 : 0.25);
    result.states.push_back(made_moment(history, seconds, i));
    result.carrier_states.push_back({result.states.size() - 1, {}});
    const double from_middle = 2.0 * static_cast<double>(i) / static_cast<double>(moments) - 1.0;
    for (design::MeshResult& mesh : result.meshes) {
      design::MeshState at = mesh.states.front();
      at.state = result.states.size() - 1;
      const double nominal = 20.0 + 40.0 * from_middle * from_middle;
      at.gap.j_wt = full_band(nominal);
      if (at.gap.j_wt.low < mesh.states[*mesh.least].gap.j_wt.low) {
        mesh.least = mesh.states.size();
      }
      mesh.states.push_back(at);
    }
  }
  return result;
}

/// A history alone: its moments, those of `full_mesh` where there are tolerances, as design tells
/// them. The backlash goes from 60 um down to 20 um in the middle and back.
inline design::HistoryResult made_history(const std::string& id, std::size_t moments) {
  design::HistoryResult history;
  history.id = id;
  history.file = "start.csv";
  design::BacklashResult start = bare_result();
  start.states.clear();
  start.carrier_states.clear();
  design::MeshResult mesh = start.meshes[0];
  const design::MeshState at_first = mesh.states.front();
  mesh.states.clear();
  for (std::size_t i = 0; i < moments; ++i) {
    const double seconds = 15.0 * static_cast<double>(i);
    start.states.push_back(made_moment(id, seconds, i));
    start.carrier_states.push_back({i, {}});
    design::MeshState at = at_first;
    at.state = i;
    const double last = moments > 1 ? static_cast<double>(moments - 1) : 1.0;
    const double from_middle = 2.0 * static_cast<double>(i) / last - 1.0;
    const double nominal = 20.0 + 40.0 * from_middle * from_middle;
    at.gap.j_wt = plain_band(nominal, nominal - 10.0, nominal + 15.0);
    mesh.states.push_back(at);
  }
  mesh.least = moments / 2;
  mesh.greatest = 0;
  start.meshes = {mesh};
  history.start = *start.states.front().time;
  history.end = *start.states.back().time;
  history.backlash = start;
  return history;
}

/// Asks for 30 um at least: violated in the middle third.
inline void ask_for_least(design::HistoryResult& history) {
  const design::State& worst = history.backlash.states[history.backlash.states.size() / 2];
  design::RequirementRow row{"A-B",
                             "least_backlash",
                             design::RequirementRow::Kind::length,
                             30e-6,
                             10e-6,
                             worst.id,
                             design::Basis::worst_case,
                             false};
  history.backlash.requirements.push_back(row);
  design::RequirementOverTime over_time;
  over_time.row = row;
  over_time.at = *worst.time;
  const units::Time length = history.end - history.start;
  over_time.violated = {{history.start + length / 3.0, history.start + length * (2.0 / 3.0)}};
  over_time.holds_from = over_time.violated.back().to;
  history.requirements.push_back(over_time);
}

inline design::WarmupResult bare_warmup() {
  design::WarmupResult result;
  result.input = {"", made_digest()};
  result.carrier = "case";
  result.zones = {"gears", "case"};
  result.histories = {made_history("measured start", 41)};
  return result;
}

/// A record and a network's history, with everything.
inline design::WarmupResult full_warmup() {
  design::WarmupResult result = bare_warmup();
  result.input.title = "A train made by hand (invented)";
  ask_for_least(result.histories[0]);
  design::HistoryResult network;
  network.id = "a cold start with a name that is longer than any table is wide for";
  network.source = design::HistoryResult::Source::network;
  design::BacklashResult full = full_result();
  const std::vector<double> seconds = {0.0, 140.25, 8430.0};
  for (std::size_t i = 0; i < full.states.size(); ++i) {
    const design::State old = full.states[i];
    full.states[i] = made_moment(network.id, seconds[i], i);
    for (design::RequirementRow& row : full.requirements) {
      row.state = row.state == old.id ? full.states[i].id : row.state;
    }
    for (design::MeshResult& mesh : full.meshes) {
      for (design::LooseRing& ring : mesh.loose_rings) {
        ring.state = ring.state == old.id ? full.states[i].id : ring.state;
      }
    }
    for (design::Warning& warning : full.warnings) {
      warning.state = warning.state == old.id ? full.states[i].id : warning.state;
    }
  }
  full.failures[0].state = full.states[2].id;
  network.backlash = full;
  network.start = units::from_si<units::Time>(seconds.front());
  network.end = units::from_si<units::Time>(seconds.back());
  network.cycles = 3;
  network.is_periodic = true;
  for (const design::RequirementRow& row : full.requirements) {
    design::RequirementOverTime over_time;
    over_time.row = row;
    over_time.at = units::from_si<units::Time>(row.met ? seconds[0] : seconds[1]);
    if (row.met) {
      over_time.holds_from = network.start;
    } else {
      over_time.violated = {{network.start, units::from_si<units::Time>(843.0)}};
      over_time.holds_from = over_time.violated.back().to;
    }
    network.requirements.push_back(over_time);
  }
  const auto levels = [](double from) {
    return std::vector<units::Temperature>{units::celsius(from), units::celsius(from + 10.0),
                                           units::celsius(from + 20.5)};
  };
  network.places = {{"gears and oil", false, levels(-40.0)}, {"ambient", true, levels(-35.0)}};
  using Kind = design::HeatRow::Kind;
  const auto joule = [](double x) { return units::from_si<units::Energy>(x); };
  network.heat = design::HeatAccount{{{Kind::stored, "gears and oil", joule(40100.0)},
                                      {Kind::stored, "case", joule(812300.0)},
                                      {Kind::input, "mesh loss A-B", joule(900000.0)},
                                      {Kind::boundary, "ambient", joule(-47600.0)},
                                      {Kind::stream, "oil cooler", joule(0.0)}},
                                     joule(2.5e-7),
                                     joule(1.8e6)};
  result.histories.push_back(network);
  result.warnings = full.warnings;
  result.failures = full.failures;
  return result;
}

}  // namespace lashband::test
