#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "lashband/units/quantities.hpp"

/// Torques that repeat with the turning of their shaft, as a mean and harmonics.
///
/// Simplifications: the shaft turns at constant speed while its torque is made; every cycle is like
/// the one before it.
namespace lashband::excitation {

/// Limits of what is held: cycles of so many revolutions, torques of so many harmonics, made of so
/// many samples.
inline constexpr int most_revolutions_per_cycle = 1000;
inline constexpr std::size_t most_harmonics = 100'000;
inline constexpr std::size_t most_samples = 10'000'000;

/// A torque over the angle phi of its shaft, positive in the direction of rising phi:
///   T(phi) = mean + sum over k >= 1 of Re(A_k e^(i k phi / R)),
/// R revolutions of the shaft to a cycle: 1 for two strokes and for the inertia of a crank, 2 for
/// four strokes. Harmonic k of the cycle is of order k/R of the shaft. A_k = a - i b stands for
/// a cos(k phi / R) + b sin(k phi / R). Immutable.
///
/// A_k are complex numbers in N m, as no quantity of units is complex.
class CyclicTorque {
 public:
  /// `amplitudes_in_newton_metres[k - 1]` is A_k; empty: a constant torque. Throws DomainError
  /// unless R is 1 to most_revolutions_per_cycle, there are no more amplitudes than most_harmonics,
  /// and all is finite.
  CyclicTorque(int revolutions_per_cycle, units::Torque mean,
               std::vector<std::complex<double>> amplitudes_in_newton_metres);

  [[nodiscard]] int revolutions_per_cycle() const { return revolutions_per_cycle_; }
  [[nodiscard]] units::Torque mean() const { return mean_; }
  /// A_1, A_2, ...: element k - 1 is A_k.
  [[nodiscard]] const std::vector<std::complex<double>>& amplitudes_in_newton_metres() const {
    return amplitudes_;
  }
  /// The number of harmonics.
  [[nodiscard]] std::size_t harmonics() const { return amplitudes_.size(); }
  /// A_k, of a harmonic above the highest 0. Throws DomainError for k = 0.
  [[nodiscard]] std::complex<double> amplitude_in_newton_metres(std::size_t k) const;

  /// T(phi). Rounding some 1e-15 of the sum of k |A_k|, and as many times more as phi is cycles.
  /// Throws DomainError unless phi is finite.
  [[nodiscard]] units::Torque at(units::Angle phi) const;

  /// Work done on the shaft in a cycle, W = 2 pi R mean. Exact.
  [[nodiscard]] units::Energy work_per_cycle() const;

 private:
  int revolutions_per_cycle_;
  units::Torque mean_;
  std::vector<std::complex<double>> amplitudes_;
};

/// The torque through n samples at equal steps over a cycle, the first at phi = 0, none at its end:
///   A_k = (2/n) sum over j of T_j e^(-2 pi i j k / n),  k = 1 ... harmonics.
///
/// n is 1 to most_samples; the time goes with n times the sum of its prime factors. Only harmonics
/// below half the samples, 2 k < n, can be told: what the torque has above n/2 comes out as a lower
/// harmonic, so take samples until it is small there. Rounding 1e-15 of the greatest sample for n
/// up to 1e4. Throws DomainError unless 2 harmonics < n, R is in its range and every sample is
/// finite. Source: discrete Fourier transform.
[[nodiscard]] CyclicTorque cyclic_torque(const std::vector<units::Torque>& samples,
                                         int revolutions_per_cycle, std::size_t harmonics);

/// The same torque later by the angle psi of the shaft, T(phi - psi): A_k e^(-i k psi / R).
///
/// It is the torque of a second crank that reaches top dead centre when the first, with T(phi), has
/// turned on by psi; for four strokes psi counts over both revolutions, 0 to 720 deg, as a firing
/// angle does. A crank that stands ahead of the first, in the direction of rotation, by psi has
/// -psi. Exact but for rounding. Throws DomainError unless psi is finite.
[[nodiscard]] CyclicTorque delayed(const CyclicTorque& torque, units::Angle psi);

/// The torque times a pure number, mean included. Throws DomainError unless the factor is finite
/// and the products are.
[[nodiscard]] CyclicTorque scaled(const CyclicTorque& torque, double factor);

/// The sum of torques on one shaft. Its cycle is the least that all of them fit into: R is the
/// least common multiple. Harmonic k of a torque of R_j revolutions is harmonic k R / R_j of the
/// sum. Exact but for rounding. Throws DomainError for no torques, and where the limits above are
/// exceeded.
[[nodiscard]] CyclicTorque sum(const std::vector<CyclicTorque>& torques);

}  // namespace lashband::excitation
