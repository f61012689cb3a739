#include "lashband/report/json.hpp"

#include <nlohmann/json.hpp>

#include "failure_probability.hpp"
#include "lashband/units/format.hpp"
#include "lashband/version.hpp"
#include "selection.hpp"

namespace lashband::report {
namespace {

using Json = nlohmann::ordered_json;
using units::Angle;
using units::Force;
using units::Length;
using units::value_in;

Json quantity(double value, const char* unit) {
  return {{"value", value}, {"unit", unit}};
}
Json quantity(Length length) {
  return quantity(value_in(length, "mm"), "mm");
}
Json quantity(Force force) {
  return quantity(value_in(force, "N"), "N");
}

double number(Length length) {
  return value_in(length, "mm");
}
double number(Angle angle) {
  return value_in(angle, "rad");
}

template <class Q>
Json percentiles(const design::Percentiles<Q>& values) {
  return {
      {"0.135", number(values.low)}, {"50", number(values.mid)}, {"99.865", number(values.high)}};
}

// Nominal, worst case and root sum square of any band.
template <class Q>
Json plain_band(const design::ResultBand<Q>& values) {
  Json json = {{"nominal", number(values.nominal)},
               {"worst_case", {number(values.low), number(values.high)}}};
  if (values.rss_low && values.rss_high) {
    json["rss"] = {number(*values.rss_low), number(*values.rss_high)};
  }
  return json;
}

template <class Q>
Json band(const design::ResultBand<Q>& values, const char* unit) {
  Json json = plain_band(values);
  if (values.least && values.greatest) {
    json["percentiles"] = {{"least", percentiles(*values.least)},
                           {"greatest", percentiles(*values.greatest)}};
  }
  json["unit"] = unit;
  return json;
}

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
      json[fault_word(fault)] = {{"probability", worst->probability},
                                 {"condition", result.states[worst->state].id}};
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

void add_unless_empty(Json& json, const char* key, Json value) {
  if (!value.empty()) {
    json[key] = std::move(value);
  }
}

void add_sampling(Json& json, const std::optional<design::Sampling>& sampling) {
  if (sampling) {
    json["sampling"] = {{"seed", sampling->seed},
                        {"samples", sampling->samples},
                        {"instruction_set", sampling->instruction_set}};
  }
}

Json loose_rings(const design::MeshResult& mesh) {
  Json json = Json::array();
  for (const design::LooseRing& ring : mesh.loose_rings) {
    json.push_back({{"bearing", ring.bearing},
                    {"ring", ring.outer ? "outer" : "inner"},
                    {"by", quantity(ring.by)},
                    {"condition", ring.state}});
  }
  return json;
}

Json mesh_state(const design::BacklashResult& result, const design::MeshState& at) {
  const design::State& state = result.states[at.state];
  Json json;
  json["condition"] = state.id;
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
  add_unless_empty(json, "probabilities", probabilities(at));
  return json;
}

Json extreme(const design::BacklashResult& result, const design::MeshState& at) {
  return {{"condition", result.states[at.state].id}, {"j_wt", band(at.gap.j_wt, "mm")}};
}

Json requirement(const design::RequirementRow& row) {
  const auto value = [&row](double si) -> Json {
    return row.kind == design::RequirementRow::Kind::ratio ? Json(si)
                                                           : quantity(units::from_si<Length>(si));
  };
  return {{"mesh", row.mesh},
          {"what", row.what},
          {"limit", value(row.limit)},
          {"found", value(row.found)},
          {"condition", row.state},
          {"basis", basis_word(row.basis)},
          {"met", row.met}};
}

Json requirements(const std::vector<design::RequirementRow>& rows) {
  Json json = Json::array();
  for (const design::RequirementRow& row : rows) {
    json.push_back(requirement(row));
  }
  return json;
}

Json warnings(const std::vector<design::Warning>& rows) {
  Json json = Json::array();
  for (const design::Warning& row : rows) {
    Json one = {{"kind", row.kind}};
    if (!row.carrier.empty()) {
      one["carrier"] = row.carrier;
    }
    if (!row.subject.empty()) {
      one["subject"] = row.subject;
    }
    if (!row.state.empty()) {
      one["condition"] = row.state;
    }
    one["text"] = row.text;
    json.push_back(std::move(one));
  }
  return json;
}

Json failures(const std::vector<design::Failure>& rows) {
  Json json = Json::array();
  for (const design::Failure& row : rows) {
    Json one = {{"subject", row.subject}};
    if (!row.state.empty()) {
      one["condition"] = row.state;
    }
    one["text"] = row.text;
    json.push_back(std::move(one));
  }
  return json;
}

Json head(const char* analysis, const design::Provenance& input) {
  return {{"lashband", 1},
          {"version", version()},
          {"analysis", analysis},
          {"input", {{"title", input.title}, {"digest", input.digest}}}};
}

std::string written(const Json& json) {
  // Ids and titles come from a checked file and are valid UTF-8; `replace` keeps a program error in
  // that check from becoming an exception here.
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

// What of a mesh was sampled.
void add_sampled(Json& json, const design::MeshResult& mesh) {
  if (mesh.percentiles_sampled) {
    json["percentiles_sampled"] = true;
  }
  add_unless_empty(json, "anywhere", anywhere_of(mesh));
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
  json["requirements"] = requirements(result.requirements);
  json["met"] = result.all_requirements_met();
  if (!result.failures.empty()) {
    json["failures"] = failures(result.failures);
  }
  return json;
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

Json budget(const design::Budget& one) {
  Json json = {{"mesh", one.mesh}, {"condition", one.state}};
  if (!one.least_at.empty()) {
    json["least_at"] = one.least_at;
  }
  if (!one.greatest_at.empty()) {
    json["greatest_at"] = one.greatest_at;
  }
  json["j_wt"] = band(one.j_wt, "mm");
  json["temperature"] = quantity(one.temperature);
  Json& rows = json["rows"] = Json::array();
  for (const design::BudgetRow& row : one.rows) {
    rows.push_back(budget_row(row));
  }
  return json;
}

}  // namespace

std::string json(const design::BacklashResult& result, const View& view) {
  Json json = head("backlash", result.input);
  json["carrier"] = result.carrier;
  Json& meshes = json["meshes"] = Json::array();
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
    add_unless_empty(one, "loose_rings", loose_rings(mesh));
    meshes.push_back(std::move(one));
  }
  add_sampling(json, result.sampling);
  json["requirements"] = requirements(result.requirements);
  json["warnings"] = warnings(result.warnings);
  if (!result.failures.empty()) {
    json["failures"] = failures(result.failures);
  }
  return written(json);
}

std::string json(const design::CarriersResult& result, const View& view) {
  Json json = head("carriers", result.input);
  Json& rows = json["rows"] = Json::array();
  for (const design::CarrierRow& row : result.rows) {
    rows.push_back(carrier_row(row, view));
  }
  add_sampling(json, sampling_of(result));
  json["warnings"] = warnings(result.warnings);
  return written(json);
}

std::string json(const design::BudgetResult& result, const View& view) {
  Json json = head("budget", result.input);
  json["carrier"] = result.carrier;
  Json& budgets = json["budgets"] = Json::array();
  for (const design::Budget& one : result.budgets) {
    if (shows_budget(view, result, one)) {
      budgets.push_back(budget(one));
    }
  }
  add_sampling(json, result.backlash.sampling);
  json["requirements"] = requirements(result.backlash.requirements);
  json["warnings"] = warnings(result.warnings);
  if (!result.failures.empty()) {
    json["failures"] = failures(result.failures);
  }
  return written(json);
}

}  // namespace lashband::report
