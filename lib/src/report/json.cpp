#include "lashband/report/json.hpp"

#include <cmath>

#include "failure_probability.hpp"
#include "json_parts.hpp"
#include "selection.hpp"
#include "state_text.hpp"

namespace lashband::report {
namespace {

using units::value_in;

// j_bind has one gap only, so its percentiles stand by themselves.
Json binding_band(const design::MeshState& at) {
  Json json = plain_band(at.gap.j_bind);
  if (at.gap.j_bind.least) {
    json["percentiles"] = percentiles(*at.gap.j_bind.least);
  }
  if (const auto binds = probability(at, Fault::binds)) {
    json["probability_negative"] = *binds;
  }
  json["unit"] = "mm";
  return json;
}

// The probabilities of one state, by fault; empty where none was worked out.
Json probabilities(const design::MeshState& at) {
  Json json = Json::object();
  for (const Fault fault : all_faults) {
    if (const auto value = probability(at, fault)) {
      json[fault_word(fault)] = *value;
    }
  }
  return json;
}

Json most_likely_of(const design::BacklashResult& result, const design::MeshResult& mesh) {
  Json json = Json::object();
  for (const Fault fault : all_faults) {
    if (const auto worst = most_likely(mesh, fault)) {
      Json& one = json[fault_word(fault)] = {{"probability", worst->probability}};
      put_state(one, result.states[worst->state]);
    }
  }
  return json;
}

Json anywhere_of(const design::MeshResult& mesh) {
  Json json = Json::object();
  for (const Fault fault : all_faults) {
    if (const auto sampled = anywhere(mesh, fault)) {
      json[fault_word(fault)] = {{"value", sampled->value},
                                 {"standard_error", sampled->standard_error}};
    }
  }
  return json;
}

Json loose_rings(const design::BacklashResult& result, const design::MeshResult& mesh) {
  Json json = Json::array();
  for (const design::LooseRing& ring : mesh.loose_rings) {
    Json one = {{"bearing", ring.bearing},
                {"ring", ring.outer ? "outer" : "inner"},
                {"by", quantity(ring.by)}};
    put_state(one, result.states, ring.state);
    json.push_back(std::move(one));
  }
  return json;
}

Json mesh_load(const design::MeshLoad& load) {
  return {{"force", quantity(load.force)},
          {"shafts", quantity(load.shafts)},
          {"separation", quantity(load.separation)},
          {"ring", quantity(load.ring)},
          {"tooth_deflection", quantity(load.tooth_deflection)}};
}

Json mesh_state(const design::BacklashResult& result, const design::MeshState& at) {
  const design::State& state = result.states[at.state];
  Json json;
  put_state(json, state);
  Json& temperatures = json["temperatures"] = Json::object();
  for (std::size_t zone = 0; zone < result.zones.size(); ++zone) {
    temperatures[result.zones[zone]] =
        quantity(value_in(state.temperatures.by_zone()[zone], "degC"), "degC");
  }
  json["a"] = quantity(at.a);
  json["alpha_wt"] = quantity(value_in(at.alpha_wt, "deg"), "deg");
  json["eps_alpha"] = at.eps_alpha;
  json["eps_beta"] = at.eps_beta;
  json["c_1"] = quantity(at.c_1);
  json["c_2"] = quantity(at.c_2);
  json["base_pitch_mismatch"] = quantity(at.base_pitch_mismatch);
  if (const thermal::CarrierState* carrier = carrier_at(result, at.state)) {
    if (carrier->joint_force) {
      json["joint_force"] = quantity(*carrier->joint_force);
    }
    if (carrier->squeeze_left) {
      json["squeeze_left"] = quantity(*carrier->squeeze_left);
    }
    if (carrier->stretch_left) {
      json["stretch_left"] = quantity(*carrier->stretch_left);
    }
  }
  json["j_wt"] = band(at.gap.j_wt, "mm");
  json["j_bt"] = band(at.gap.j_bt, "mm");
  json["j_bn"] = band(at.gap.j_bn, "mm");
  if (at.gap.j_r) {
    json["j_r"] = band(*at.gap.j_r, "mm");
  }
  json["j_r_iso"] = band(at.gap.j_r_iso, "mm");
  json["phi_1"] = band(at.gap.phi_1, "rad");
  json["phi_2"] = band(at.gap.phi_2, "rad");
  json["j_bind"] = binding_band(at);
  json["cycle_resolved"] = at.gap.cycle_resolved;
  if (at.float_1) {
    json["float_1"] = band(*at.float_1, "mm");
  }
  if (at.float_2) {
    json["float_2"] = band(*at.float_2, "mm");
  }
  if (at.j_wt_loaded) {
    json["j_wt_loaded"] = band(*at.j_wt_loaded, "mm");
  }
  if (at.tilt) {
    json["tilt"] = quantity(number(*at.tilt), "rad");
  }
  if (at.tilt_over_face) {
    json["tilt_over_face"] = quantity(*at.tilt_over_face);
  }
  if (at.load) {
    json["load"] = mesh_load(*at.load);
  }
  add_unless_empty(json, "probabilities", probabilities(at));
  return json;
}

Json extreme(const design::BacklashResult& result, const design::MeshState& at) {
  Json json;
  put_state(json, result.states[at.state]);
  json["j_wt"] = band(at.gap.j_wt, "mm");
  return json;
}

// What of a mesh was sampled.
void add_sampled(Json& json, const design::MeshResult& mesh) {
  if (mesh.percentiles_sampled) {
    json["percentiles_sampled"] = true;
  }
  add_unless_empty(json, "anywhere", anywhere_of(mesh));
}

Json torsion_summary(const design::TorsionSummary& torsion) {
  Json json = Json::object();
  if (torsion.greatest_rattle_index) {
    const bool unloaded = std::isinf(*torsion.greatest_rattle_index);
    Json& index = json["greatest_rattle_index"] = {
        {"mesh", torsion.mesh}, {"condition", torsion.rattle_condition}, {"unloaded", unloaded}};
    if (!unloaded) {
      index["value"] = *torsion.greatest_rattle_index;
    }
  }
  if (torsion.least_margin) {
    json["least_resonance_margin"] = {{"value", *torsion.least_margin},
                                      {"excitation", torsion.excitation},
                                      {"condition", torsion.margin_condition}};
  }
  return json;
}

Json carrier_row(const design::CarrierRow& row, const View& view) {
  const design::BacklashResult& result = row.result;
  Json json = {{"carrier", result.carrier}, {"in_use", row.in_use}};
  Json& meshes = json["meshes"] = Json::array();
  for (const design::MeshResult& mesh : result.meshes) {
    if (!shows_mesh(view, mesh.id) || !mesh.least || !mesh.greatest) {
      continue;
    }
    Json one = {{"id", mesh.id},
                {"least", extreme(result, mesh.states[*mesh.least])},
                {"greatest", extreme(result, mesh.states[*mesh.greatest])},
                {"swing", quantity(mesh.swing)}};
    add_unless_empty(one, "most_likely", most_likely_of(result, mesh));
    add_sampled(one, mesh);
    meshes.push_back(std::move(one));
  }
  add_unless_empty(json, "loops", least_of_loops(result, view));
  const design::JointSummary& joint = row.joint;
  if (joint.force_low && joint.force_high) {
    json["joint_force"] = {{"low", value_in(*joint.force_low, "N")},
                           {"high", value_in(*joint.force_high, "N")},
                           {"unit", "N"}};
  }
  if (joint.squeeze_left) {
    json["squeeze_left"] = quantity(*joint.squeeze_left);
  }
  if (joint.stretch_left) {
    json["stretch_left"] = quantity(*joint.stretch_left);
  }
  if (row.torsion) {
    add_unless_empty(json, "torsion", torsion_summary(*row.torsion));
  }
  json["requirements"] = requirements(result.requirements, result.states);
  json["met"] = result.all_requirements_met();
  add_failures(json, result.failures, result.states);
  return json;
}

// Each carrier has moments of its own.
States states_of_all(const design::CarriersResult& result) {
  States all;
  for (const design::CarrierRow& row : result.rows) {
    all.insert(all.end(), row.result.states.begin(), row.result.states.end());
  }
  return all;
}

Json budget_row(const design::BudgetRow& row) {
  Json json = {{"contributor", row.contributor},
               {"what", row.what},
               {"tolerance", row.tolerance},
               {"range", quantity(row.range)},
               {"share", row.share},
               {"gain_worst_case", quantity(row.gain_worst_case)}};
  if (row.gain_percentile) {
    json["gain_percentile"] = quantity(*row.gain_percentile);
  }
  return json;
}

// A state at an end of the envelope, under `key` and "KEY_time".
void put_end(Json& json, const std::string& key, const States& states, const std::string& id) {
  if (id.empty()) {
    return;
  }
  const design::State* state = state_of(states, id);
  const bool is_moment = state != nullptr && state->time;
  json[key] = is_moment ? state->condition : id;
  if (is_moment) {
    json[key + "_time"] = quantity(*state->time);
  }
}

Json budget(const design::Budget& one, const States& states) {
  Json json = {{"mesh", one.mesh}};
  put_state(json, states, one.state);
  put_end(json, "least_at", states, one.least_at);
  put_end(json, "greatest_at", states, one.greatest_at);
  json["j_wt"] = band(one.j_wt, "mm");
  json["temperature"] = quantity(one.temperature);
  Json& rows = json["rows"] = Json::array();
  for (const design::BudgetRow& row : one.rows) {
    rows.push_back(budget_row(row));
  }
  return json;
}

Json meshes_of(const design::BacklashResult& result, const View& view) {
  Json meshes = Json::array();
  for (const design::MeshResult& mesh : result.meshes) {
    if (!shows_mesh(view, mesh.id)) {
      continue;
    }
    Json one = {{"id", mesh.id}, {"gears", {mesh.gear_1, mesh.gear_2}}};
    Json& states = one["states"] = Json::array();
    for (const design::MeshState& at : mesh.states) {
      if (shows_state(view, result.states[at.state])) {
        states.push_back(mesh_state(result, at));
      }
    }
    if (mesh.least && mesh.greatest) {
      one["least"] = extreme(result, mesh.states[*mesh.least]);
      one["greatest"] = extreme(result, mesh.states[*mesh.greatest]);
    }
    add_sampled(one, mesh);
    add_unless_empty(one, "loose_rings", loose_rings(result, mesh));
    meshes.push_back(std::move(one));
  }
  return meshes;
}

Json requirement_over_time(const design::RequirementOverTime& over_time) {
  Json json = requirement(over_time.row, {});
  json.erase("condition");
  json["time"] = quantity(over_time.at);
  Json& violated = json["violated"] = Json::array();
  for (const design::TimeSpan& span : over_time.violated) {
    violated.push_back({{"from", quantity(span.from)}, {"to", quantity(span.to)}});
  }
  if (over_time.holds_from) {
    json["holds_from"] = quantity(*over_time.holds_from);
  }
  return json;
}

const char* heat_word(design::HeatRow::Kind kind) {
  switch (kind) {
    case design::HeatRow::Kind::input:
      return "input";
    case design::HeatRow::Kind::boundary:
      return "boundary";
    case design::HeatRow::Kind::stream:
      return "stream";
    case design::HeatRow::Kind::stored:
      break;
  }
  return "stored";
}

Json heat_account(const design::HeatAccount& heat) {
  Json rows = Json::array();
  for (const design::HeatRow& row : heat.rows) {
    rows.push_back({{"kind", heat_word(row.kind)}, {"id", row.id}, {"heat", quantity(row.heat)}});
  }
  return {{"rows", std::move(rows)},
          {"residual", quantity(heat.residual)},
          {"turnover", quantity(heat.turnover)}};
}

Json times_of(const States& states) {
  Json values = Json::array();
  for (const design::State& state : states) {
    values.push_back(value_in(state.time.value_or(units::Time()), "s"));
  }
  return {{"values", std::move(values)}, {"unit", "s"}};
}

Json places(const std::vector<design::PlaceOverTime>& all) {
  Json json = Json::array();
  for (const design::PlaceOverTime& place : all) {
    Json values = Json::array();
    for (const units::Temperature& level : place.temperature) {
      values.push_back(value_in(level, "degC"));
    }
    json.push_back({{"id", place.id},
                    {"kind", place.is_boundary ? "boundary" : "body"},
                    {"temperature", {{"values", std::move(values)}, {"unit", "degC"}}}});
  }
  return json;
}

Json history(const design::HistoryResult& one, const View& view) {
  const bool is_network = one.source == design::HistoryResult::Source::network;
  Json json = {{"id", one.id}, {"source", is_network ? "network" : "record"}};
  if (!one.file.empty()) {
    json["file"] = one.file;
  }
  json["start"] = quantity(one.start);
  json["end"] = quantity(one.end);
  json["cycles"] = one.cycles;
  json["periodic"] = one.is_periodic;
  json["times"] = times_of(one.backlash.states);
  add_unless_empty(json, "places", places(one.places));
  json["meshes"] = meshes_of(one.backlash, view);
  Json& requirements = json["requirements"] = Json::array();
  for (const design::RequirementOverTime& requirement : one.requirements) {
    requirements.push_back(requirement_over_time(requirement));
  }
  if (one.heat) {
    json["heat"] = heat_account(*one.heat);
  }
  return json;
}

}  // namespace

std::string json(const design::BacklashResult& result, const View& view) {
  Json json = head("backlash", result.input);
  json["carrier"] = result.carrier;
  json["meshes"] = meshes_of(result, view);
  add_unless_empty(json, "loops", loops_of(result, view));
  add_sampling(json, result.sampling);
  json["requirements"] = requirements(result.requirements, result.states);
  json["warnings"] = warnings(result.warnings, result.states);
  add_failures(json, result.failures, result.states);
  return written(json);
}

std::string json(const design::CarriersResult& result, const View& view) {
  Json json = head("carriers", result.input);
  Json& rows = json["rows"] = Json::array();
  for (const design::CarrierRow& row : result.rows) {
    rows.push_back(carrier_row(row, view));
  }
  add_sampling(json, sampling_of(result));
  json["warnings"] = warnings(result.warnings, states_of_all(result));
  return written(json);
}

std::string json(const design::BudgetResult& result, const View& view) {
  Json json = head("budget", result.input);
  json["carrier"] = result.carrier;
  Json& budgets = json["budgets"] = Json::array();
  for (const design::Budget& one : result.budgets) {
    if (shows_budget(view, result, one)) {
      budgets.push_back(budget(one, result.backlash.states));
    }
  }
  add_sampling(json, result.backlash.sampling);
  json["requirements"] = requirements(result.backlash.requirements, result.backlash.states);
  json["warnings"] = warnings(result.warnings, result.backlash.states);
  add_failures(json, result.failures, result.backlash.states);
  return written(json);
}

std::string json(const design::WarmupResult& result, const View& view) {
  Json json = head("warmup", result.input);
  json["carrier"] = result.carrier;
  Json& histories = json["histories"] = Json::array();
  Json rows = Json::array();
  States states;
  std::optional<design::Sampling> sampling;
  for (const design::HistoryResult& one : result.histories) {
    if (shows_history(view, one)) {
      histories.push_back(history(one, view));
    }
    for (Json& row : requirements(one.backlash.requirements, one.backlash.states)) {
      rows.push_back(std::move(row));
    }
    states.insert(states.end(), one.backlash.states.begin(), one.backlash.states.end());
    sampling = sampling ? sampling : one.backlash.sampling;
  }
  add_sampling(json, sampling);
  json["requirements"] = std::move(rows);
  json["warnings"] = warnings(result.warnings, states);
  add_failures(json, result.failures, states);
  return written(json);
}

}  // namespace lashband::report
