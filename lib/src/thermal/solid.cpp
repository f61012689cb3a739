#include "lashband/thermal/solid.hpp"

namespace lashband::thermal {

double Solid::thermal_elongation(const TemperatureState& state, const Reference& reference) const {
  return material->elongation()
      .between(reference.temperature, state.of(zone), reference.extrapolation)
      .value();
}

double Solid::elongation(const TemperatureState& state, const Reference& reference) const {
  double elongation = thermal_elongation(state, reference);
  for (const auto& added : {permanent_strain, moisture_strain}) {
    elongation += added ? added->mid().value() : 0.0;
  }
  return elongation;
}

units::Pressure Solid::youngs_modulus(const TemperatureState& state,
                                      const Reference& reference) const {
  return material->youngs_modulus(state.of(zone), reference.extrapolation);
}

}  // namespace lashband::thermal
