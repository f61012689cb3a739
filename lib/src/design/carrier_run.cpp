#include "carrier_run.hpp"

#include <utility>

#include "lashband/error.hpp"

namespace lashband::design {
namespace {

// The mesh at the usable states where `models` has an answer; `failed` is told of the others.
template <class Failed>
MeshModels models_of(const GapModels& models, std::size_t mesh,
                     const std::vector<UsableState>& usable, const Failed& failed) {
  MeshModels result;
  result.mesh = mesh;
  result.model = models.mesh_model(mesh);
  for (std::size_t i = 0; i < usable.size(); ++i) {
    try {
      result.model.states.push_back(models.state_model(mesh, result.model, usable[i]));
      result.usable.push_back(i);
    } catch (const Error& error) {
      failed(usable[i], error);
    }
  }
  return result;
}

}  // namespace

CarrierRun::CarrierRun(const Design& design, std::size_t carrier, const RunOptions& options)
    : design_(design),
      carrier_(design.carriers.at(carrier)),
      reference_{design.reference_temperature, options.extrapolation},
      states_(states_of(design)),
      contributors_(design, carrier_),
      draws_(contributors_.draws(design)),
      models_(design, carrier_, reference_, contributors_, envelopes_) {
  work_out_states();
}

void CarrierRun::work_out_states() {
  const auto fail = [this](const State& state, const Error& error) {
    failures_.push_back({"carrier " + carrier_.id, state.id, error.what()});
  };
  std::vector<std::size_t> known;
  std::vector<thermal::TemperatureState> temperatures;
  for (std::size_t i = 0; i < states_.size(); ++i) {
    try {
      for (const thermal::Solid& solid : thermal::solids_of(carrier_)) {
        (void)solid.elongation(states_[i].temperatures, reference_);
      }
      known.push_back(i);
      temperatures.push_back(states_[i].temperatures);
    } catch (const Error& error) {
      fail(states_[i], error);
    }
  }
  envelopes_ = thermal::joint_envelopes(carrier_, temperatures, reference_);
  for (const std::size_t i : known) {
    try {
      usable_.push_back(
          {i, states_[i].temperatures,
           thermal::carrier_state(carrier_, states_[i].temperatures, reference_, envelopes_)});
    } catch (const Error& error) {
      fail(states_[i], error);
    }
  }
}

MeshModels CarrierRun::mesh_models(std::size_t mesh, std::vector<Failure>& failures) const {
  return models_of(models_, mesh, usable_, [&](const UsableState& state, const Error& error) {
    failures.push_back({"mesh " + design_.meshes[mesh].id, states_[state.index].id, error.what()});
  });
}

MeshModels CarrierRun::scaled(std::size_t mesh, std::vector<double> factors) const {
  GapModels models = models_;
  models.scale_bands(std::move(factors));
  // What fails here has failed, and was told, with the bands as they are.
  return models_of(models, mesh, usable_, [](const UsableState&, const Error&) {});
}

}  // namespace lashband::design
