#pragma once

#include "lashband/design/torsion_settings.hpp"
#include "lashband/thermal/solid.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"
#include "torsion/system.hpp"

namespace lashband::design {

/// How an elastomer answers at a temperature: to swings, and to a torque that lasts, for which it
/// has no dynamic factor and no losses.
struct ElastomerLaws {
  torsion::kernel::Law swinging{};
  torsion::kernel::Law lasting{};
};

/// Throws MaterialError or DomainError where a property or a table does not reach the temperature.
[[nodiscard]] ElastomerLaws laws_of(const Elastomer& elastomer, units::Temperature temperature,
                                    const thermal::Reference& reference);

/// Shear modulus of slow loading at the reference temperature, of an elastomer given as a ring.
[[nodiscard]] units::Pressure shear_modulus_of(const Elastomer& elastomer,
                                               const thermal::Reference& reference);

/// The same at a temperature.
[[nodiscard]] units::Pressure modulus_at(const Elastomer& elastomer, units::Temperature temperature,
                                         const thermal::Reference& reference);

/// The shear strain that it is good for, given or the material's.
[[nodiscard]] std::optional<double> shear_strain_limit_of(const Elastomer& elastomer);

/// The temperature of its zone; without one, the reference temperature.
[[nodiscard]] units::Temperature zone_temperature_of(const Elastomer& elastomer,
                                                     const thermal::TemperatureState& state,
                                                     const thermal::Reference& reference);

/// The highest temperature that anything is known of it for.
[[nodiscard]] units::Temperature highest_temperature_of(const Elastomer& elastomer);

}  // namespace lashband::design
