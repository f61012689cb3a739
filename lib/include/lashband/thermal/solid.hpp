#pragma once

#include <memory>
#include <optional>

#include "lashband/materials/material.hpp"
#include "lashband/thermal/temperature_state.hpp"
#include "lashband/tolerance/toleranced.hpp"
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
  std::shared_ptr<const materials::Material> material{};
  ZoneIndex zone{};
  /// Growth that stays and does not come from temperature: ageing of die castings, ...
  std::optional<tolerance::Toleranced<units::Ratio>> permanent_strain{};
  /// ... and swelling of plastics with moisture.
  std::optional<tolerance::Toleranced<units::Ratio>> moisture_strain{};

  /// Free elongation from the reference temperature to the state, L(T)/L(T_ref) - 1.
  /// Throws MaterialError outside the material's range unless extrapolation is allowed.
  [[nodiscard]] double thermal_elongation(const TemperatureState& state,
                                          const Reference& reference) const;

  /// The same with the mid values of permanent and moisture strain added.
  [[nodiscard]] double elongation(const TemperatureState& state, const Reference& reference) const;

  /// E at the solid's own temperature. Throws MaterialError where the material has none.
  [[nodiscard]] units::Pressure youngs_modulus(const TemperatureState& state,
                                               const Reference& reference) const;
};

}  // namespace lashband::thermal
