#pragma once

#include <cstddef>

#include "lashband/elastomer/dynamic_stiffness.hpp"
#include "lashband/units/quantities.hpp"

/// A generalised Maxwell chain in place of a constant loss factor, which has no law in time.
///
/// Simplifications: those of dynamic_stiffness.hpp.
namespace lashband::elastomer {

/// A chain that stands for a constant loss factor over a band of frequencies.
struct FittedChain {
  GeneralisedMaxwell chain{};
  /// Greatest of |k'_chain/k - 1| and of |k''_chain/(k eta) - 1| over the band.
  double storage_error = 0.0;
  double loss_error = 0.0;
};

/// The most branches that a chain is fitted with. Two a decade do for the widest band.
inline constexpr std::size_t most_branches = 40;

/// The chain with at most `branches` branches that is nearest to k (1 + i eta) over the band, by
/// least squares of the relative errors of k' and k'' at even steps of log omega, no stiffness
/// below 0. The relaxation times are spaced evenly in their logarithm, from half a decade below
/// 1/omega_high to half a decade above 1/omega_low; those that the fit does not use are left out.
/// One branch alone stands at the middle of the band.
///
/// No chain has a constant k' where it has a loss: over the band k' rises by about
/// (2/pi) k eta ln(omega_high/omega_low), so that even the best fit is off by half of that to
/// either side at its ends. With eta 0.15 over one decade that is 11 %. `storage_error` and
/// `loss_error` say what came out, taken at 64 points a decade or more, within 1 % of themselves.
/// Two branches a decade and one more bring nearly all there is (docs/theory/elastomer.md).
///
/// Outside the band the chain is only what the branches make of it. Its relaxed stiffness is below
/// k and may be 0, with much loss over a wide band: a mean torque winds it up further than k would,
/// or without end. Take the band no wider than the excitation.
///
/// Throws DomainError unless 0 < low < high <= 1e8 low, both finite, eta above 0, branches from 1
/// to most_branches, and as ElastomerLaw does.
[[nodiscard]] FittedChain fitted_chain(const LossFactor& law,
                                       const units::Band<units::AngularVelocity>& band,
                                       std::size_t branches);

}  // namespace lashband::elastomer
