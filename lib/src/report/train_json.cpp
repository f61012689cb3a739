#include <cmath>

#include "json_parts.hpp"
#include "lashband/design/train.hpp"
#include "lashband/report/json.hpp"
#include "selection.hpp"
#include "train_selection.hpp"

namespace lashband::report {
namespace {

Json ratio(const train::ExactRatio& ratio) {
  Json json = {{"exact", train::text_of(ratio)}};
  const double nearest = train::nearest_double(ratio);
  if (std::isfinite(nearest)) {
    json["value"] = nearest;
  }
  return json;
}

Json shafts(const design::TrainResult& result, const View& view) {
  Json json = Json::array();
  for (const design::TrainShaft& shaft : result.shafts) {
    Json speeds = Json::array();
    for (std::size_t i = 0; i < shaft.speed.size(); ++i) {
      if (shaft.speed[i] && shows_condition(view, result.conditions[i])) {
        speeds.push_back(
            {{"condition", result.conditions[i]}, {"speed", quantity(*shaft.speed[i])}});
      }
    }
    json.push_back({{"id", shaft.id},
                    {"referred_to", shaft.referred_to},
                    {"ratio", ratio(shaft.ratio)},
                    {"speeds", std::move(speeds)}});
  }
  return json;
}

Json meshes(const design::TrainResult& result, const View& view) {
  Json json = Json::array();
  for (const design::TrainMesh& mesh : result.meshes) {
    if (shows_mesh(view, mesh.id)) {
      json.push_back({{"id", mesh.id},
                      {"gears", {mesh.gear_1, mesh.gear_2}},
                      {"shafts", {mesh.shaft_1, mesh.shaft_2}},
                      {"teeth", {mesh.teeth_1, mesh.teeth_2}},
                      {"internal", mesh.internal},
                      {"on_a_loop", mesh.on_a_loop}});
    }
  }
  return json;
}

void add_total(Json& json, const design::LostMotionState& at) {
  if (at.total) {
    json["total"] = band(*at.total, "rad");
  }
}

void add_extreme(Json& json, const char* key, const design::TrainResult& result,
                 const design::LostMotion& motion, const std::optional<std::size_t>& place) {
  if (place) {
    const design::LostMotionState& at = motion.states[*place];
    Json& extreme = json[key] = Json::object();
    put_state(extreme, result.backlash.states[at.state]);
    add_total(extreme, at);
  }
}

Json lost_motion(const design::TrainResult& result, const design::LostMotion& motion,
                 const View& view) {
  Json json = {
      {"of", motion.of}, {"held", motion.held}, {"way", motion.way}, {"other_ways", motion.loops}};
  if (motion.percentiles_sampled) {
    json["percentiles_sampled"] = true;
  }
  json["basis"] = basis_word(motion.basis);
  Json& states = json["states"] = Json::array();
  for (const design::LostMotionState& at : motion.states) {
    const design::State& state = result.backlash.states[at.state];
    if (!shows_state(view, state)) {
      continue;
    }
    Json one;
    put_state(one, state);
    add_total(one, at);
    if (at.backlash_alone) {
      one["backlash_alone"] = band(*at.backlash_alone, "rad");
    }
    if (at.wind_up) {
      one["wind_up"] = quantity(number(*at.wind_up), "rad");
    }
    if (at.under_torque) {
      one["under_torque"] = band(*at.under_torque, "rad");
    }
    states.push_back(std::move(one));
  }
  add_extreme(json, "least", result, motion, motion.least);
  add_extreme(json, "greatest", result, motion, motion.greatest);
  Json& shares = json["shares"] = Json::array();
  for (const design::LostMotionShare& share : motion.shares) {
    shares.push_back({{"mesh", share.mesh},
                      {"from_backlash", quantity(share.from_backlash)},
                      {"from_float", quantity(share.from_float)},
                      {"from_axial_float", quantity(share.from_axial_float)}});
  }
  return json;
}

}  // namespace

std::string json(const design::TrainResult& result, const View& view) {
  Json json = head("train", result.input);
  json["carrier"] = result.carrier;
  json["reference"] = result.reference;
  if (result.arm) {
    json["planet_arm"] = {
        {"id", *result.arm}, {"ratio", ratio(result.arm_ratio)}, {"held", result.held}};
  }
  json["shafts"] = shafts(result, view);
  json["meshes"] = meshes(result, view);
  json["loops"] = loops_of(result.backlash, view);
  Json& pairs = json["lost_motion"] = Json::array();
  for (const design::LostMotion& motion : result.lost_motion) {
    if (shows_way(view, motion)) {
      pairs.push_back(lost_motion(result, motion, view));
    }
  }
  if (result.lost_motion_left_out > 0) {
    json["lost_motion_left_out"] = result.lost_motion_left_out;
  }
  const States& states = result.backlash.states;
  add_sampling(json, result.sampling);
  json["requirements"] = requirements(result.requirements, states);
  json["warnings"] = warnings(result.warnings, states);
  add_failures(json, result.failures, states);
  return written(json);
}

}  // namespace lashband::report
