#pragma once

#include <functional>
#include <string>
#include <vector>

#include "lashband/elastomer/dynamic_stiffness.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// How warm an elastomer gets from its own damping.
///
/// Simplifications: one temperature for all of the ring, where a real one is hotter inside; the
/// heat leaves through one conductance to ambient; each order swings for itself (exact for a linear
/// law: orders of different frequency share no power).
namespace lashband::elastomer {

/// A twist that is forced on the ring at one frequency.
struct TwistOrder {
  units::AngularVelocity angular_frequency{};
  units::Angle amplitude{};
};

/// A torque that the ring must carry at one frequency.
struct TorqueOrder {
  units::AngularVelocity angular_frequency{};
  units::Torque amplitude{};
};

/// Heat of twists given, P = sum of 1/2 omega k''(omega) theta^2. Softer rubber makes less of it.
/// Exact. Throws DomainError unless frequencies are above 0, amplitudes 0 or more, all finite, no
/// frequency twice (equal frequencies must be added as vectors first).
[[nodiscard]] units::Power dissipated_power(const ElastomerLaw& law,
                                            const std::vector<TwistOrder>& orders);

/// Heat of torques given, theta = T/|k*|: P = sum of 1/2 omega k'' T^2 / (k'^2 + k''^2). Softer
/// rubber makes more of it, which is how a coupling runs away. Exact. Throws likewise.
[[nodiscard]] units::Power dissipated_power(const ElastomerLaw& law,
                                            const std::vector<TorqueOrder>& orders);

/// Where the ring is hot enough to give off what it makes.
struct HeatBalance {
  /// P(T), finite and 0 or more from ambient to `highest`. It holds the stiffness and the loss at
  /// that temperature: `dissipated_power` of the law there. What it throws is passed on.
  std::function<units::Power(units::Temperature)> heat;
  units::Temperature ambient{};
  units::Temperature highest{};             ///< up to which the elastomer may be used
  units::ThermalConductance conductance{};  ///< G_th, from the ring to ambient
};

enum class HeatOutcome {
  settled,      ///< at `temperature`
  above_range,  ///< still gains heat at the highest temperature, where it would settle further up
  runaway       ///< heat grows faster than it leaves: nothing to settle at
};

struct SteadyTemperature {
  HeatOutcome outcome = HeatOutcome::runaway;
  /// Where it settles; else where it was seen not to: the highest temperature, or the one at which
  /// P and what leaves only touch.
  units::Temperature temperature{};
  units::Power heat{};  ///< P there
  /// 1 - P'(T)/G_th there: how far the balance is from running away, 1 where heat does not depend
  /// on temperature, 0 or less where it runs away. P' from both sides, 1e-3 K apart, the greater.
  double margin = 0.0;
  std::string message{};  ///< in words, where it is not `settled`
};

/// The temperature nearest above ambient at which G_th (T - T_ambient) = P(T), which is what the
/// ring comes to when it starts cold. A crossing found is one from gaining heat to losing it, so it
/// is stable. `runaway` where the ring still gains heat at the highest temperature with
/// P' >= G_th there, or where its balance has a margin of 0 or less, so that the least disturbance
/// takes it past. A second balance further up, beyond an unstable one, is not looked for.
///
/// Within 1e-9 K of the equation. The first crossing is sought in 512 even steps from ambient to
/// `highest`, and between them where the gap narrows and widens again; two crossings within one
/// step of a P(T) that bends more than once in it may be missed. Calls `heat` some 600 times.
/// Throws DomainError unless the conductance is finite and above 0 and ambient is finite and below
/// `highest`, and ComputationError where P is negative or not finite.
[[nodiscard]] SteadyTemperature steady_temperature(const HeatBalance& balance);

}  // namespace lashband::elastomer
