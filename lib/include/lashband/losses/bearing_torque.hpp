#pragma once

#include "lashband/units/quantities.hpp"

/// Friction torque of a rolling bearing (Palmgren; the form is also that of ISO/TR 14179-2).
/// `units::power` turns it into a power.
///
/// Simplifications: the two parts add up; no seals; not starved and not flooded beyond what f_0
/// stands for. In cold oil near its pour point the torque of a real bearing may be far off.
namespace lashband::losses {

/// Load-free torque of a bearing with the mean diameter d_m:
///   M_0 = 1e-7 f_0 d_m^3 max((nu n)^(2/3), 160)     M_0 in N mm, nu in mm2/s, n in 1/min, d_m in
///   mm
/// f_0 stands for type and lubrication; a bearing maker's handbook gives it.
///
/// Valid for n >= 0. At rest it is the torque to set off with, not 0; its power is 0 there.
///
/// The printed rule takes (nu n)^(2/3) for nu n >= 2000 and 160 below, a step from 160 to 158.74.
/// Since a balance of temperatures needs a function without steps, this takes the greater of the
/// two everywhere, which is at most 0.8 % above the printed rule, and that only for
/// 2000 <= nu n < 160^1.5 = 2023.9. Else exact.
/// Throws DomainError unless f_0, nu and d_m are finite and above 0 and n is finite and 0 or more.
/// Source: Palmgren; ISO/TR 14179-2; from memory.
[[nodiscard]] units::Torque no_load_torque(double f_0, units::KinematicViscosity viscosity,
                                           units::AngularVelocity speed,
                                           units::Length mean_diameter);

/// Load-dependent torque M_1 = f_1 P_1 d_m of a bearing under the equivalent force P_1. f_1 stands
/// for type and load, about 1e-3 or less for ball bearings (from memory); a bearing maker's
/// handbook gives f_1 and P_1.
///
/// Exact. Throws DomainError unless f_1 and P_1 are finite and 0 or more and d_m is finite and
/// above 0. Source: Palmgren; from memory.
[[nodiscard]] units::Torque load_torque(double f_1, units::Force equivalent_force,
                                        units::Length mean_diameter);

}  // namespace lashband::losses
