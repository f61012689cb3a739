#include "wind_up.hpp"

#include <cmath>

#include "lashband/error.hpp"
#include "layout.hpp"
#include "speeds.hpp"
#include "state.hpp"

namespace lashband::design {
namespace {

using units::Angle;
using units::from_si;

// Both ends of a band move by the same angle.
ResultBand<Angle> wider(ResultBand<Angle> band, Angle by) {
  for (Angle* end : {&band.nominal, &band.low, &band.high}) {
    *end += by;
  }
  for (std::optional<Angle>* end : {&band.rss_low, &band.rss_high}) {
    if (*end) {
      **end += by;
    }
  }
  for (auto* ends : {&band.least, &band.greatest}) {
    if (*ends) {
      (*ends)->low += by;
      (*ends)->mid += by;
      (*ends)->high += by;
    }
  }
  return band;
}

void add_to(const TorsionLayout& layout, const TorsionAtSpeed& at, std::size_t condition,
            LostMotion& pair) {
  const auto of = inertia_of_shaft(layout, pair.of);
  const auto held = inertia_of_shaft(layout, pair.held);
  if (!of || !held) {
    return;
  }
  const double ratio =
      train::nearest_double(layout.speed[*of]) / train::nearest_double(layout.speed[*held]);
  const auto wound = from_si<Angle>(std::abs(at.flow.angles[*of] - ratio * at.flow.angles[*held]));
  for (LostMotionState& state : pair.states) {
    if (state.state == condition) {
      state.wind_up = wound;
      if (state.total) {
        state.under_torque = wider(*state.total, 2.0 * wound);
      }
    }
  }
}

}  // namespace

void add_wind_up(const Design& design, const train::Train& train,
                 const thermal::Reference& reference, TrainResult& result) {
  if (!design.torsion || result.lost_motion.empty()) {
    return;
  }
  const TorsionLayout layout = torsion_layout(design, train, reference);
  for (std::size_t c = 0; c < design.conditions.size(); ++c) {
    const Condition& condition = design.conditions[c];
    const auto speed = condition_speed(design, condition, train);
    if (!speed) {
      continue;
    }
    try {
      const TorsionState state(design, layout, condition.temperatures, reference,
                               contact_ratios(result.backlash, c));
      const TorsionAtSpeed at = state.at(*speed);
      for (LostMotion& pair : result.lost_motion) {
        add_to(layout, at, c, pair);
      }
    } catch (const Error& error) {
      result.failures.push_back({"wind-up", condition.id, error.what()});
    }
  }
}

}  // namespace lashband::design
