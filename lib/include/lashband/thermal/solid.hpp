#pragma once

#include <memory>

#include "lashband/materials/material.hpp"
#include "lashband/thermal/temperature_state.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

namespace lashband::thermal {

/// What every evaluation at temperature shares: the temperature at which drawing dimensions hold,
/// and what to do outside a material's range.
struct Reference {
  units::Temperature temperature = units::iso_1_reference();
  materials::Extrapolation extrapolation = materials::Extrapolation::refuse;
};

/// A body of one material in one temperature zone.
struct Solid {
  std::shared_ptr<const materials::Material> material;
  ZoneIndex zone{};

  /// Free elongation from the reference temperature to the state: L(T)/L(T_ref) - 1.
  /// Throws MaterialError outside the material's range unless extrapolation is allowed.
  [[nodiscard]] double elongation(const TemperatureState& state, const Reference& reference) const;

  /// E at the solid's own temperature. Throws MaterialError where the material has none.
  [[nodiscard]] units::Pressure youngs_modulus(const TemperatureState& state,
                                               const Reference& reference) const;
};

}  // namespace lashband::thermal
