#include "lashband/elastomer/steady_temperature.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numeric>
#include <optional>
#include <sstream>

#include "lashband/error.hpp"
#include "requirement.hpp"

namespace lashband::elastomer {
namespace {

using checks::require;
using checks::require_not_negative;
using units::from_si;

constexpr std::size_t steps = 512;
constexpr double slope_step_in_kelvin = 1e-3;

void check_frequencies(std::vector<double> omegas) {
  std::sort(omegas.begin(), omegas.end());
  const auto twin = std::adjacent_find(omegas.begin(), omegas.end());
  require(twin == omegas.end(),
          "an angular frequency may be given once among the orders of a swing",
          twin == omegas.end() ? 0.0 : *twin, " rad/s again");
}

/// G_th (T - T_ambient) - P(T) in W, T in degC: below 0 the ring gets warmer.
class Balance {
 public:
  explicit Balance(const HeatBalance& balance) : balance_(&balance) {}

  [[nodiscard]] double heat(double T) const {
    const double P = balance_->heat(units::celsius(T)).value();
    if (!(P >= 0.0 && std::isfinite(P))) {
      std::ostringstream message;
      message.precision(10);
      message << "the heat of an elastomer must be finite and 0 W or more, not " << P << " W at "
              << T << " degC";
      throw ComputationError(message.str());
    }
    return P;
  }

  [[nodiscard]] double leaves(double T) const {
    return balance_->conductance.value() * (T - balance_->ambient.value());
  }

  [[nodiscard]] double surplus(double T) const { return leaves(T) - heat(T); }

  /// 1 - P'/G_th, of the steeper side.
  [[nodiscard]] double margin(double T) const {
    const double low = balance_->ambient.value();
    const double high = balance_->highest.value();
    const double step = std::min(slope_step_in_kelvin, 0.25 * (high - low));
    const double here = heat(T);
    double steepest = -std::numeric_limits<double>::infinity();
    if (T - step >= low) {
      steepest = std::max(steepest, (here - heat(T - step)) / step);
    }
    if (T + step <= high) {
      steepest = std::max(steepest, (heat(T + step) - here) / step);
    }
    return 1.0 - steepest / balance_->conductance.value();
  }

 private:
  const HeatBalance* balance_;
};

/// Halves from a T that gains heat to one that does not, down to neighbouring numbers.
double crossing(const Balance& balance, double low, double high) {
  while (true) {
    const double middle = std::midpoint(low, high);
    if (!(middle > low && middle < high)) {
      return high;
    }
    (balance.surplus(middle) < 0.0 ? low : high) = middle;
  }
}

/// A T between `low` and `high` that does not gain heat, by golden section for the highest surplus.
std::optional<double> summit_above_zero(const Balance& balance, double low, double high) {
  constexpr double golden = 0.6180339887498949;
  double left = high - golden * (high - low);
  double right = low + golden * (high - low);
  double at_left = balance.surplus(left);
  double at_right = balance.surplus(right);
  // 0.618^40 = 4e-9 of a step: the summit itself is then known to 1e-17 of its curvature.
  for (int round = 0; round < 40; ++round) {
    if (at_left >= 0.0) {
      return left;
    }
    if (at_right >= 0.0) {
      return right;
    }
    if (at_left < at_right) {
      low = left;
      left = right;
      at_left = at_right;
      right = low + golden * (high - low);
      at_right = balance.surplus(right);
    } else {
      high = right;
      right = left;
      at_right = at_left;
      left = high - golden * (high - low);
      at_left = balance.surplus(left);
    }
  }
  return std::nullopt;
}

/// The first T at which the ring no longer gains heat; empty up to `high`.
std::optional<double> first_crossing(const Balance& balance, double low, double high) {
  if (balance.surplus(low) >= 0.0) {
    return low;
  }
  const auto place = [&](std::size_t i) {
    return i == steps ? high
                      : std::lerp(low, high, static_cast<double>(i) / static_cast<double>(steps));
  };
  double before_last = -std::numeric_limits<double>::infinity();
  double last = balance.surplus(low);
  for (std::size_t i = 1; i <= steps; ++i) {
    const double now = balance.surplus(place(i));
    if (now >= 0.0) {
      return crossing(balance, place(i - 1), place(i));
    }
    // Gained on the two steps before and lost again, or the other end of the scan: a summit lies in
    // between.
    if (last >= before_last && last >= now) {
      const double start = place(i >= 2 ? i - 2 : 0);
      if (const auto summit = summit_above_zero(balance, start, place(i))) {
        return crossing(balance, start, *summit);
      }
    }
    before_last = last;
    last = now;
  }
  if (last >= before_last) {
    if (const auto summit = summit_above_zero(balance, place(steps - 1), high)) {
      return crossing(balance, place(steps - 1), *summit);
    }
  }
  return std::nullopt;
}

std::string message_of(HeatOutcome outcome, const Balance& balance, double T) {
  std::ostringstream message;
  message.precision(4);
  switch (outcome) {
    case HeatOutcome::settled:
      return {};
    case HeatOutcome::above_range:
      message << "at " << T << " degC, the highest temperature of the elastomer, it still makes "
              << balance.heat(T) << " W and gives off " << balance.leaves(T)
              << " W: it would settle further up, where it may not be used";
      break;
    case HeatOutcome::runaway:
      message << "at " << T << " degC the elastomer makes " << balance.heat(T)
              << " W and gives off " << balance.leaves(T)
              << " W, and what it makes grows faster than what leaves: it runs away";
      break;
  }
  return message.str();
}

/// `twist` is the amplitude in radians that an order has at a stiffness.
template <class Order, class Twist>
units::Power power_of(const ElastomerLaw& law, const std::vector<Order>& orders,
                      const Twist& twist) {
  std::vector<double> omegas;
  omegas.reserve(orders.size());
  double P = 0.0;
  for (const Order& order : orders) {
    const double omega = order.angular_frequency.value();
    const ComplexStiffness k = dynamic_stiffness(law, order.angular_frequency);
    const double theta = twist(order, k);
    P += 0.5 * omega * k.loss.value() * theta * theta;
    omegas.push_back(omega);
  }
  check_frequencies(omegas);
  return from_si<units::Power>(P);
}

}  // namespace

units::Power dissipated_power(const ElastomerLaw& law, const std::vector<TwistOrder>& orders) {
  return power_of(law, orders, [](const TwistOrder& order, const ComplexStiffness& /*k*/) {
    const double theta = order.amplitude.value();
    require_not_negative("the amplitude of a twist must be 0 rad or more", theta, " rad");
    return theta;
  });
}

units::Power dissipated_power(const ElastomerLaw& law, const std::vector<TorqueOrder>& orders) {
  return power_of(law, orders, [](const TorqueOrder& order, const ComplexStiffness& k) {
    const double T = order.amplitude.value();
    require_not_negative("the amplitude of a torque must be 0 N m or more", T, " N m");
    return T / k.magnitude().value();
  });
}

SteadyTemperature steady_temperature(const HeatBalance& balance) {
  checks::require_positive("the conductance from an elastomer to ambient must be above 0 W/K",
                           balance.conductance.value(), " W/K");
  const double ambient = balance.ambient.value();
  const double highest = balance.highest.value();
  require(std::isfinite(ambient), "the ambient temperature of an elastomer must be finite", ambient,
          " degC");
  require(highest > ambient && std::isfinite(highest),
          "the highest temperature of an elastomer must be above that of its surroundings", highest,
          " degC");
  const Balance of_heat(balance);
  const std::optional<double> found = first_crossing(of_heat, ambient, highest);
  const double T = found.value_or(highest);
  SteadyTemperature result;
  result.temperature = units::celsius(T);
  result.heat = from_si<units::Power>(of_heat.heat(T));
  result.margin = of_heat.margin(T);
  if (!(result.margin > 0.0)) {
    result.outcome = HeatOutcome::runaway;
  } else {
    result.outcome = found ? HeatOutcome::settled : HeatOutcome::above_range;
  }
  result.message = message_of(result.outcome, of_heat, T);
  return result;
}

}  // namespace lashband::elastomer
