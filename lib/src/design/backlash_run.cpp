#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include "backlash_run.hpp"
#include "band/monte_carlo.hpp"
#include "carrier_run.hpp"
#include "findings.hpp"
#include "judgement.hpp"
#include "lashband/design/run.hpp"
#include "lashband/error.hpp"
#include "loops_run.hpp"
#include "mesh_states.hpp"
#include "moments.hpp"

namespace lashband::design {
namespace {

using band::kernel::Limits;

// The meshes of a run with what the band's analyses take, in the order of the design.
struct Prepared {
  std::vector<MeshModels> meshes;
  std::vector<Limits> limits;
};

Prepared prepared(const Design& design, const CarrierRun& run, std::vector<Failure>& failures) {
  Prepared result;
  for (std::size_t mesh = 0; mesh < design.meshes.size(); ++mesh) {
    result.meshes.push_back(run.mesh_models(mesh, failures));
    result.limits.push_back(
        limits_of(design.meshes[mesh].require, result.meshes.back().model.cos_beta_b));
  }
  return result;
}

SampledProbability sampled_probability(const band::kernel::Sampled& sampled) {
  return {sampled.value, sampled.standard_error};
}

// Samples what is joint over the states, and where contributors are correlated everything else too.
void sample(const CarrierRun& run, const Prepared& prepared, const RunOptions& options,
            BacklashResult& result, std::vector<std::vector<std::size_t>>& places) {
  const bool correlated = !run.draws().correlations.empty();
  if (run.draws().shapes.empty() || (!options.samples && !correlated)) {
    return;
  }
  std::vector<band::kernel::MeshModel> models;
  models.reserve(prepared.meshes.size());
  for (const MeshModels& mesh : prepared.meshes) {
    models.push_back(mesh.model);
  }
  band::kernel::SampleResult sampled;
  try {
    sampled = band::kernel::sampled(models, run.draws(), prepared.limits,
                                    {options.seed, options.samples.value_or(samples_by_default),
                                     options.threads, options.progress});
  } catch (const Error& error) {
    // Correlations that no units can have, or base circles that overlap in some unit.
    result.failures.push_back({"sampling with carrier " + run.carrier().id, "", error.what()});
    return;
  }
  result.sampling = Sampling{options.seed, sampled.samples, band::kernel::instruction_set()};
  for (std::size_t m = 0; m < prepared.meshes.size(); ++m) {
    MeshResult& mesh = result.meshes[m];
    const band::kernel::SampledMesh& of_mesh = sampled.meshes[m];
    const Limits& limits = prepared.limits[m];
    AnywhereProbability anywhere;
    anywhere.binds = sampled_probability(of_mesh.bind_anywhere);
    if (std::isfinite(limits.least_wt) || std::isfinite(limits.least_bt)) {
      anywhere.below_least = sampled_probability(of_mesh.below_least_anywhere);
    }
    if (std::isfinite(limits.greatest_wt) || std::isfinite(limits.greatest_bt)) {
      anywhere.above_greatest = sampled_probability(of_mesh.above_greatest_anywhere);
    }
    mesh.anywhere = anywhere;
    mesh.percentiles_sampled = correlated;
    for (std::size_t i = 0; correlated && i < mesh.states.size(); ++i) {
      const std::size_t which = places[m][i];
      add_sampled(mesh.states[i], prepared.meshes[m], of_mesh.states[which], limits);
    }
  }
}

// Each loose ring once, where it is loosest.
void add_loose_rings(const Design& design, const CarrierRun& run, const Mesh& mesh,
                     MeshResult& result) {
  for (const UsableState& state : run.usable()) {
    std::vector<LooseRing> found;
    try {
      found = loose_rings(design, run.models(), mesh, state, run.draws());
    } catch (const Error&) {
      continue;  // the state is among the failures of the mesh
    }
    for (LooseRing& ring : found) {
      ring.state = run.states()[state.index].id;
      const auto same = std::find_if(
          result.loose_rings.begin(), result.loose_rings.end(), [&ring](const LooseRing& other) {
            return other.bearing == ring.bearing && other.outer == ring.outer;
          });
      if (same == result.loose_rings.end()) {
        result.loose_rings.push_back(ring);
      } else if (ring.by > same->by) {
        *same = ring;
      }
    }
  }
}

// Under the mean torques of the torsional model the shafts lean where their teeth push them.
void add_loads(const Design& design, const CarrierRun& run, const Prepared& prepared,
               const RunOptions& options, const std::vector<std::vector<std::size_t>>& places,
               BacklashResult& result) {
  if (!design.torsion) {
    return;
  }
  const thermal::Reference reference{design.reference_temperature, options.extrapolation};
  for (std::size_t s = 0; s < result.states.size(); ++s) {
    const State& named = result.states[s];
    if (named.time || named.condition == "soak") {
      continue;
    }
    try {
      const auto stances = loaded_stances(design, named.order, s, result, reference);
      for (std::size_t m = 0; m < stances.size(); ++m) {
        for (std::size_t i = 0; stances[m] && i < result.meshes[m].states.size(); ++i) {
          MeshState& state = result.meshes[m].states[i];
          if (state.state == s) {
            const MeshModels& models = prepared.meshes[m];
            set_loaded(state, design, run.models(), models, places[m][i],
                       run.usable()[models.usable[places[m][i]]], named, run.draws(), *stances[m]);
          }
        }
      }
    } catch (const Error& error) {
      result.failures.push_back({"loaded backlash", named.id, error.what()});
    }
  }
}

}  // namespace

BacklashResult backlash_at(const Design& design, std::size_t carrier_index,
                           const RunOptions& options, std::vector<State> states) {
  const CarrierRun run(design, carrier_index, options, std::move(states));
  BacklashResult result;
  result.input = {design.title, design.digest};
  result.carrier = run.carrier().id;
  result.zones = design.zones;
  result.states = run.states();
  result.failures = run.failures();
  for (const UsableState& state : run.usable()) {
    result.carrier_states.push_back({state.index, state.carrier});
  }

  const bool independent = run.draws().correlations.empty() && !run.draws().shapes.empty();
  const Prepared prepared_meshes = prepared(design, run, result.failures);
  std::vector<std::vector<std::size_t>> places(design.meshes.size());
  band::kernel::FloatMeasures floats;
  for (std::size_t m = 0; m < design.meshes.size(); ++m) {
    const Mesh& mesh = design.meshes[m];
    const MeshModels& models = prepared_meshes.meshes[m];
    MeshResult mesh_result;
    mesh_result.id = mesh.id;
    mesh_result.gear_1 = design.gears[mesh.gear_1].id;
    mesh_result.gear_2 = design.gears[mesh.gear_2].id;
    mesh_result.basis = mesh.require.basis;
    for (std::size_t which = 0; which < models.usable.size(); ++which) {
      const UsableState& state = run.usable()[models.usable[which]];
      const State& named = run.states()[state.index];
      try {
        mesh_result.states.push_back(
            mesh_state(design, run.models(), models, which, state, named, run.draws()));
        places[m].push_back(which);
      } catch (const Error& error) {
        result.failures.push_back({"mesh " + mesh.id, named.id, error.what()});
        continue;
      }
      try {
        if (independent) {
          add_percentiles(mesh_result.states.back(), models, which, run.draws(),
                          prepared_meshes.limits[m], floats);
        }
      } catch (const Error& error) {
        result.failures.push_back({"percentiles of mesh " + mesh.id, named.id, error.what()});
      }
    }
    add_loose_rings(design, run, mesh, mesh_result);
    result.meshes.push_back(std::move(mesh_result));
  }
  sample(run, prepared_meshes, options, result, places);
  add_loads(design, run, prepared_meshes, options, places, result);

  for (std::size_t m = 0; m < design.meshes.size(); ++m) {
    find_extremes(result.meshes[m]);
    judge(result.meshes[m], design.meshes[m].require, result.states, result.requirements);
  }
  result.loops = loops_at(design, run, prepared_meshes.meshes, result.meshes);
  for (const LoopResult& loop : result.loops) {
    judge_loop(loop, result.states, result.requirements);
  }
  result.warnings = findings(design, run.carrier(), result);
  return result;
}

BacklashResult backlash(const Design& design, std::size_t carrier, const RunOptions& options,
                        const Courses& courses) {
  std::vector<State> states = states_of(design);
  std::vector<Failure> failures = courses.failures;
  for (const Course& course : courses.courses) {
    try {
      std::vector<State> moments = telling_moments(design, carrier, options, course);
      std::move(moments.begin(), moments.end(), std::back_inserter(states));
    } catch (const Error& error) {
      failures.push_back(
          {"history " + course.history().id + " with carrier " + design.carriers.at(carrier).id, "",
           error.what()});
    }
  }
  BacklashResult result = backlash_at(design, carrier, options, std::move(states));
  result.failures.insert(result.failures.begin(), failures.begin(), failures.end());
  result.warnings.insert(result.warnings.end(), courses.warnings.begin(), courses.warnings.end());
  return result;
}

BacklashResult backlash(const Design& design, std::size_t carrier, const RunOptions& options) {
  return backlash(design, carrier, options, courses_of(design, options));
}

bool BacklashResult::all_requirements_met() const {
  return std::all_of(requirements.begin(), requirements.end(),
                     [](const RequirementRow& row) { return row.met; });
}

}  // namespace lashband::design
