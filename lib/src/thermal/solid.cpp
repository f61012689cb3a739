#include "lashband/thermal/solid.hpp"

namespace lashband::thermal {

double Solid::elongation(const TemperatureState& state, const Reference& reference) const {
  return material->elongation()
      .between(reference.temperature, state.of(zone), reference.extrapolation)
      .value();
}

units::Pressure Solid::youngs_modulus(const TemperatureState& state,
                                      const Reference& reference) const {
  return material->youngs_modulus(state.of(zone), reference.extrapolation);
}

}  // namespace lashband::thermal
