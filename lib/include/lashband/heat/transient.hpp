#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "lashband/heat/network.hpp"
#include "lashband/heat/schedule.hpp"
#include "lashband/materials/temperature_range.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// Temperatures of a network over time.
namespace lashband::heat {

/// Heat given to a body over time, whatever its temperature.
struct HeatInput {
  std::string id{};
  std::size_t body = 0;
  Schedule<units::Power> power;
};

/// Heat given to a body that depends on a temperature: the loss of a bearing in cold oil.
struct TemperatureDependentInput {
  std::string id{};
  std::size_t body = 0;
  Place feels{};
  /// Over the time of the cycle. Smooth in both but at `kinks` (from which on the new law holds),
  /// finite. What it throws ends the solution with that message.
  std::function<units::Power(units::Time, units::Temperature)> power;
  std::vector<units::Time> kinks{};  ///< moments of the cycle where it jumps or bends over time
};

/// How much of a conductance or a stream is at work over time, in parts of its full value.
struct Throttle {
  enum class Of { conductance, stream };
  Of of = Of::stream;
  std::size_t index = 0;
  Schedule<units::Ratio> share;  ///< 0 or more
};

/// What a network goes through. All schedules count from the beginning of the cycle.
struct Operation {
  std::vector<units::Temperature> start{};                 ///< by body
  std::vector<Schedule<units::Temperature>> boundaries{};  ///< by boundary
  std::vector<HeatInput> inputs{};
  std::vector<TemperatureDependentInput> dependent_inputs{};
  std::vector<Throttle> throttles{};  ///< no more than one for each conductance or stream
  units::Time duration{};             ///< of one cycle
  /// The operation is repeated, each cycle from where the last one ended: at most `cycles` times;
  /// with `until_periodic` it stops once no body starts a cycle further than this from where it
  /// started the last one.
  std::size_t cycles = 1;
  std::optional<units::TemperatureDifference> until_periodic{};
};

struct SolveOptions {
  /// Greatest error of any body's temperature that re-linearising may bring, by the solver's own
  /// estimate. Linear stretches have none.
  units::TemperatureDifference accuracy = units::TemperatureDifference::from_value(1e-4);
  /// Outside the range of a material's specific heat or conductivity: `refuse` ends the solution
  /// where the range does.
  materials::Extrapolation extrapolation = materials::Extrapolation::refuse;
  /// Tries with a step of re-linearising, and stretches between events of thermostats.
  std::size_t most_steps = 1000000;
};

/// Where the heat of a solution came from and went, over its whole time.
struct EnergyAccount {
  std::vector<units::Energy> stored;      ///< by body: gained
  std::vector<units::Energy> inputs;      ///< by input: given to its body
  std::vector<units::Energy> dependent;   ///< by temperature-dependent input
  std::vector<units::Energy> boundaries;  ///< by boundary: brought in through conductances
  std::vector<units::Energy> streams;     ///< by stream: brought to `to`, rho c V (T_from - T_to)
  /// Sum of `stored` less all that came in.
  units::Energy residual{};
  /// The greatest of the amounts above, and of what passed from body to body, each counted stretch
  /// by stretch whichever way it went: what `residual` is measured against. At most 1e-12 of it,
  /// re-linearised stretches included.
  units::Energy turnover{};
};

enum class Outcome {
  not_run,
  done,
  not_periodic,    ///< cycles ran out before `until_periodic` was met
  too_many_steps,  ///< of re-linearising or between events; the solution ends where it got to
  failed           ///< an input, a property or a number gave no answer; likewise
};

/// Temperatures of all bodies over time. Cheap to copy.
class Solution {
 public:
  /// Made by `solve`.
  struct Parts;
  explicit Solution(std::shared_ptr<const Parts> parts) : parts_(std::move(parts)) {}

  [[nodiscard]] Outcome outcome() const;
  /// In words, where it is not `done`: what happened, when, and where.
  [[nodiscard]] const std::string& message() const;
  /// How far the solution reaches: cycles * duration when it is done.
  [[nodiscard]] units::Time end() const;
  [[nodiscard]] std::size_t cycles() const;
  /// Stretches between re-linearisations and events, of all cycles.
  [[nodiscard]] std::size_t steps() const;
  /// Moments where a temperature bends or an event falls, the ends included: between two of them
  /// every temperature is smooth. In rising order.
  [[nodiscard]] const std::vector<units::Time>& kinks() const;

  /// Temperature of every body at each of `times`, which must be in rising order within
  /// [0, end()]; by time, then by body. Throws DomainError outside. Linear stretches: exact within
  /// 1e-10 of the greatest temperature difference; else within the accuracy asked for.
  [[nodiscard]] std::vector<std::vector<units::Temperature>> at(
      const std::vector<units::Time>& times) const;

  [[nodiscard]] const EnergyAccount& energy() const;

 private:
  std::shared_ptr<const Parts> parts_;
};

/// Temperatures over time from the start of the operation.
///
///   C_i T_i' = sum G_ij (T_j - T_i) + sum w_ki (T_k - T_i) + q_i(t)
///
/// Between kinks of the schedules and corners of thermostats, where nothing depends on temperature,
/// this is a linear system whose inputs are linear in time and is solved exactly: through the
/// eigenvectors of the symmetrised matrix where there are no streams, by the exponential of the
/// augmented matrix (scaling and squaring) where there are. A thermostat's corner is found as an
/// event. Terms that depend on temperature or are throttled along a ramp are re-linearised, with
/// steps whose error is estimated by halving. What is conserved is heat, body by body (specific
/// heats over temperature included), so that the account closes to round-off either way. Derived in
/// docs/theory/warm-up.md.
///
/// Temperatures of thermostats count as past a corner 2e-9 K beyond it.
///
/// Throws DomainError where the operation does not fit the network: lists of other lengths, bodies
/// that do not exist, starts below absolute zero, a duration that is not above 0, no cycle, shares
/// below 0, two throttles for one thing; and unless `until_periodic` and `accuracy` are above 0.
/// What goes wrong on the way is an outcome of the solution.
[[nodiscard]] Solution solve(const Network& network, const Operation& operation,
                             const SolveOptions& options = {});

}  // namespace lashband::heat
