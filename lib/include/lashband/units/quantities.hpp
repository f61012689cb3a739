#pragma once

#include <boost/units/quantity.hpp>
#include <boost/units/systems/si/acceleration.hpp>
#include <boost/units/systems/si/amount.hpp>
#include <boost/units/systems/si/angular_velocity.hpp>
#include <boost/units/systems/si/area.hpp>
#include <boost/units/systems/si/dimensionless.hpp>
#include <boost/units/systems/si/dynamic_viscosity.hpp>
#include <boost/units/systems/si/energy.hpp>
#include <boost/units/systems/si/force.hpp>
#include <boost/units/systems/si/frequency.hpp>
#include <boost/units/systems/si/kinematic_viscosity.hpp>
#include <boost/units/systems/si/length.hpp>
#include <boost/units/systems/si/mass.hpp>
#include <boost/units/systems/si/mass_density.hpp>
#include <boost/units/systems/si/plane_angle.hpp>
#include <boost/units/systems/si/power.hpp>
#include <boost/units/systems/si/pressure.hpp>
#include <boost/units/systems/si/temperature.hpp>
#include <boost/units/systems/si/time.hpp>
#include <boost/units/systems/si/velocity.hpp>
#include <boost/units/systems/si/volume.hpp>

/// The quantities of lashband's public interface, all in coherent SI units (metre, kilogram,
/// second, kelvin, radian). Kernels take plain SI doubles, which `.value()` yields; public
/// functions take and return these types.
///
/// Boost's own torque and moment of inertia carry powers of the radian (L2 M T-2 per angle), so
/// that force times length is not a torque there. They are never used here. In this project
///   a torque             has the dimension of energy (force times length),
///   a torsional stiffness is a torque per angle,
///   a torsional damping  is a torque per angular velocity,
///   an inertia           is a mass times an area,
/// and the radian is removed or added by the named functions of units/rotation.hpp alone.
namespace lashband::units {

namespace detail {
namespace bu = boost::units;
namespace si = boost::units::si;
using PerKelvinUnit = bu::divide_typeof_helper<si::dimensionless, si::temperature>::type;
using LinearStiffnessUnit = bu::divide_typeof_helper<si::force, si::length>::type;
using ComplianceUnit = bu::divide_typeof_helper<si::length, si::force>::type;
using TorsionalStiffnessUnit = bu::divide_typeof_helper<si::energy, si::plane_angle>::type;
using EnergyTime = bu::multiply_typeof_helper<si::energy, si::time>::type;
using TorsionalDampingUnit = bu::divide_typeof_helper<EnergyTime, si::plane_angle>::type;
using InertiaUnit = bu::multiply_typeof_helper<si::mass, si::area>::type;
using PerMassKelvin = bu::multiply_typeof_helper<si::mass, si::temperature>::type;
using SpecificHeatUnit = bu::divide_typeof_helper<si::energy, PerMassKelvin>::type;
using MetreKelvin = bu::multiply_typeof_helper<si::length, si::temperature>::type;
using ConductivityUnit = bu::divide_typeof_helper<si::power, MetreKelvin>::type;
using HeatCapacityUnit = bu::divide_typeof_helper<si::energy, si::temperature>::type;
using ThermalConductanceUnit = bu::divide_typeof_helper<si::power, si::temperature>::type;
using HeatTransferUnit = bu::divide_typeof_helper<ThermalConductanceUnit, si::area>::type;
using VolumeFlowUnit = bu::divide_typeof_helper<si::volume, si::time>::type;
}  // namespace detail

using Ratio = boost::units::quantity<boost::units::si::dimensionless>;
using Length = boost::units::quantity<boost::units::si::length>;
using Area = boost::units::quantity<boost::units::si::area>;
using Volume = boost::units::quantity<boost::units::si::volume>;
using Time = boost::units::quantity<boost::units::si::time>;
using Mass = boost::units::quantity<boost::units::si::mass>;
using Angle = boost::units::quantity<boost::units::si::plane_angle>;
using Velocity = boost::units::quantity<boost::units::si::velocity>;
using Force = boost::units::quantity<boost::units::si::force>;
using Pressure = boost::units::quantity<boost::units::si::pressure>;
using Energy = boost::units::quantity<boost::units::si::energy>;
using Power = boost::units::quantity<boost::units::si::power>;
using Frequency = boost::units::quantity<boost::units::si::frequency>;
using AngularVelocity = boost::units::quantity<boost::units::si::angular_velocity>;
using Density = boost::units::quantity<boost::units::si::mass_density>;
using KinematicViscosity = boost::units::quantity<boost::units::si::kinematic_viscosity>;
using DynamicViscosity = boost::units::quantity<boost::units::si::dynamic_viscosity>;
using PerKelvin = boost::units::quantity<detail::PerKelvinUnit>;
using LinearStiffness = boost::units::quantity<detail::LinearStiffnessUnit>;
using Compliance = boost::units::quantity<detail::ComplianceUnit>;
using Torque = boost::units::quantity<boost::units::si::energy>;
using TorsionalStiffness = boost::units::quantity<detail::TorsionalStiffnessUnit>;
using TorsionalDamping = boost::units::quantity<detail::TorsionalDampingUnit>;
using Inertia = boost::units::quantity<detail::InertiaUnit>;
using SpecificHeat = boost::units::quantity<detail::SpecificHeatUnit>;
using Conductivity = boost::units::quantity<detail::ConductivityUnit>;
using HeatCapacity = boost::units::quantity<detail::HeatCapacityUnit>;
using ThermalConductance = boost::units::quantity<detail::ThermalConductanceUnit>;
using HeatTransferCoefficient = boost::units::quantity<detail::HeatTransferUnit>;
using VolumeFlow = boost::units::quantity<detail::VolumeFlowUnit>;

/// A closed interval of a quantity, `low <= high`.
template <class Q>
struct Band {
  Q low;
  Q high;

  /// The mid value, (low + high) / 2.
  [[nodiscard]] Q mid() const { return 0.5 * (low + high); }
};

/// The quantity whose SI value is `si_value`: `from_si<Length>(0.1)` is 100 mm.
template <class Q>
[[nodiscard]] Q from_si(double si_value) {
  return Q::from_value(si_value);
}

}  // namespace lashband::units
