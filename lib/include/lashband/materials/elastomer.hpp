#pragma once

#include <variant>

#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// What an elastomer's record holds beyond the properties of any solid.
namespace lashband::materials {

/// Indentation hardness on the Shore A scale (ISO 48-4), 0 to 100.
struct ShoreA {
  double degrees = 0.0;
};

/// International rubber hardness degrees (ISO 48-2), 0 to 100.
struct Irhd {
  double degrees = 0.0;
};

using Hardness = std::variant<ShoreA, Irhd>;

/// Shift of time and frequency with temperature (Williams, Landel, Ferry):
///   log10 a_T = -C1 (T - T0) / (C2 + T - T0),
/// T0 the reference temperature at which a_T = 1. It shifts times, it is no law of the modulus
/// itself.
struct Wlf {
  units::Temperature reference_temperature;
  double c1 = 0.0;
  units::TemperatureDifference c2;
};

/// One term of a relaxing shear modulus at the reference temperature of the WLF shift:
///   G(t) = G (1 + sum of g_i exp(-t / tau_i)),
/// g_i the `relative_modulus` and G the record's `shear_modulus`, which is that of slow loading.
struct PronyTerm {
  double relative_modulus = 0.0;
  units::Time relaxation_time;
};

}  // namespace lashband::materials
