#include "carrier_run.hpp"

#include <utility>

#include "lashband/error.hpp"

namespace lashband::design {
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
  MeshModels result;
  result.mesh = mesh;
  result.model = models_.mesh_model(mesh);
  for (std::size_t i = 0; i < usable_.size(); ++i) {
    try {
      result.model.states.push_back(models_.state_model(mesh, result.model, usable_[i]));
      result.usable.push_back(i);
    } catch (const Error& error) {
      failures.push_back(
          {"mesh " + design_.meshes[mesh].id, states_[usable_[i].index].id, error.what()});
    }
  }
  return result;
}

MeshModels CarrierRun::scaled(std::size_t mesh, std::vector<double> factors,
                              std::size_t usable) const {
  GapModels models = models_;
  models.scale_bands(std::move(factors));
  MeshModels result;
  result.mesh = mesh;
  result.model = models.mesh_model(mesh);
  result.model.states.push_back(models.state_model(mesh, result.model, usable_.at(usable)));
  result.usable.push_back(usable);
  return result;
}

}  // namespace lashband::design
