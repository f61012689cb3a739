#include <algorithm>
#include <iterator>
#include <utility>

#include "carrier_run.hpp"
#include "design/torsion/wind_up.hpp"
#include "judgement.hpp"
#include "lashband/design/train.hpp"
#include "lashband/error.hpp"
#include "lost_motion_run.hpp"
#include "train_model.hpp"

namespace lashband::design {
namespace {

using train::ExactRatio;
using train::Train;
using units::AngularVelocity;

// Shafts beyond this are not all told against the reference unless they are asked for.
constexpr std::size_t most_pairs = 12;

void add_shafts(const Design& design, const Train& train, TrainResult& result) {
  const std::size_t reference = design.train.reference;
  const train::SpeedOrders by_reference = orders_by(design, train, reference);
  for (std::size_t i = 0; i < design.shafts.size(); ++i) {
    TrainShaft shaft;
    shaft.id = design.shafts[i].id;
    if (by_reference.shaft[i]) {
      shaft.referred_to = design.shafts[reference].id;
      shaft.ratio = *by_reference.shaft[i];
    } else {
      shaft.referred_to = design.shafts[train.first_shaft(train.group(i))].id;
      shaft.ratio = train.ratio(i);
    }
    result.shafts.push_back(std::move(shaft));
  }
  result.reference = design.shafts[reference].id;
  if (design.train.arm) {
    result.arm = design.train.arm->id;
    result.arm_ratio = by_reference.arm;
    result.held = design.shafts[design.train.arm->held].id;
  }
  for (const Condition& condition : design.conditions) {
    if (condition.speeds.empty()) {
      continue;
    }
    result.conditions.push_back(condition.id);
    std::vector<std::optional<AngularVelocity>> speeds(design.shafts.size());
    for (const ShaftSpeed& given : condition.speeds) {
      const train::SpeedOrders orders = orders_by(design, train, given.shaft);
      for (std::size_t i = 0; i < design.shafts.size(); ++i) {
        if (orders.shaft[i]) {
          speeds[i] = train::nearest_double(*orders.shaft[i]) * given.speed;
        }
      }
    }
    for (std::size_t i = 0; i < design.shafts.size(); ++i) {
      result.shafts[i].speed.push_back(speeds[i]);
    }
  }
}

void add_meshes(const Design& design, const Train& train, TrainResult& result) {
  for (std::size_t m = 0; m < design.meshes.size(); ++m) {
    const Mesh& mesh = design.meshes[m];
    const Gear& gear_1 = design.gears[mesh.gear_1];
    const Gear& gear_2 = design.gears[mesh.gear_2];
    result.meshes.push_back({.id = mesh.id,
                             .gear_1 = gear_1.id,
                             .gear_2 = gear_2.id,
                             .shaft_1 = design.shafts[gear_1.shaft].id,
                             .shaft_2 = design.shafts[gear_2.shaft].id,
                             .teeth_1 = gear_1.body.teeth(),
                             .teeth_2 = gear_2.body.teeth(),
                             .internal = gear_2.body.internal(),
                             .on_a_loop = train.on_a_loop(m)});
  }
}

// Every shaft against the reference; of a large train the ends alone, the first of them.
std::vector<LostMotionPair> usual_pairs(const Design& design, const Train& train,
                                        std::size_t& left_out) {
  const std::size_t reference = design.train.reference;
  std::vector<std::size_t> meshes(design.shafts.size(), 0);
  for (const train::Mesh& mesh : train.meshes()) {
    ++meshes[mesh.shaft_1];
    ++meshes[mesh.shaft_2];
  }
  std::vector<LostMotionPair> all;
  std::vector<LostMotionPair> ends;
  for (std::size_t i = 0; i < design.shafts.size(); ++i) {
    if (i != reference && train.group(i) == train.group(reference)) {
      all.push_back({.of = i, .held = reference});
      if (meshes[i] == 1) {
        ends.push_back(all.back());
      }
    }
  }
  if (all.size() <= most_pairs) {
    return all;
  }
  const std::size_t asked = all.size();
  if (ends.empty()) {
    ends = std::move(all);
  }
  ends.resize(std::min(ends.size(), most_pairs));
  left_out = asked - ends.size();
  return ends;
}

void judge_lost_motion(const LostMotion& pair, const LostMotionPair& asked,
                       const std::vector<State>& states, std::vector<RequirementRow>& rows) {
  if (!asked.greatest || !pair.greatest) {
    return;
  }
  const LostMotionState& worst = pair.states[*pair.greatest];
  if (!worst.total) {
    return;  // the train binds at every state, which its loops tell
  }
  RequirementRow row;
  row.mesh = "lost motion " + pair.of + " - " + pair.held;
  row.what = "greatest_lost_motion";
  row.kind = RequirementRow::Kind::angle;
  row.limit = asked.greatest->value();
  row.found = high_end(*worst.total, pair.basis).value();
  row.state = states[worst.state].id;
  row.basis = pair.basis;
  row.met = row.found <= row.limit;
  rows.push_back(row);
}

}  // namespace

TrainResult train_of(const Design& design, BacklashResult backlash, const RunOptions& options,
                     const TrainQuestion& question) {
  const auto carrier =
      std::find_if(design.carriers.begin(), design.carriers.end(),
                   [&backlash](const thermal::Carrier& one) { return one.id == backlash.carrier; });
  if (carrier == design.carriers.end() || backlash.meshes.size() != design.meshes.size()) {
    throw DomainError("the run at hand must come from the same design, not from one with carrier " +
                      backlash.carrier);
  }
  const Train train = train_model(design);
  TrainResult result;
  result.input = backlash.input;
  result.carrier = backlash.carrier;
  add_shafts(design, train, result);
  add_meshes(design, train, result);

  std::vector<LostMotionPair> pairs = design.train.lost_motion;
  if (question.pair) {
    pairs = {*question.pair};
  } else if (pairs.empty()) {
    pairs = usual_pairs(design, train, result.lost_motion_left_out);
  }
  const CarrierRun run(design,
                       static_cast<std::size_t>(std::distance(design.carriers.begin(), carrier)),
                       options, backlash.states);
  std::vector<MeshModels> models;
  models.reserve(design.meshes.size());
  std::vector<Failure> told_already;
  for (std::size_t mesh = 0; mesh < design.meshes.size(); ++mesh) {
    models.push_back(run.mesh_models(mesh, told_already));
  }
  LostMotions found = lost_motions({design, run, train, models, backlash.meshes}, pairs, options);
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    judge_lost_motion(found.pairs[i], pairs[i], backlash.states, result.requirements);
  }
  result.lost_motion = std::move(found.pairs);
  result.sampling = found.sampling;
  for (const LoopResult& loop : backlash.loops) {
    const std::string name = "loop " + loop_name(loop.meshes);
    std::copy_if(backlash.requirements.begin(), backlash.requirements.end(),
                 std::back_inserter(result.requirements),
                 [&name](const RequirementRow& row) { return row.mesh == name; });
  }
  result.warnings = backlash.warnings;
  std::move(found.warnings.begin(), found.warnings.end(), std::back_inserter(result.warnings));
  result.failures = backlash.failures;
  std::move(found.failures.begin(), found.failures.end(), std::back_inserter(result.failures));
  result.backlash = std::move(backlash);
  add_wind_up(design, train, {design.reference_temperature, options.extrapolation}, result);
  return result;
}

TrainResult train_of(const Design& design, std::size_t carrier, const RunOptions& options,
                     const TrainQuestion& question) {
  return train_of(design, backlash(design, carrier, options), options, question);
}

bool TrainResult::all_requirements_met() const {
  return std::all_of(requirements.begin(), requirements.end(),
                     [](const RequirementRow& row) { return row.met; });
}

}  // namespace lashband::design
