#include "heat.hpp"

#include <algorithm>
#include <cmath>

#include "lashband/elastomer/steady_temperature.hpp"
#include "lashband/error.hpp"
#include "laws.hpp"
#include "torsion/torque_gradient.hpp"
#include "vibration.hpp"

namespace lashband::design {
namespace {

using units::from_si;

// Several elastomers warm each other through the motion of the train: rounds until none moves by
// more than this, K.
constexpr double settled_in_kelvin = 1e-7;
constexpr int most_rounds = 40;

// One order as an elastomer sees it.
struct SeenOrder {
  double omega = 0.0;
  torsion::kernel::ElementSeen seen{};
};

std::vector<SeenOrder> orders_seen(const TorsionState& state, const TorsionLines& lines,
                                   const TorsionLayout& layout, double speed, std::size_t element) {
  const TorsionAtSpeed at = state.at(speed);
  const TorsionVibration vibration(lines, layout, at);
  std::vector<SeenOrder> orders;
  orders.reserve(vibration.orders());
  for (std::size_t i = 0; i < vibration.orders(); ++i) {
    orders.push_back(
        {vibration.omega(i), torsion::kernel::element_seen(at.system, vibration.omega(i),
                                                           vibration.response(i), element)});
  }
  return orders;
}

elastomer::SteadyTemperature steady(const Elastomer& rubber, units::Temperature ambient,
                                    const std::vector<SeenOrder>& orders,
                                    const thermal::Reference& reference) {
  elastomer::HeatBalance balance;
  balance.ambient = ambient;
  balance.highest = highest_temperature_of(rubber);
  balance.conductance = *rubber.conductance;
  balance.heat = [&](units::Temperature temperature) {
    const torsion::kernel::Law law = laws_of(rubber, temperature, reference).swinging;
    double power = 0.0;
    for (const SeenOrder& order : orders) {
      const double twist = std::abs(
          order.seen.elongation_with(torsion::kernel::dynamic_stiffness(law, order.omega)));
      power += elastomer_heat(law, order.omega, twist);
    }
    return from_si<units::Power>(power);
  };
  return elastomer::steady_temperature(balance);
}

ElastomerState::Status status_of(elastomer::HeatOutcome outcome) {
  switch (outcome) {
    case elastomer::HeatOutcome::settled:
      return ElastomerState::Status::settled;
    case elastomer::HeatOutcome::runaway:
      return ElastomerState::Status::runs_away;
    case elastomer::HeatOutcome::above_range:
      break;
  }
  return ElastomerState::Status::above_range;
}

}  // namespace

double elastomer_heat(const torsion::kernel::Law& law, double omega, double amplitude) {
  return 0.5 * omega * torsion::kernel::dynamic_stiffness(law, omega).imag() * amplitude *
         amplitude;
}

std::vector<ElastomerHeat> heat_elastomers(TorsionState& state, const TorsionLines& lines,
                                           const TorsionLayout& layout,
                                           const thermal::Reference& reference, double speed) {
  std::vector<ElastomerHeat> result(layout.elements.size());
  const std::vector<std::optional<units::Temperature>> ambient = state.elastomer_temperatures();
  for (int round = 0; round < most_rounds; ++round) {
    double moved = 0.0;
    for (std::size_t e = 0; e < layout.elements.size(); ++e) {
      if (!ambient[e] || !state.elastomer_of(e).conductance) {
        continue;
      }
      const Elastomer& rubber = state.elastomer_of(e);
      const elastomer::SteadyTemperature found =
          steady(rubber, *ambient[e], orders_seen(state, lines, layout, speed, e), reference);
      const units::Temperature before = *state.elastomer_temperatures()[e];
      moved = std::max(moved, std::abs(units::difference(before, found.temperature).value()));
      state.set_elastomer_temperature(e, found.temperature);
      result[e] = {status_of(found.outcome), found.message};
    }
    if (moved < settled_in_kelvin) {
      return result;
    }
  }
  for (ElastomerHeat& heat : result) {
    if (heat.status == ElastomerState::Status::settled) {
      heat = {ElastomerState::Status::not_found,
              "the temperatures of the elastomers did not settle against each other"};
    }
  }
  return result;
}

}  // namespace lashband::design
