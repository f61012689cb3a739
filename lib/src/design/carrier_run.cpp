#include "carrier_run.hpp"

#include <utility>

#include "lashband/error.hpp"

namespace lashband::design {

CarrierBase::CarrierBase(const Design& design, std::size_t carrier, const RunOptions& options)
    : design_(design),
      carrier_(design.carriers.at(carrier)),
      reference_{design.reference_temperature, options.extrapolation},
      contributors_(design, carrier_),
      draws_(contributors_.draws(design)),
      models_(design, carrier_, reference_, contributors_, envelopes_) {
  set_envelopes({});
}

void CarrierBase::set_envelopes(const std::vector<thermal::TemperatureState>& states) {
  envelopes_ = thermal::joint_envelopes(carrier_, states, reference_);
}

UsableState CarrierBase::usable(const State& state, std::size_t index) const {
  return {index, state.temperatures,
          thermal::carrier_state(carrier_, state.temperatures, reference_, envelopes_, state.slips),
          state.slips};
}

CarrierRun::CarrierRun(const Design& design, std::size_t carrier, const RunOptions& options,
                       std::vector<State> states)
    : base_(design, carrier, options), states_(std::move(states)) {
  work_out_states();
}

void CarrierRun::work_out_states() {
  const auto fail = [this](const State& state, const Error& error) {
    failures_.push_back({"carrier " + carrier().id, state.id, error.what()});
  };
  std::vector<std::size_t> known;
  std::vector<thermal::TemperatureState> temperatures;
  for (std::size_t i = 0; i < states_.size(); ++i) {
    try {
      for (const thermal::Solid& solid : thermal::solids_of(carrier())) {
        (void)solid.elongation(states_[i].temperatures, base_.reference());
      }
      known.push_back(i);
      temperatures.push_back(states_[i].temperatures);
    } catch (const Error& error) {
      fail(states_[i], error);
    }
  }
  base_.set_envelopes(temperatures);
  for (const std::size_t i : known) {
    try {
      usable_.push_back(base_.usable(states_[i], i));
    } catch (const Error& error) {
      fail(states_[i], error);
    }
  }
}

MeshModels CarrierRun::mesh_models(std::size_t mesh, std::vector<Failure>& failures) const {
  MeshModels result;
  result.mesh = mesh;
  result.model = models().mesh_model(mesh);
  for (std::size_t i = 0; i < usable_.size(); ++i) {
    try {
      result.model.states.push_back(models().state_model(mesh, result.model, usable_[i]));
      result.usable.push_back(i);
    } catch (const Error& error) {
      failures.push_back(
          {"mesh " + base_.design().meshes[mesh].id, states_[usable_[i].index].id, error.what()});
    }
  }
  return result;
}

MeshModels CarrierRun::scaled(std::size_t mesh, std::vector<double> factors,
                              std::size_t usable) const {
  GapModels models = base_.models();
  models.scale_bands(std::move(factors));
  MeshModels result;
  result.mesh = mesh;
  result.model = models.mesh_model(mesh);
  result.model.states.push_back(models.state_model(mesh, result.model, usable_.at(usable)));
  result.usable.push_back(usable);
  return result;
}

}  // namespace lashband::design
