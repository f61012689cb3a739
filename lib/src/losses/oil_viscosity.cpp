#include "lashband/losses/oil_viscosity.hpp"

#include <cmath>
#include <sstream>

#include "lashband/error.hpp"
#include "requirement.hpp"

// Kernels: nu in mm2/s, T in K.
namespace lashband::losses {
namespace {

using checks::require;
using units::from_si;

constexpr double mm2_per_m2 = 1e6;

double z_of_viscosity(double nu) {
  return nu + 0.7 + std::exp(-1.47 - 1.84 * nu - 0.51 * nu * nu);
}

double viscosity_of_z(double Z) {
  const double y = Z - 0.7;
  return y - std::exp(-0.7487 + y * (-3.295 + y * (0.6119 - 0.3193 * y)));
}

double kelvin_of(units::Temperature temperature) {
  const double T = units::in_kelvin(temperature);
  require(T > 0.0 && std::isfinite(T), "the temperature of an oil must be above -273.15 degC",
          temperature.value(), " degC");
  return T;
}

double stated_viscosity(const ViscosityPoint& point) {
  const double nu = mm2_per_m2 * point.viscosity.value();
  require(point.viscosity >= least_stated_viscosity && point.viscosity <= greatest_stated_viscosity,
          "a viscosity of an oil must be from 0.21 mm2/s to 2e7 mm2/s, the range of ASTM D341", nu,
          " mm2/s");
  return nu;
}

}  // namespace

OilViscosity::OilViscosity(const ViscosityPoint& first, const ViscosityPoint& second) {
  const bool in_order = first.temperature.value() < second.temperature.value();
  const ViscosityPoint& cold = in_order ? first : second;
  const ViscosityPoint& hot = in_order ? second : first;
  const double T_cold = kelvin_of(cold.temperature);
  const double T_hot = kelvin_of(hot.temperature);
  const double nu_cold = stated_viscosity(cold);
  const double nu_hot = stated_viscosity(hot);
  require(units::difference(cold.temperature, hot.temperature) >= least_point_distance,
          "the two temperatures of an oil's viscosities must be at least 1 K apart", T_hot - T_cold,
          " K");
  require(nu_hot < nu_cold,
          "the viscosity of an oil must fall with temperature: the warmer point must be below the "
          "colder one",
          nu_hot, " mm2/s");
  const double at_cold = std::log10(std::log10(z_of_viscosity(nu_cold)));
  const double at_hot = std::log10(std::log10(z_of_viscosity(nu_hot)));
  range_ = {cold.temperature, hot.temperature};
  slope_ = (at_cold - at_hot) / std::log10(T_hot / T_cold);
  intercept_ = at_cold + slope_ * std::log10(T_cold);
}

units::KinematicViscosity OilViscosity::kinematic_viscosity(units::Temperature temperature) const {
  const double T = kelvin_of(temperature);
  const double Z = std::pow(10.0, std::pow(10.0, intercept_ - slope_ * std::log10(T)));
  const auto viscosity =
      from_si<units::KinematicViscosity>((std::isfinite(Z) ? viscosity_of_z(Z) : Z) / mm2_per_m2);
  if (!(viscosity >= least_viscosity && viscosity <= greatest_viscosity)) {
    std::ostringstream message;
    message.precision(10);
    message << "the viscosity of the oil with points at " << range_.low.value() << " degC and "
            << range_.high.value() << " degC would be " << mm2_per_m2 * viscosity.value()
            << " mm2/s at " << temperature.value()
            << " degC, but the line is followed from 0.2 mm2/s to 1e12 mm2/s";
    throw ComputationError(message.str());
  }
  return viscosity;
}

}  // namespace lashband::losses
