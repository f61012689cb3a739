#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "lashband/excitation/crank_mechanism.hpp"
#include "lashband/excitation/harmonics.hpp"
#include "lashband/units/quantities.hpp"

/// Torque of the gas in a cylinder, from its pressure over the angle of the crank.
///
/// Simplifications: the pressure is the same on the whole piston; behind the piston stands one
/// constant pressure; no friction of the piston; every cycle is like the one that is given.
namespace lashband::excitation {

/// The fewest points of a trace, and the widest step between two of them, 10 deg. Traces of engines
/// have steps of 1 deg or less (common practice, no source).
inline constexpr std::size_t fewest_pressure_points = 36;
inline constexpr auto greatest_pressure_step = units::Angle::from_value(0.17453292519943295);

struct PressurePoint {
  units::Angle crank_angle{};  ///< theta, of crank_mechanism.hpp
  units::Pressure pressure{};  ///< absolute
};

/// What keeps points from being a trace.
struct TraceFault {
  std::optional<std::size_t> point{};  ///< where it stands, from 0; empty: the trace as a whole
  std::string message{};               ///< rule, value and unit
};

/// The first thing that keeps the points from being a trace of a cycle of 1 revolution (two
/// strokes, compressors) or 2 (four strokes), or nothing. The rules:
///   - fewest_pressure_points or more, all finite, no pressure below 0;
///   - angles rise, lie within one cycle of 0 to either side and take up no more than one cycle:
///     0 to 719 deg, or -360 to 360 deg;
///   - no step is above greatest_pressure_step, nor is the one from the last point to the first of
///     the next cycle;
///   - where the last point stands a whole cycle behind the first, both are the same place: their
///     pressures differ by 1 % of the range of pressures at most.
/// Angles are compared within 1e-6 deg. Throws DomainError for another cycle.
[[nodiscard]] std::optional<TraceFault> trace_fault(int revolutions_per_cycle,
                                                    const std::vector<PressurePoint>& points);

/// The pressure in a cylinder over a cycle: linear between its points, and periodic. Immutable.
class PressureTrace {
 public:
  /// Of two ends that are the same place the mean counts. Throws DomainError, with the number of
  /// the point from 1, where the points have a trace_fault, and for a cycle that it does not take.
  PressureTrace(int revolutions_per_cycle, const std::vector<PressurePoint>& points);

  [[nodiscard]] int revolutions_per_cycle() const { return revolutions_per_cycle_; }
  /// Points of one cycle, the end that repeats the first left out.
  [[nodiscard]] std::size_t size() const { return angles_.size(); }
  /// Rising angles, and the pressures at them: kernels read these.
  [[nodiscard]] const std::vector<double>& angles_in_radians() const { return angles_; }
  [[nodiscard]] const std::vector<double>& pressures_in_pascals() const { return pressures_; }

  /// The pressure at any finite angle. Exact but for rounding; DomainError otherwise.
  [[nodiscard]] units::Pressure at(units::Angle theta) const;

 private:
  int revolutions_per_cycle_;
  std::vector<double> angles_;
  std::vector<double> pressures_;
};

struct Cylinder {
  units::Length bore{};             ///< d
  units::Pressure behind_piston{};  ///< p_0, absolute: of a crankcase that of the air around
};

/// Torque on the crank of the gas in one cylinder,
///   T(theta) = -(p(theta) - p_0) pi d^2/4 x'(theta),
/// as mean and harmonics 1 ... `harmonics` of the cycle of the trace.
///
/// Of the trace as it is, linear between its points, the Fourier integrals are taken in closed form
/// and not over a grid: error 1e-12 of the greatest torque. The mean is the work of the closed
/// curve of p over the volume, W / (2 pi R). What the trace itself misses is more: between points a
/// step h apart, straight lines weaken harmonic k of a smooth pressure by about (pi k h / c)^2 / 3,
/// c the cycle, which is 3 % at ten points a period and 0.8 % at twenty.
///
/// Throws DomainError unless 2 harmonics < points of the trace, d is finite and above 0 and p_0 is
/// finite and 0 or more; ComputationError as inertia_torque_harmonics. Time goes with points times
/// harmonics. Derived in docs/theory/excitation.md.
[[nodiscard]] CyclicTorque gas_torque(const PressureTrace& trace, const CrankMechanism& mechanism,
                                      const Cylinder& cylinder, std::size_t harmonics);

}  // namespace lashband::excitation
